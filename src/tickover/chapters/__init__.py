"""The bike, one folder a chapter, as in a workshop manual.

A chapter is plain functions over SI floats and small frozen dataclasses. A chapter with calculation sheets
names them in ``SHEETS``: each sheet's function with the module it stands in.
"""

CHAPTERS = {
    "engine": "Engine",
    "fuel": "Fuel",
    "ignition": "Ignition",
    "electrics": "Electrics",
    "chassis": "Chassis",
    "brakes": "Brakes",
    "final_drive": "Final drive",
    "exhaust": "Exhaust",
    "fabrication": "Fabrication",
}
"""The chapters in the manual's order, with their titles."""
