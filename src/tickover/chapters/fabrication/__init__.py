"""Measuring up, marking out and making parts."""

SHEETS = {"hole_centres": "hole_centres", "bolt_torque": "bolt_torque"}
