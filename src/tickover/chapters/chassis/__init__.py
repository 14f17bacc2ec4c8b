"""Frame, steering, suspension and wheels."""

SHEETS = {"trail": "steering"}
