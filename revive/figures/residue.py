"""How much of the old oil is left after drains and fresh fills.

Method: each drain leaves the same share r, well mixed with the fresh oil: old = r^n.
Source: mass balance. No published share for engines was found, so r is always stated by the asker; 0.10 to 0.20 are
from memory, more with a cooler or a tank that is left out.
Units: share of the filling, %.
Valid: full drains with a run in between, warm enough that the oil mixes. Dirt that lies still is not moved by it.
Errors: ranges, and a number of drains that is not whole.
"""

from revive.figures.core import Figure, FigureError

AIM_PCT = 1.0


def residue(fraction_left: float, drains: float) -> Figure:
    """Old oil left (%) after so many drains, and how many bring it under 1 %."""
    if drains != int(drains):
        raise FigureError(f"drains is {drains:g}; a whole number was expected\n    Count full drains.")
    return Figure(
        "residue",
        100 * fraction_left**drains,
        "%",
        "share left by one drain, to the power of the drains; well mixed",
        "mass balance; the share is an assumption, no published figure was found",
        "For oil that mixes. Sludge and grit that lie still stay where they are: they are washed out by hand.",
        {"drains_under_1_pct": drains_under(fraction_left, AIM_PCT)},
    )


def drains_under(fraction_left: float, aim_pct: float) -> int:
    """The least number of drains that brings the old oil under `aim_pct`."""
    drains, left = 0, 100.0
    while left >= aim_pct:
        drains, left = drains + 1, 100 * fraction_left ** (drains + 1)
    return drains
