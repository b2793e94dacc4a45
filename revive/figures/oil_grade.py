"""What an engine-oil grade promises in the cold and in the heat, and which categories are out of date.

Method: look-up. At or above the temperature of its cranking limit a fresh oil of that winter grade is thin enough for
a starter, and its pumping limit lies 5 C lower still.
Source: SAE J300_202405, tables of low-temperature limits and of high-temperature grades; grade 20 has its lower limit
of 6.9 mm2/s since J300_201304 (5.6 before). JASO T 903 editions 2006 and 2016, clutch friction indices. API service
categories SA to SH as the API lists them.
Units: mPa s, mm2/s, C. The kinematic limits of grades 8 and 12 are from memory.
Valid: fresh engine oil. Gear-oil numbers (75W and over) are another standard. A grade without W promises nothing in
the cold, and says so instead of a yes or no.
Errors: refused for a grade that the standard does not know.
"""

import re

from revive.figures.core import Figure, FigureError, yes_no

# grade: (cranking limit mPa s, at C, pumping limit mPa s, at C, least mm2/s at 100 C)
WINTER = {
    "0W": (6200, -35, 60000, -40, 3.8),
    "5W": (6600, -30, 60000, -35, 3.8),
    "10W": (7000, -25, 60000, -30, 4.1),
    "15W": (7000, -20, 60000, -25, 5.6),
    "20W": (9500, -15, 60000, -20, 5.6),
    "25W": (13000, -10, 60000, -15, 9.3),
}
# grade: (least mm2/s at 100 C, below this, least mPa s at 150 C under high shear)
SUMMER = {
    "8": (4.0, 6.1, 1.7),
    "12": (5.0, 7.1, 2.0),
    "16": (6.1, 8.2, 2.3),
    "20": (6.9, 9.3, 2.6),
    "30": (9.3, 12.5, 2.9),
    "40": (12.5, 16.3, 3.7),
    "50": (16.3, 21.9, 3.7),
    "60": (21.9, 26.1, 3.7),
}
HTHS_40_LIGHT = 3.5
"""Grade 40 with 0W, 5W or 10W; with 15W, 20W, 25W or alone it is 3.7."""

# edition: class: (least, most) of the dynamic, static and stop-time friction index
CLUTCH_CLASSES: dict[str, dict[str, tuple[tuple[float, float], ...]]] = {
    "2006": {
        "MA1": ((1.45, 1.8), (1.15, 1.7), (1.55, 1.9)),
        "MA2": ((1.8, 2.5), (1.7, 2.5), (1.9, 2.5)),
        "MA": ((1.45, 2.5), (1.15, 2.5), (1.55, 2.5)),
        "MB": ((0.5, 1.45), (0.5, 1.15), (0.5, 1.55)),
    },
    "2016": {
        "MA1": ((1.35, 1.5), (1.45, 1.6), (1.4, 1.6)),
        "MA2": ((1.5, 2.5), (1.6, 2.5), (1.6, 2.5)),
        "MA": ((1.35, 2.5), (1.45, 2.5), (1.4, 2.5)),
    },
}
OBSOLETE = (
    "API SA to SH are out of date: SA is not for engines built after 1930, SH not for those after 1996. SJ and later "
    "are current. The letters do not tell whether an oil suits a wet clutch or an engine without a filter."
)
WET_CLUTCH = (
    "A clutch running in the engine's oil needs JASO MA, MA1 or MA2; MB is not for it. The limits changed with each "
    "edition, so compare classes of one edition only. The maker's manual governs."
)


def oil_grade(grade: str, at_c: float) -> Figure:
    """Yes or no to the starter at `at_c`, as far as the oil decides it; "not stated" for a grade without W."""
    winter, summer = split_grade(grade)
    also: dict[str, float | str] = {}
    least = WINTER[winter][4] if winter else 0.0
    if summer:
        also["kv100_min"] = max(least, SUMMER[summer][0])
        also["kv100_below"] = SUMMER[summer][1]
        light = summer == "40" and winter in ("0W", "5W", "10W")
        also["hths_min_mpa_s"] = HTHS_40_LIGHT if light else SUMMER[summer][2]
    else:
        also["kv100_min"] = least
    value = "not stated"
    if winter:
        crank, crank_c, pump, pump_c, _ = WINTER[winter]
        also |= {"crank_at_c": crank_c, "crank_max_mpa_s": crank, "pump_at_c": pump_c, "pump_max_mpa_s": pump}
        also["margin_c"] = at_c - crank_c
        value = yes_no(at_c >= crank_c)
    also |= {"obsolete_categories": OBSOLETE, "wet_clutch": WET_CLUTCH}
    return Figure("oil_grade", value, "", _METHOD, _SOURCE, _note(value, winter, summer), also)


def split_grade(grade: str) -> tuple[str, str]:
    """The winter and the summer part of a grade, either of them empty.

    >>> split_grade("sae 20w50"), split_grade("SAE 40"), split_grade("10W")
    (('20W', '50'), ('', '40'), ('10W', ''))
    """
    match = re.fullmatch(r"(?:SAE)?(?:(\d{1,2})W)?[-/]?(\d{1,3})?", grade.upper().replace(" ", ""))
    winter, summer = (f"{match[1]}W" if match and match[1] else ""), (match[2] or "" if match else "")
    if match and (winter or summer) and (int(match[1] or 0) >= 70 or int(summer or 0) >= 75):
        raise FigureError(
            f"grade is '{grade}', a gear oil; a grade of engine oil was expected\n    Write it as 20W-50."
        )
    if not (winter or summer) or (winter and winter not in WINTER) or (summer and summer not in SUMMER):
        raise FigureError(
            f"grade is '{grade}'; an engine-oil grade was expected\n"
            f"    Known: {', '.join(WINTER)} and {', '.join(SUMMER)}, written as 20W-50, 10W or 40."
        )
    return winter, summer


def grades_at_100(viscosity_mm2_s: float) -> tuple[str, ...]:
    """Every summer grade that a viscosity at 100 C falls in: two where grades overlap, none outside them all.

    >>> grades_at_100(7.5), grades_at_100(18)
    (('16', '20'), ('50',))
    """
    found = [grade for grade, (least, below, _) in SUMMER.items() if least <= viscosity_mm2_s < below]
    return tuple(found)


def clutch_class(edition: str, dynamic: float, static: float, stop_time: float) -> str:
    """The class that three friction indices give in one edition: MA1, MA2, MA, MB, or empty.

    All three have to lie inside one class; indices of mixed sub-classes make plain MA.

    >>> clutch_class("2006", 1.6, 1.4, 1.7), clutch_class("2016", 1.6, 1.4, 1.7)
    ('MA1', '')
    """
    indices = (dynamic, static, stop_time)
    for name, bounds in CLUTCH_CLASSES[edition].items():
        if all(low <= index <= high for index, (low, high) in zip(indices, bounds, strict=True)):
            return name
    return ""


_METHOD = "look-up: a fresh oil may be cranked down to the temperature of its cranking limit"
_SOURCE = "SAE J300_202405, low-temperature and high-temperature tables; JASO T 903, editions 2006 and 2016"


def _note(value: str, winter: str, summer: str) -> str:
    note = "For fresh oil of this grade; sludge, water and old oil are thicker. The maker's manual governs the grade."
    if value == "not stated":
        note = f"A grade without W has no cold limit in the standard: below 0 C warm engine and oil first. {note}"
    if value == "no":
        note = f"Too cold for this oil: warm engine and oil, or wait. {note}"
    if summer in ("8", "12"):
        note += f" The viscosity limits of grade {summer} are from memory."
    if winter:
        note += " A tired battery gives up well above the oil's limit."
    return note
