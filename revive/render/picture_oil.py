"""Draw the way of the oil in one engine layout, where dirt settles, and the points where oil must be seen to arrive."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from revive.model import Layout
from revive.render.drawing import PAPER, Drawing, Picture, broken
from revive.render.wording import flat

BOX, SIDE = 196, 216
KEY = (
    "Boxes from top to bottom are the way of the oil. A heap of grains marks a place where dirt settles. The numbered "
    "squares are the points where oil must be seen: tick each on paper when it runs without a break."
)


@dataclass(frozen=True)
class Arrival:
    """One kind of arrival point with the numbers of its points. certain: False while cylinders or valves are not known."""

    see: str
    how: str
    numbers: tuple[int, ...]
    per: str
    certain: bool


def arrivals(layout: Layout, known: Mapping[str, object]) -> list[Arrival]:
    """The points of a layout, numbered through. known: cylinders and valves_per_cylinder as far as they are known."""
    made, last = [], 0
    for point in layout.points:
        per = str(point.get("per", "engine"))
        count, certain = int(float(point.get("count", 1))), True
        for name in {"cylinder": ("cylinders",), "valve": ("cylinders", "valves_per_cylinder")}.get(per, ()):
            value = known.get(name)
            if isinstance(value, int | float) and value > 0:
                count *= int(value)
            else:
                certain = False
        numbers = tuple(range(last + 1, last + 1 + count))
        last += count
        made.append(Arrival(flat(point["see"]), flat(point.get("how", "")), numbers, per, certain))
    return made


def oil_picture(layout: Layout, points: Sequence[Arrival]) -> Picture:
    """The oil path of a layout as a sheet to hang beside the engine."""
    sheet, y = Drawing(), 6.0
    beside, elsewhere = settled(layout)
    told = [f"The oil goes: {'; '.join(map(flat, layout.oil_path))}."]
    for place, station in enumerate(layout.oil_path):
        if place:
            sheet.line(BOX / 2, y, BOX / 2, y + 12, 2)
            sheet.shape([(BOX / 2 - 5, y + 8), (BOX / 2 + 5, y + 8), (BOX / 2, y + 16)])
            y += 16
        y = _station(sheet, y, flat(station), beside.get(place, []))
    if layout.sediment:
        told.append(f"Dirt settles at: {'; '.join(map(flat, layout.sediment))}.")
    y += 20
    for text in elsewhere:
        sheet.heap(8, y)
        y = sheet.lines(36, y, f"Dirt settles: {text}", 300, 13) + 4
    sheet.line(0, y - 6, 340, y - 6, 2)
    y = sheet.lines(4, y + 14, "Oil must be seen at:", 330, 15, True) + 2
    for point in points:
        y = _point(sheet, y, point)
        told.append(f"Points {_span(point.numbers)}: {point.see}{_each(point)}.")
    return sheet.done("picture-oil", f"The way of the oil: {flat(layout.title)}", " ".join(told), KEY, y + 4)


def settled(layout: Layout) -> tuple[dict[int, list[str]], list[str]]:
    """Sediment places by the station that they share most words with, and those that share none."""
    stations = [_stems(station) for station in layout.oil_path]
    beside: dict[int, list[str]] = {}
    elsewhere = []
    for place in layout.sediment:
        shared = [len(_stems(place) & stems) for stems in stations]
        best = max(shared, default=0)
        if best:
            beside.setdefault(shared.index(best), []).append(flat(place))
        else:
            elsewhere.append(flat(place))
    return beside, elsewhere


def _stems(text: str) -> set[str]:
    return {word[:5] for word in re.findall(r"[a-z]{4,}", text.lower())} - {
        "with",
        "side",
        "some",
        "that",
        "where",
        "once",
    }


def _station(sheet: Drawing, y: float, text: str, dirt: list[str]) -> float:
    rows = broken(text, BOX - 16, 14)
    side = [broken(item, 340 - SIDE - 26, 12) for item in dirt]
    high = max(len(rows) * 17.5 + 10, sum(len(item) * 15 + 4 for item in side) + 4)
    sheet.box(1, y, BOX, high, PAPER, 2)
    sheet.lines(9, y + 18, text, BOX - 16, 14)
    at = y + 13
    for words in dirt:
        sheet.line(BOX + 1, at - 4, SIDE - 2, at - 4, 1.5, "2 3")
        sheet.heap(SIDE, at)
        at = sheet.lines(SIDE + 25, at, words, 340 - SIDE - 26, 12) + 4
    return y + high


def _point(sheet: Drawing, y: float, point: Arrival) -> float:
    y = sheet.lines(4, y + 12, point.see + _each(point), 330, 14)
    x = 4.0
    for number in point.numbers:
        if x > 300:
            x, y = 4.0, y + 30
        sheet.box(x, y - 8, 22, 22, PAPER, 2)
        sheet.words(x + 26, y + 9, str(number), 14, True)
        x += 46 if number < 10 else 54
    return y + 26


def _each(point: Arrival) -> str:
    if point.certain:
        return ""
    return ", one for each valve" if point.per == "valve" else ", one for each cylinder"


def _span(numbers: tuple[int, ...]) -> str:
    return str(numbers[0]) if len(numbers) == 1 else f"{numbers[0]} to {numbers[-1]}"
