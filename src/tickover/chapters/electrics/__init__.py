"""Wiring, charging and starting."""

SHEETS = {"voltage_drop": "voltage_drop", "charge_balance": "charging", "cold_cranking": "cranking"}
