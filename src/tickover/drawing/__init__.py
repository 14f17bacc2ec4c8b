"""A drawing in millimetres, once: out as SVG for the page, DXF for the cutter, PDF at 1:1 for the bench.

A `Drawing` is built from plain items in millimetres of the real thing, y upwards. Line widths and letter
heights are millimetres on paper. `Drawing.scale` is the reduction it is usually drawn at (5 is 1:5).
"""

from tickover.drawing.items import (
    AngleDimension,
    Arc,
    Balloon,
    CentreLine,
    Circle,
    Dimension,
    Drawing,
    Item,
    Line,
    Polyline,
    Text,
)
from tickover.drawing.out import to_dxf, to_pdf, to_svg

__all__ = [
    "AngleDimension",
    "Arc",
    "Balloon",
    "CentreLine",
    "Circle",
    "Dimension",
    "Drawing",
    "Item",
    "Line",
    "Polyline",
    "Text",
    "to_dxf",
    "to_pdf",
    "to_svg",
]
