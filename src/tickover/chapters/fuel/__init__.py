"""Tank, supply and carburettors."""

SHEETS = {"bowl_level": "float_bowl", "jet_flow": "jets"}
