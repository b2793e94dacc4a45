"""Loss of bare steel or zinc in the open: first year, class, and over the years.

Method: dose-response function of the first year; D = r t^b after that. Past 20 years two rules are published, the power
law for all times and a straight continuation of the 20-year slope; both are given and said which.
Source: ISO 9223:2012, equations (1) and (2) with table 3 (range) and table 2 (classes by um); ISO 9224:2012, tables 2
and 3 (b: steel 0.523 and 0.575, zinc 0.813 and 0.873; the first an average, the second an upper value) and its rule
for over 20 years.
Units: um, C, %, mg/(m2 d), years.
Valid: bare metal out of doors, inside the calibrated range: -17.1 to 28.7 C, 34 to 93 %, SO2 0.7 to 150.4, chloride
0.4 to 760.5. A shed is not outdoors: no rain, less salt, yet longer damp; low-aggressive indoor air is ISO 11844's.
Classes are judged by um alone, since the table's g/m2 were rounded apart. Copper and aluminium are not offered.
Errors: ranges only; one year is the least time.
"""

from math import exp

from revive.figures.core import Figure

# metal: (SO2 factor, exponent, of RH, f up to 10 C, f above; Cl factor, exponent, of RH, of T)
DOSE = {
    "steel": (1.77, 0.52, 0.020, 0.150, -0.054, 0.102, 0.62, 0.033, 0.040),
    "zinc": (0.0129, 0.44, 0.046, 0.038, -0.071, 0.0175, 0.57, 0.008, 0.085),
}
EXPONENTS = {"steel": (0.523, 0.575), "zinc": (0.813, 0.873)}
CLASSES = ("C1", "C2", "C3", "C4", "C5", "CX")
CLASS_LIMITS_UM = {"steel": (1.3, 25, 50, 80, 200, 700), "zinc": (0.1, 0.7, 2.1, 4.2, 8.4, 25)}
POWER_YEARS = 20.0


def corrosion(
    air_c: float, rh_pct: float, so2_mg_m2_d: float, cl_mg_m2_d: float, metal: str, years: float = 1.0
) -> Figure:
    """Loss in the first year (um), its class, and the loss after `years` with average and upper exponent."""
    first = first_year_um(air_c, rh_pct, so2_mg_m2_d, cl_mg_m2_d, metal)
    average, upper = EXPONENTS[metal]
    also: dict[str, float | str] = {
        "class": class_of(first, metal),
        "average_um": first * power_factor(years, average),
        "upper_um": first * power_factor(years, upper),
        "rule": "power law",
    }
    if years > POWER_YEARS:
        also["average_linear_um"] = first * linear_factor(years, average)
        also["upper_linear_um"] = first * linear_factor(years, upper)
        also["rule"] = "power law; the two linear values continue the 20-year slope"
    return Figure(
        "corrosion",
        first,
        "um",
        "dose-response function of the first year; loss = first year x t^b, and past 20 years also a straight line",
        "ISO 9223:2012, equations for carbon steel and zinc, table 3; ISO 9224:2012, table 3 and rule past 20 years",
        "Calibrated on bare plates out of doors: a shed is not outdoors, and the standard leaves sheltered and indoor "
        "air to others, so take it as an order of size. Single years differ by half and more. Paint, oil and plate are "
        "left out; crevices and wet dirt are worse.",
        also,
    )


def first_year_um(air_c: float, rh_pct: float, so2: float, chloride: float, metal: str) -> float:
    """Loss of the first year in um; deposits in mg/(m2 d). ISO 9223:2012."""
    s, s_power, s_rh, cool, warm, c, c_power, c_rh, c_t = DOSE[metal]
    by_temperature = (cool if air_c <= 10 else warm) * (air_c - 10)
    dry = s * so2**s_power * exp(s_rh * rh_pct + by_temperature)
    return float(dry + c * chloride**c_power * exp(c_rh * rh_pct + c_t * air_c))


def class_of(first_um: float, metal: str) -> str:
    """The class of a first-year loss; a limit itself belongs to the lower class.

    >>> class_of(25, "steel"), class_of(25.1, "steel"), class_of(701, "steel")
    ('C2', 'C3', 'over CX')
    """
    for name, limit in zip(CLASSES, CLASS_LIMITS_UM[metal], strict=True):
        if first_um <= limit:
            return name
    return "over CX"


def power_factor(years: float, exponent: float) -> float:
    """What the first year's loss is multiplied by after `years`: t^b. ISO 9224:2012, table 3."""
    return float(years**exponent)


def linear_factor(years: float, exponent: float) -> float:
    """The same with a straight line from 20 years on: 20^b + b 20^(b-1) (t - 20). ISO 9224:2012."""
    at_20 = POWER_YEARS**exponent
    return float(at_20 + exponent * at_20 / POWER_YEARS * (years - POWER_YEARS))
