"""Wiring, charging and starting."""

SHEETS = {"voltage_drop": "voltage_drop"}
