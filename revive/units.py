"""Read a quantity as people write it (`30 psi`, `12,4 V`, `1 1/2 pt`) and give it in the unit that is wanted.

Factors are exact by definition: the SI Brochure, 9th edition 2019 (BIPM), and NIST Special Publication 811, 2008
edition, appendix B (inch, pound, standard gravity, atmosphere, US gallon); the imperial gallon of 4.54609 l is that of
the United Kingdom's Units of Measurement Regulations 1995. Two are conventions: a year is 365.25 days, a month is a
twelfth of it. Conventional inches of mercury and feet of water are left out: makers' manuals disagree on them.

Pints, quarts, gallons and fluid ounces are imperial unless `US` stands before them; `remark` says which was taken.
A bare number is in the unit wanted. It refuses to guess: `1,200` may be 1.2 or 1200, `oz` is a weight.
"""

import re
from math import isfinite
from typing import NamedTuple

from revive.model import ReviveError
from revive.problems import listed, nearest, quoted

INCH_MM = 25.4
POUND_KG = 0.45359237
GRAVITY_M_S2 = 9.80665
GALLON_IMPERIAL_L = 4.54609
GALLON_US_L = 231 * INCH_MM**3 / 1e6
PSI_PA = POUND_KG * GRAVITY_M_S2 / (INCH_MM / 1000) ** 2
YEAR_S = 365.25 * 86400


class Unit(NamedTuple):
    """One unit. value in base units of its dimension = number * factor + offset."""

    name: str
    dimension: str
    factor: float
    offset: float = 0.0


# dimension -> (factor to the base unit, spellings; the first is the name that is printed)
_TABLE: dict[str, tuple[tuple[float, str], ...]] = {
    "pressure": (
        (1, "Pa|pascal|pascals"),
        (100, "mbar|millibar|hPa"),
        (1e3, "kPa"),
        (1e6, "MPa"),
        (1e5, "bar|bars"),
        (PSI_PA, "psi|lbf/in2|lb/in2|lbs/sq in|lb/sq in|pounds per square inch"),
        (101325, "atm"),
        (GRAVITY_M_S2 * 1e4, "kgf/cm2|kg/cm2|kp/cm2|at"),
    ),
    "length": (
        (1, "mm|millimetre|millimetres|millimeter|millimeters"),
        (10, "cm"),
        (1e3, "m|metre|metres|meter|meters"),
        (1e6, "km|kilometre|kilometres|kilometer|kilometers"),
        (1e-3, "um|µm|μm|micron|microns|micrometre|micrometres"),
        (INCH_MM, 'in|inch|inches|"'),
        (INCH_MM / 1000, "thou|mil|mils"),
        (INCH_MM * 12, "ft|foot|feet|'"),
        (INCH_MM * 12 * 5280, "mi|mile|miles"),
    ),
    "volume": (
        (1, "ml|millilitre|millilitres|cc|cm3|ccm"),
        (10, "cl"),
        (100, "dl"),
        (1e3, "l|litre|litres|liter|liters|ltr"),
        (GALLON_IMPERIAL_L * 1e3 / 8, "imp pt|pt|pint|pints|pts|imp pint|imp pints|imperial pint|imperial pints"),
        (GALLON_IMPERIAL_L * 1e3 / 4, "imp qt|qt|quart|quarts|imp quart|imp quarts|imperial quart|imperial quarts"),
        (GALLON_IMPERIAL_L * 1e3, "imp gal|gal|gallon|gallons|imp gallon|imp gallons|imperial gallon|imperial gallons"),
        (GALLON_IMPERIAL_L * 1e3 / 160, "imp fl oz|fl oz|floz|fluid ounce|fluid ounces"),
        (GALLON_US_L * 1e3 / 8, "US pt|US pint|US pints"),
        (GALLON_US_L * 1e3 / 4, "US qt|US quart|US quarts"),
        (GALLON_US_L * 1e3, "US gal|US gallon|US gallons"),
        (GALLON_US_L * 1e3 / 128, "US fl oz|US floz|US fluid ounce|US fluid ounces"),
        (INCH_MM**3 / 1e3, "cu in|in3|cubic inch|cubic inches"),
    ),
    "time": (
        (1, "s|sec|secs|second|seconds"),
        (60, "min|mins|minute|minutes"),
        (3600, "h|hr|hrs|hour|hours"),
        (86400, "days|day|d"),
        (7 * 86400, "weeks|week"),
        (YEAR_S / 12, "months|month"),
        (YEAR_S, "years|year|yr|yrs|y"),
    ),
    "voltage": ((1, "V|volt|volts"), (1e-3, "mV")),
    "current": ((1, "A|amp|amps|ampere|amperes"), (1e-3, "mA")),
    "charge": ((1, "Ah|A h|amp hour|amp hours|ampere hours"), (1e-3, "mAh")),
    "resistance": ((1, "ohm|ohms|Ω|Ω"), (1e3, "kohm|kΩ|kΩ")),
    "mass": ((1e-3, "g|gram|grams"), (1, "kg|kilo|kilos"), (POUND_KG, "lb|lbs|pound|pounds"), (POUND_KG / 16, "oz")),
    "torque": (
        (1, "N m|Nm|N.m"),
        (POUND_KG * GRAVITY_M_S2 * INCH_MM * 12 / 1000, "lbf ft|lb ft|ft lb|ft lbs|ft lbf|lbs ft"),
        (POUND_KG * GRAVITY_M_S2 * INCH_MM / 1000, "lbf in|lb in|in lb|in lbs"),
        (GRAVITY_M_S2, "kgf m|kg m|mkg|kpm"),
    ),
    "density": ((1, "kg/m3"), (1e3, "g/cm3|g/ml|kg/l")),
    "kinematic viscosity": ((1, "mm2/s|cSt|centistokes"), (100, "St"), (1e6, "m2/s")),
    "dynamic viscosity": ((1, "mPa s|mPa.s|cP|centipoise"), (100, "P|poise"), (1e3, "Pa s|Pa.s")),
    "speed of turning": ((1, "rpm|1/min|rev/min"),),
    "speed": ((1, "km/h|kmh|kph"), (INCH_MM * 12 * 5280 / 1e6, "mph")),
    "angle": ((1, "deg|degree|degrees|°"),),
    "share": ((1, "%|percent|per cent|pct|vol %"),),
    "area": ((1, "cm2|sq cm"), (INCH_MM**2 / 100, "sq in|in2")),
    "deposit": ((1, "mg/m2 d|mg/(m2 d)|mg/m2/d"),),
    "activation energy": ((1, "kJ/mol"), (1e-3, "J/mol")),
    "flow": ((1, "m3/h"), (0.06, "l/min")),
}
_TEMPERATURES = (
    Unit("C", "temperature", 1.0, 273.15),
    Unit("F", "temperature", 5 / 9, 459.67 * 5 / 9),
    Unit("K", "temperature", 1.0, 0.0),
)
_TEMPERATURE_WORDS = {
    "C": "C|deg C|degrees C|degree C|celsius|centigrade",
    "F": "F|deg F|degrees F|degree F|fahrenheit",
    "K": "K|kelvin",
}


def _spellings() -> tuple[dict[str, Unit], dict[str, Unit]]:
    exact: dict[str, Unit] = {}
    for dimension, rows in _TABLE.items():
        for factor, words in rows:
            name = words.split("|")[0]
            exact.update(dict.fromkeys(words.split("|"), Unit(name, dimension, factor)))
    for unit in _TEMPERATURES:
        exact.update(dict.fromkeys(_TEMPERATURE_WORDS[unit.name].split("|"), unit))
    return exact, {word.lower(): unit for word, unit in exact.items()}


_EXACT, _FOLDED = _spellings()
_FRACTIONS = {"½": " 1/2", "¼": " 1/4", "¾": " 3/4"}
_NUMBER = re.compile(
    r"(?P<sign>[+-]?)\s*(?:(?:(?P<whole>\d+)\s+)?(?P<over>\d+)\s*/\s*(?P<under>\d+)"
    r"|(?P<plain>\d[\d.,]*(?:[eE][+-]?\d+)?|[.,]\d+))\s*(?P<unit>.*)"
)


def find_unit(text: str) -> Unit | None:
    """The unit that a spelling stands for, or None."""
    word = " ".join(text.replace("²", "2").replace("³", "3").replace("·", " ").split())
    if word.startswith(("°", "º")) and len(word) > 1:
        word = word[1:].strip()
    word = word.rstrip(".") or word
    return _EXACT.get(word) or _FOLDED.get(word.lower())


def parse(text: str, wanted_unit: str) -> float:
    """The quantity as a number in the wanted unit; a bare number is taken to be in it already.

    Raises:
        ReviveError: no number, a number with two readings, an unknown unit, or a unit of another kind of quantity.

    >>> round(parse("30 psi", "bar"), 3), parse("12,4 V", "V"), parse("1/2 in", "mm"), round(parse("70 F", "C"), 2)
    (2.068, 12.4, 12.7, 21.11)
    """
    number, unit_text = _split(text, wanted_unit)
    if not unit_text or _same_word(unit_text, wanted_unit):
        return number
    wanted, found = find_unit(wanted_unit), find_unit(unit_text)
    if wanted is None:
        raise _trouble(text, f"a number{_in(wanted_unit)} was expected", "Leave the unit away.")
    if found is None:
        near = nearest(unit_text, [word for word, unit in _EXACT.items() if unit.dimension == wanted.dimension])
        mend = f"Did you mean '{near}'?" if near else f"Known here: {listed(names_of(wanted.dimension), 20)}."
        raise _trouble(text, f"{quoted(unit_text)} is no unit that is known here; {_kind(wanted)} was expected", mend)
    if found.dimension != wanted.dimension:
        mend = f"Known here: {listed(names_of(wanted.dimension), 20)}."
        if unit_text.lower() == "oz" and wanted.dimension == "volume":
            mend = "For fluid ounces write 'fl oz' (imperial) or 'US fl oz'."
        raise _trouble(text, f"{found.name} is a unit of {found.dimension}; {_kind(wanted)} was expected", mend)
    return convert(number, found, wanted)


def convert(number: float, found: Unit, wanted: Unit) -> float:
    """A number in another unit of the same dimension."""
    if found == wanted:
        return number
    return (number * found.factor + found.offset - wanted.offset) / wanted.factor


def remark(text: str) -> str:
    """What was taken for granted in reading a quantity, in one sentence; empty where nothing was.

    >>> remark("3 pt")
    "Taken as imperial: 1 pt = 568.3 ml. For American measure write 'US pt'."
    """
    try:
        _, unit_text = _split(text, "")
    except ReviveError:
        return ""
    unit = find_unit(unit_text)
    if unit is None or not unit.name.startswith("imp ") or unit_text.lower().startswith("imp"):
        return ""
    short = unit.name.removeprefix("imp ")
    return f"Taken as imperial: 1 {short} = {unit.factor:.4g} ml. For American measure write 'US {short}'."


def names_of(dimension: str) -> list[str]:
    """The printed names of the units of one dimension."""
    return list(dict.fromkeys(unit.name for unit in _EXACT.values() if unit.dimension == dimension))


def _split(text: str, wanted_unit: str) -> tuple[float, str]:
    flat = str(text).strip().replace("−", "-")
    for sign, words in _FRACTIONS.items():
        flat = flat.replace(sign, words)
    match = _NUMBER.fullmatch(" ".join(flat.split()))
    if match is None:
        raise _trouble(
            text, f"a number{_in(wanted_unit)} was expected", f"Write for example: 12.5 {wanted_unit}".rstrip()
        )
    if match["over"]:
        if float(match["under"]) == 0:
            raise _trouble(text, "nothing can be divided by 0", "Write the fraction as a decimal number.")
        number = float(match["whole"] or 0) + float(match["over"]) / float(match["under"])
    else:
        number = _decimal(text, match["plain"])
    if not isfinite(number):
        raise _trouble(text, "the number is far too large", "Write it without an exponent.")
    return (-number if match["sign"] == "-" else number), match["unit"].strip()


def _decimal(text: str, plain: str) -> float:
    if re.fullmatch(r"[1-9]\d{0,2}(,\d{3})+(\.\d+)?", plain):
        other = plain.replace(",", "")
        raise _trouble(text, "the comma can be read in two ways", f"Write {other}, or with a point for a decimal.")
    try:
        return float(plain.replace(",", "."))
    except ValueError:
        raise _trouble(
            text, f"{quoted(plain)} is not a number", "Write it with one decimal point, such as 12.5."
        ) from None


def _same_word(found: str, wanted: str) -> bool:
    one, other = found.lower(), wanted.lower()
    plural = min(len(one), len(other)) > 2 and (one + "s" == other or one == other + "s")
    return bool(wanted) and (one == other or plural)


def _in(unit: str) -> str:
    return f" in {unit}" if unit else ""


def _kind(unit: Unit) -> str:
    return (
        f"a {unit.dimension} in {unit.name}"
        if unit.dimension[0] not in "aeio"
        else f"an {unit.dimension} in {unit.name}"
    )


def _trouble(text: str, what: str, mend: str) -> ReviveError:
    return ReviveError(f"{quoted(text)}: {what}\n    {mend}")
