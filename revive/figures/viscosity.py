"""How thick an oil is at a temperature.

Method: log10(log10(v + 0.7)) = A - B log10(T), v in mm2/s, T in kelvin (C + 273.15), fitted through 40 C and 100 C.
Source: ASTM D341-09, the Walther and MacCoull equation in the short form with 0.7; clause 3.1 for its range.
Units: mm2/s, C; the second result in mPa s for an oil of 870 kg/m3, a density from memory.
Valid: between cloud point and start of boiling, from 2 mm2/s up (that floor is from memory). Below 0 C waxes and
polymers thicken a multigrade beyond this line: the figure is then too low and no limit for cold cranking.
Errors: refused where the oil would not thin with heat, and where the result is under 2 mm2/s.
"""

from math import log10

from revive.figures.core import Figure, FigureError

KELVIN = 273.15
SHIFT = 0.7
LEAST_MM2_S = 2.0
OIL_KG_M3 = 870.0


def oil_viscosity(kv40_mm2_s: float, kv100_mm2_s: float, at_c: float) -> Figure:
    """Kinematic viscosity in mm2/s at `at_c`, with the two constants of the line and the viscosity in mPa s."""
    if kv100_mm2_s >= kv40_mm2_s:
        raise FigureError(
            f"kv100_mm2_s is {kv100_mm2_s:g} and kv40_mm2_s {kv40_mm2_s:g}; an oil is thinner at 100 C than at 40 C\n"
            "    Are the two exchanged?"
        )
    a, b = line_through((40.0, kv40_mm2_s), (100.0, kv100_mm2_s))
    viscosity = on_line(a, b, at_c)
    if viscosity < LEAST_MM2_S:
        raise FigureError(
            f"at {at_c:g} C this oil is thinner than {LEAST_MM2_S:g} mm2/s, where this form of the equation ends\n"
            "    Ask for a lower temperature."
        )
    cold = (
        "Below 0 C wax and polymers make a multigrade thicker than this. It is no limit for cold cranking: for that "
        "see oil_grade. "
        if at_c < 0
        else ""
    )
    return Figure(
        "oil_viscosity",
        viscosity,
        "mm2/s",
        "log10(log10(v + 0.7)) = A - B log10(T) through 40 C and 100 C, T in kelvin (C + 273.15)",
        "ASTM D341-09, short form with 0.7 for 2 mm2/s and more",
        f"{cold}Fresh oil of the sheet's figures; old oil differs. mPa s is for {OIL_KG_M3:g} kg/m3 (from memory).",
        {"a": a, "b": b, "viscosity_mpa_s": viscosity * OIL_KG_M3 / 1000},
    )


def line_through(one: tuple[float, float], other: tuple[float, float], zero_c: float = KELVIN) -> tuple[float, float]:
    """The constants A and B of the line through two points (temperature in C, viscosity in mm2/s)."""
    (t1, v1), (t2, v2) = one, other
    y1, y2 = _loglog(v1), _loglog(v2)
    x1, x2 = log10(t1 + zero_c), log10(t2 + zero_c)
    b = (y1 - y2) / (x2 - x1)
    return y1 + b * x1, b


def on_line(a: float, b: float, at_c: float, zero_c: float = KELVIN) -> float:
    """The viscosity in mm2/s that the line gives at a temperature in C."""
    return float(10 ** (10 ** (a - b * log10(at_c + zero_c))) - SHIFT)


def _loglog(viscosity: float) -> float:
    return log10(log10(viscosity + SHIFT))
