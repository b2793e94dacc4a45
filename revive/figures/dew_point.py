"""Dew point of the air, and whether water or frost forms on metal.

Method: Magnus formula over water, es = 611.2 exp(17.62 T / (243.12 + T)) Pa, turned round; over ice with 22.46 and
272.62 for the frost point. Vapour = e / (461.5 T).
Source: WMO-No. 8, Guide to Instruments and Methods of Observation, annex on humidity formulas, as restated; the ice
constants are from memory and checked against reference libraries.
Units: C, %, g/m3. Relative humidity is over water at any temperature, as hygrometers show it.
Valid: air from -40 to 60 C; within 0.05 C of reference libraries for air from 0 to 50 C, from 20 % up. Dew
point and frost point are kept apart: below 0 C the value is over supercooled water, `frost_point_c` over ice.
Errors: ranges only.
"""

from math import exp, log

from revive.figures.core import Figure

PRESSURE_0_PA = 611.2
WATER = (17.62, 243.12)
ICE = (22.46, 272.62)
VAPOUR_J_KG_K = 461.5


def dew_point(air_c: float, rh_pct: float, metal_c: float | None = None) -> Figure:
    """Dew point (C); with `metal_c` also what forms on it (water, frost, nothing) and the margin in C."""
    vapour_pa = saturation_pa(air_c) * rh_pct / 100
    dew = _turned_round(vapour_pa, WATER)
    also: dict[str, float | str] = {"vapour_g_m3": 1000 * vapour_pa / (VAPOUR_J_KG_K * (air_c + 273.15))}
    if dew < 0:
        also["frost_point_c"] = _turned_round(vapour_pa, ICE)
    if metal_c is not None:
        forms_at = float(also.get("frost_point_c", dew)) if metal_c < 0 else dew
        also["margin_c"] = metal_c - forms_at
        also["forms"] = "nothing" if metal_c > forms_at else "frost" if metal_c < 0 else "water"
    return Figure(
        "dew_point",
        dew,
        "C",
        "Magnus formula over water, 611.2 exp(17.62 T / (243.12 + T)); over ice 22.46 and 272.62",
        "WMO-No. 8, annex on humidity formulas",
        "Metal lags behind the air by hours: after a cold night warm air wets it. Rust goes on without dew too, from "
        "about 60 % of humidity under dust and salt (from memory). A plain hygrometer is off by 3 to 5 % (from "
        "memory), that is about 1 C.",
        also,
    )


def saturation_pa(air_c: float, constants: tuple[float, float] = WATER) -> float:
    """Saturation pressure of water vapour (Pa), over water or with ICE over ice."""
    return PRESSURE_0_PA * exp(constants[0] * air_c / (constants[1] + air_c))


def _turned_round(vapour_pa: float, constants: tuple[float, float]) -> float:
    steep, shift = constants
    ratio = log(vapour_pa / PRESSURE_0_PA)
    return shift * ratio / (steep - ratio)
