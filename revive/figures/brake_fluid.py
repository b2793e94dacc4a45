"""What a brake fluid has to stand when new and when wet, and how much water the years bring in.

Method: look-up of the least boiling points; water by straight lines between published points of time; boiling point at
a water content by the shape of published typical DOT 3 values, laid between the least values at 0 and 3.7 %. That DOT 4
and DOT 5.1 fall by the same shape is an assumption; a straight line would flatter them.
Source: 49 CFR 571.116 (FMVSS 116), S5.1.1 and S5.1.2, as restated; SAE J1703 and ISO 4925 are its sisters. Water: a
trade text gives up to 2 % after one year, 3 % after 18 months, 7 to 8 % after several years; five years is taken for
"several" (from memory). Typical DOT 3 at 1, 2, 3 %: 187, 160, 145 C, same text. A product seller's survey found under
2 % in a dry land, so the low end is 0.
Units: C, years, % of water by mass.
Valid: glycol fluids for the water; DOT 5 is silicone and dissolves next to none. Values are legal minima, so a good
fluid is above them. Past 3.7 % no published boiling point is used.
Errors: ranges and grades only.
"""

from revive.figures.core import Figure, interpolate

# grade: least boiling point, new and with 3.7 % of water, C
LEAST_C = {"DOT3": (205.0, 140.0), "DOT4": (230.0, 155.0), "DOT5": (260.0, 180.0), "DOT5.1": (260.0, 180.0)}
WET_PCT = 3.7
WATER_MOST = ((0.0, 0.0), (1.0, 2.0), (1.5, 3.0), (5.0, 8.0))
TYPICAL_DOT3 = ((1.0, 187.2), (2.0, 160.0), (3.0, 145.0))


def brake_fluid(grade: str, years: float) -> Figure:
    """Least wet boiling point (C), with the dry one, the range of water and where that leaves the fluid."""
    dry, wet = LEAST_C[grade]
    silicone = grade == "DOT5"
    most = 0.0 if silicone else interpolate(WATER_MOST, years)
    also: dict[str, float | str] = {"least_dry_c": dry, "least_wet_c": wet, "water_low_pct": 0.0}
    also["water_high_pct"] = most
    if silicone:
        also["where"] = "water lies apart"
        note = (
            "Silicone dissolves next to no water: drops lie apart in the low places, boil at 100 C and rust. Never mix "
            "it with the other grades."
        )
    elif most <= WET_PCT:
        also |= {"where": "inside the wet limit", "boils_from_c": boiling_c(grade, most), "boils_to_c": dry}
        note = "Water content by a trade text; a refractometer or a boiling test measures it."
    else:
        also["where"] = "may be past the wet limit"
        note = (
            f"With over {WET_PCT:g} % it can boil below the wet figure, and no published value says how far: renew it."
        )
    return Figure(
        "brake_fluid",
        wet,
        "C",
        "least boiling points of the grade; straight lines between published points for water",
        "49 CFR 571.116 (FMVSS 116), S5.1.1 and S5.1.2; water by years: trade text",
        f"{note} The cap and the maker's manual govern the grade. Rust in the system comes long before boiling.",
        also,
    )


def boiling_c(grade: str, water_pct: float) -> float:
    """Boiling point (C) to count on at a water content from 0 to 3.7 %."""
    dry_3, wet_3 = LEAST_C["DOT3"]
    dry, wet = LEAST_C[grade]
    typical = interpolate(((0.0, dry_3), *TYPICAL_DOT3, (WET_PCT, wet_3)), water_pct)
    return wet + (dry - wet) * (typical - wet_3) / (dry_3 - wet_3)
