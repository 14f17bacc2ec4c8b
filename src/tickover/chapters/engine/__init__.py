"""The engine."""

SHEETS = {"cranking_compression": "compression", "wear": "wear"}
