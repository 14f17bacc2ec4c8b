"""Brakes."""

SHEETS = {"lever_force": "hydraulics"}
