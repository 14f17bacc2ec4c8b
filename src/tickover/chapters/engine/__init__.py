"""The engine."""

SHEETS = {
    "cranking_compression": "compression",
    "wear": "wear",
    "bore_shape": "bores",
    "piston_clearance": "bores",
}
