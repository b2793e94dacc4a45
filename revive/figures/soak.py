"""Oil for the bores of a stored engine: before turning, to soak a stuck one, and for a two-stroke's crankcase.

Method: a share of one cylinder's size, with a least and a most: bore 1/50 (3 to 10 ml), soak 1/10 (15 to 50 ml),
two-stroke crankcase 1/20 (3 to 15 ml).
Source: from memory; a small-engine maker's lay-up puts one tablespoon (15 ml) in each cylinder.
Units: cc, ml for each cylinder.
Valid: piston engines. Oil above a piston locks the engine: plugs out, drawn off or blown out before anything turns.
Errors: ranges, and a number of cylinders that is not whole.
"""

from revive.figures.core import Figure, FigureError

# result: (share of one cylinder, least ml, most ml)
AMOUNTS = {"bore_oil_ml": (1 / 50, 3.0, 10.0), "soak_ml": (1 / 10, 15.0, 50.0), "crankcase_oil_ml": (1 / 20, 3.0, 15.0)}


def soak_volumes(displacement_cc: float, cylinders: float) -> Figure:
    """Oil in each bore before turning (ml), with the soak and the two-stroke crankcase amount for each cylinder."""
    if cylinders != int(cylinders):
        raise FigureError(f"cylinders is {cylinders:g}; a whole number was expected\n    Count the plugs' cylinders.")
    each = displacement_cc / cylinders
    also = {name: min(most, max(least, each * share)) for name, (share, least, most) in AMOUNTS.items()}
    return Figure(
        "soak_volumes",
        also["bore_oil_ml"],
        "ml",
        "one cylinder's cc / 50, 3 to 10 ml; soak / 10, 15 to 50 ml; two-stroke crankcase / 20, 3 to 15 ml",
        "from memory",
        "For each cylinder. Oil on a piston is a hydraulic lock: plugs out and oil drawn off before any starter, kick "
        "or push. The maker's manual governs.",
        {**also, "cylinder_cc": each},
    )
