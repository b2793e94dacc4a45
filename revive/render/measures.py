"""Show quantities in the reader's units. The record and the plan stay metric; only what is shown changes.

`metric` changes nothing. With `imperial` a quantity in running text is turned and its metric keeps standing behind it
in brackets, since cans, gauges and manuals may be marked in either and rounding must never hide the figure that counts.
Pints, gallons and fluid ounces are imperial, and say so. Volumes go by their size: gallons, pints, under half a pint
fluid ounces, and under half a fluid ounce millilitres, as on a syringe. Engine size stays in cc.
Refuses to touch what is typed (commands, answers with `=`), the words of the record, and numbers without a unit.

Factors: `revive.units`.
"""

import re
from collections.abc import Mapping
from dataclasses import replace
from math import floor, log10

from revive.render.blocks import Block, Page
from revive.units import convert, find_unit

SYSTEMS = ("metric", "imperial")
NOTE = (
    "Quantities are shown in imperial measure, rounded, with the metric figure in brackets. The metric figure counts. "
    "Pints, gallons and fluid ounces are imperial, not American. Amounts under half a fluid ounce stay in millilitres, "
    "as a syringe is marked."
)
_TO = {
    "l": "imp pt",
    "ml": "imp fl oz",
    "mm": "in",
    "cm": "in",
    "m": "ft",
    "km": "mi",
    "km/h": "mph",
    "bar": "psi",
    "C": "F",
    "kg": "lb",
    "N m": "lbf ft",
}
_SAID = {"mi": "miles"}
_VOLUMES = (("imp gal", 1.0), ("imp pt", 0.5), ("imp fl oz", 0.5), ("ml", 0.0))
"""Units of volume and the least of each that is spoken of."""
_NUMBER = r"-?\d+(?:\.\d+)?"
_UNIT = r"km/h|km|mm|ml|cm|kg|N m|bar|l|m|C"
_QUANTITY = re.compile(
    rf"(?<![\w.,/:=+-])(?P<first>{_NUMBER})(?:(?P<joint> to | or |-)(?P<last>{_NUMBER}))?"
    rf" (?P<unit>{_UNIT})(?![\w/²³^=])(?!-\w)(?! \(\d[\d.]* (?:psi|in|F|lbf ft|imp)\b)"
    rf"(?P<range> \((?P<low>{_NUMBER}) to (?P<high>{_NUMBER})\))?"
)
_APART = re.compile(
    r"(?:\bwithin|\bby|\brises?|\bfalls?|\bdrops?|±)\s*$|^ (?:of|above|below|under|over|apart|more|less) "
)


def show(value: float, unit: str, units: str = "metric") -> str:
    """One quantity in the reader's units, without the metric in brackets; for pictures and tables.

    >>> show(0.3, "l"), show(2, "bar", "imperial"), show(9, "l", "imperial"), show(40, "C", "imperial")
    ('0.3 l', '29 psi', '2 imp gal', '104 F')
    >>> show(0.05, "l", "imperial"), show(0.01, "l", "imperial"), show(10, "ml", "imperial")
    ('1.8 imp fl oz', '10 ml', '10 ml')
    """
    if units != "imperial" or unit not in _TO:
        return f"{value:g} {unit}".strip()
    number, name = _turned((value,), unit, _target((value,), unit))
    return f"{number} {name}"


def unit_shown(unit: str, units: str = "metric") -> str:
    """The unit that a single quantity is shown in.

    >>> unit_shown("bar", "imperial"), unit_shown("bar"), unit_shown("cc", "imperial")
    ('psi', 'bar', 'cc')
    """
    return _SAID.get(_TO[unit], _TO[unit]) if units == "imperial" and unit in _TO else unit


def in_prose(text: str, units: str = "metric") -> str:
    """Running text with every quantity turned and the metric kept in brackets.

    >>> in_prose("Pour 0.3 l, at most 2 bar, 50 to 60 C and no hotter.", "imperial")
    'Pour 0.53 imp pt (0.3 l), at most 29 psi (2 bar), 122 to 140 F (50 to 60 C) and no hotter.'
    >>> in_prose("within 5 C of the air; M6 at 8 to 10 N m; 20W-50; 250 cc", "imperial")
    'within 9 F (5 C) of the air; M6 at 5.9 to 7.4 lbf ft (8 to 10 N m); 20W-50; 250 cc'
    >>> in_prose("16.6 bar (13.1 to 20.9)", "imperial")
    '241 psi, 190 to 303 (16.6 bar, 13.1 to 20.9)'
    """
    return _QUANTITY.sub(_replaced, text) if units == "imperial" else text


def in_units(pages: tuple[Page, ...], units: str, machine: Mapping[str, object]) -> tuple[Page, ...]:
    """Pages with their quantities as the reader wants them. machine: as in the record; its words are left alone."""
    if units != "imperial":
        return pages
    told = (" ".join(str(words).split()) for words in machine.values())
    own = frozenset(words for words in told if _QUANTITY.search(words))
    turned = [replace(page, blocks=tuple(_block(block, own) for block in page.blocks)) for page in pages]
    last = turned[-1]
    turned[-1] = replace(last, blocks=(*last.blocks, Block("line", NOTE, "Measures")))
    return tuple(turned)


def _block(block: Block, own: frozenset[str]) -> Block:
    if block.kind == "command" or (block.kind == "heading" and block.level == 1):
        return block
    return replace(
        block,
        text=_unless_own(block.text, own),
        items=tuple(item if re.match(r"\w+=\.\.\. ", item) else _unless_own(item, own) for item in block.items),
    )


def _unless_own(text: str, own: frozenset[str]) -> str:
    return text if any(words in text for words in own) else in_prose(text, "imperial")


def _replaced(found: re.Match[str]) -> str:
    unit = found["unit"]
    values = [float(text) for text in (found["first"], found["last"]) if text is not None]
    before, after = found.string[: found.start()], found.string[found.end() :]
    target = _target(tuple(values), unit)
    if target == unit:
        return found[0]
    if unit == "C" and (_APART.search(before[-12:]) or _APART.match(after)):
        number, name = _joined([_rounded(value * 9 / 5) for value in values], found["joint"]), "F"
    else:
        number, name = _turned(tuple(values), unit, target, found["joint"] or " to ")
    if found["range"]:
        span = _turned((float(found["low"]), float(found["high"])), unit, target)[0]
        metric = found[0].removesuffix(found["range"])
        return f"{number} {name}, {span} ({metric}, {found['low']} to {found['high']})"
    return f"{number} {name} ({found[0]})"


def _target(values: tuple[float, ...], unit: str) -> str:
    """The unit to show in: for a volume the largest of which there is enough, and of its least part a tenth.

    >>> _target((0.3,), "l"), _target((0.2,), "l"), _target((5, 20), "ml"), _target((1, 20), "ml"), _target((0.3, 6), "l")
    ('imp pt', 'imp fl oz', 'imp fl oz', 'ml', 'imp pt')
    """
    if unit not in ("l", "ml") or not any(values):
        return _TO[unit]
    sizes = [abs(value) for value in values if value]
    return next(
        name
        for name, least in _VOLUMES
        if name == "ml" or (_in(max(sizes), unit, name) >= least and _in(min(sizes), unit, name) >= 0.1)
    )


def _in(value: float, unit: str, target: str) -> float:
    source, wanted = find_unit(unit), find_unit(target)
    assert source is not None and wanted is not None
    return convert(value, source, wanted)


def _turned(values: tuple[float, ...], unit: str, target: str, joint: str = " to ") -> tuple[str, str]:
    """Numbers in imperial measure, rounded for show, and the unit's name."""
    numbers = [_in(value, unit, target) for value in values]
    if target == "ml":
        return _joined([f"{number:.3g}" for number in numbers], joint), target
    shown = [f"{number:.0f}" if unit == "C" else _rounded(number) for number in numbers]
    return _joined(shown, joint), _SAID.get(target, target)


def _joined(shown: list[str], joint: str | None) -> str:
    return (joint or " to ").join(shown)


def _rounded(number: float) -> str:
    """Two figures, three from a hundred on; enough for the bench, and the metric stands beside it.

    >>> _rounded(0.1968), _rounded(29.0075), _rounded(145.04), _rounded(3280.84), _rounded(0)
    ('0.2', '29', '145', '3280', '0')
    """
    if not number:
        return "0"
    figures = 2 if abs(number) < 100 else 3
    places = figures - 1 - floor(log10(abs(number)))
    return (
        f"{round(number, places):.{max(places, 0)}f}".rstrip("0").rstrip(".")
        if places > 0
        else f"{round(number, places):.0f}"
    )
