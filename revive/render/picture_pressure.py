"""Draw compression or leak-down cylinder by cylinder against the limits of the rule base. Judges nothing by itself."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from revive.model import Record, RuleBase
from revive.render.drawing import PAPER, Drawing, Picture
from revive.render.measures import show, unit_shown
from revive.render.wording import flat

AXIS, END, ROW = 44, 320, 44
MOST_LETTERS = 4
KEY = (
    "One bar a cylinder, the newest reading of each. The broken line is how far a cylinder may differ from the best. A "
    "hatched bar is on the wrong side of it, and says so in words. Thin lines are single limits."
)


@dataclass(frozen=True)
class Limit:
    """A line across the bars. main: the spread limit. low_is_bad: whether a bar should pass it."""

    value: float
    words: str
    main: bool = False


def readings_by_cylinder(record: Record, what: str) -> dict[str, float]:
    """The newest reading of each cylinder, in the order of the cylinders' names."""
    found = {
        f"{reading['cylinder']:g}"
        if isinstance(reading.get("cylinder"), int | float)
        else flat(reading.get("cylinder", "?")): float(reading["value"])
        for reading in record.readings
        if reading.get("what") == what and isinstance(reading.get("value"), int | float)
    }
    return dict(sorted(found.items(), key=lambda item: (len(item[0]), item[0])))


def spread_share(base: RuleBase) -> float | None:
    """The share of the highest compression that the lowest may not fall under, as the rules have it."""
    shares = [
        part[4]
        for rule in base.rules.values()
        for part in _compares(rule.when)
        if part[1] == "comp_low_bar" and part[2] == "less_than" and part[3] == ("fact", "comp_high_bar")
    ]
    return float(max(shares)) if shares else None


def _compares(condition: object) -> Iterator[tuple]:  # type: ignore[type-arg]
    if isinstance(condition, tuple) and condition:
        if condition[0] == "compare":
            yield condition
            return
        for part in condition:
            yield from _compares(part)


def compression_picture(
    base: RuleBase, record: Record, limits: Mapping[str, float], two_stroke: bool, units: str
) -> Picture | None:
    """Compression of each cylinder; None where none is on record."""
    found = readings_by_cylinder(record, "compression_bar")
    if not found:
        return None
    lines, share = [], spread_share(base)
    if share and len(found) > 1:
        limit = share * max(found.values())
        lines.append(
            Limit(limit, f"{share:.0%} of the highest, {_near(limit, 'bar', units)}: no cylinder under this", True)
        )
    name = "comp_two_stroke_bar_min" if two_stroke else "comp_low_bar_min"
    if name in limits:
        whose = "the maker's figure" if name in record.maker else _rests_on(base, name)
        lines.append(Limit(limits[name], f"least, {_near(limits[name], 'bar', units)} ({whose})"))
    return _bars("picture-compression", "Compression of each cylinder", found, "bar", lines, True, units)


def leakdown_picture(base: RuleBase, record: Record, limits: Mapping[str, float]) -> Picture | None:
    """Leak-down loss of each cylinder; None where none is on record."""
    found = readings_by_cylinder(record, "leakdown_pct")
    if not found:
        return None
    lines = []
    if "leakdown_spread_pct" in limits and len(found) > 1:
        limit = min(found.values()) + limits["leakdown_spread_pct"]
        lines.append(
            Limit(limit, f"best cylinder + {limits['leakdown_spread_pct']:g}: {limit:g} %, no cylinder over this", True)
        )
    for name, words in (("leakdown_good_pct_max", "good up to"), ("leakdown_fair_pct_max", "fair up to")):
        if name in limits:
            lines.append(Limit(limits[name], f"{words} {limits[name]:g} %"))
    return _bars("picture-leakdown", "Leak-down loss of each cylinder", found, "%", lines, False, "metric")


def _bars(
    name: str, title: str, found: Mapping[str, float], unit: str, lines: Sequence[Limit], low_is_bad: bool, units: str
) -> Picture:
    sheet = Drawing()
    whole = max(*found.values(), *(line.value for line in lines), 0.1) * 1.12
    scale = (END - AXIS) / whole
    top = 8.0
    bottom = top + ROW * len(found)
    told, labels, y = [], [], top
    for cylinder, value in found.items():
        wrong = [line for line in lines if (value < line.value if low_is_bad else value > line.value) and line.main]
        shown = _near(value, unit, units)
        sheet.words(2, y + 20, cylinder[:MOST_LETTERS], 18 if len(cylinder) < 3 else 13, True)
        draw = sheet.hatched if wrong else sheet.box
        draw(AXIS, y + 2, value * scale, 17)
        words = shown + (", out of line" if wrong else "")
        labels.append((y + 34, words))
        told.append(f"Cylinder {cylinder}: {words}.")
        y += ROW
    sheet.words(2, bottom + 4, "cyl.", 11)
    y = bottom + 8
    for number, line in enumerate(lines):
        x = AXIS + line.value * scale
        mark = "ABC"[number]
        sheet.line(x, top - 4, x, bottom + 2, 3 if line.main else 1.5, "8 4" if line.main else "2 3")
        sheet.words(x, bottom + 14 + 13 * (number % 2), mark, 13, True, "middle")
    for base_line, words in labels:
        sheet.box(AXIS - 2, base_line - 12, len(words) * 8 + 4, 15, PAPER, 0)
        sheet.words(AXIS, base_line, words, 13, True)
    y += 26
    for number, line in enumerate(lines):
        y = sheet.lines(4, y + 8, f"{'ABC'[number]}: {line.words}", 332, 13)
        told.append(f"Limit: {line.words}.")
    return sheet.done(name, f"{title}, {unit_shown(unit, units)}", " ".join(told), KEY, y)


def _near(value: float, unit: str, units: str) -> str:
    return show(float(f"{value:.3g}"), unit, units)


def _rests_on(base: RuleBase, limit: str) -> str:
    ids = {ref.id for ref in base.limits[limit].sources}
    return "from memory" if "from_memory" in ids else "the maker's manual governs"
