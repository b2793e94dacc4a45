"""What a fill of two oils comes to: thin rinsing oil left behind, or a can of another grade topped up.

Method: each oil's index 14.534 ln(ln(v + 0.8)) + 10.975, added up by shares, and turned back; v in mm2/s, both oils at
100 C.
Source: the Refutas index, R. E. Maples, Petroleum Refinery Process Economics, 2nd edition 2000, as restated. ASTM D7152
has another straight line for the same purpose; the two agree within one part in a hundred on common oils. Grades: SAE
J300_202405.
Units: mm2/s at 100 C, share in %.
Valid: mineral oils of one kind, without polymers. The index asks for shares by mass; litres do, for engine oils differ
little in density. D7152 leaves out oils with viscosity improvers, which is what a multigrade is.
Errors: ranges.
"""

from math import exp, log

from revive.figures.core import Figure
from revive.figures.oil_grade import grades_at_100


def oil_mix(kv100_mm2_s: float, other_kv100_mm2_s: float, other_pct: float) -> Figure:
    """Viscosity of the mixed fill at 100 C in mm2/s, the single grade that it then is, and how much thinner it became."""
    mixed = from_index(index_of(kv100_mm2_s) * (1 - other_pct / 100) + index_of(other_kv100_mm2_s) * other_pct / 100)
    grades = grades_at_100(mixed)
    return Figure(
        "oil_mix",
        mixed,
        "mm2/s",
        "index 14.534 ln(ln(v + 0.8)) + 10.975 of each oil, added by its share, and turned back",
        "Refutas index: Maples, Petroleum Refinery Process Economics, 2nd edition 2000, as restated; grades: SAE J300_202405",
        "For plain oils of one kind. A multigrade's polymers keep to no such line: take it as rough. Castor and mineral "
        "oil are never mixed, and thickness alone says nothing of additives or of the wet clutch.",
        {
            "grades": list(grades),
            "thinner_pct": 100 * (1 - mixed / kv100_mm2_s),
        },
    )


def index_of(viscosity_mm2_s: float) -> float:
    """The blending index of a viscosity, both oils being at one temperature."""
    return 14.534 * log(log(viscosity_mm2_s + 0.8)) + 10.975


def from_index(index: float) -> float:
    """The viscosity in mm2/s that has this index; undoes index_of.

    >>> round(from_index(index_of(18.0)), 9)
    18.0
    """
    return exp(exp((index - 10.975) / 14.534)) - 0.8
