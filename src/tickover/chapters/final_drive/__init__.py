"""Gearing, sprockets and chain."""

SHEETS = {"road_speed": "gearing"}
