"""Draw the calendar of a plan: days as bars, long waits as rails beside them, the longest chain marked. Reckons nothing."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from revive.plan import Plan
from revive.render.drawing import INK, PAPER, Drawing, Picture
from revive.render.wording import day_words

DAYS_A_SHEET = 16
BAR, ROW, GAP = 84, 38, 18
LANE, MOST_LANES = 17, 4
LONG_WAIT_MIN = 24 * 60
KEY = (
    "One bar a working day, as long as its hours. Black pieces, and numbers with a star, are on the longest chain: late "
    "there is late everywhere. White pieces have slack. A broken rail at the right is a wait that runs by itself; the "
    "number on it is the task that began it. Below each bar stand the numbers of its tasks."
)


def days_pictures(plan: Plan) -> list[Picture]:
    """The days in order, some to a sheet; none where the plan has no calendar."""
    days = list(plan.schedule.get("days", ()))
    sheets = [days[at : at + DAYS_A_SHEET] for at in range(0, len(days), DAYS_A_SHEET)]
    return [_sheet(plan, rows, place, len(sheets)) for place, rows in enumerate(sheets, start=1)]


def _sheet(plan: Plan, days: Sequence[Mapping[str, Any]], place: int, sheets: int) -> Picture:
    sheet, told = Drawing(), []
    number = {task.id: task.order for task in plan.tasks}
    chain = set(plan.schedule.get("critical_path", ()))
    waits = list(_waits(plan, days))
    most = max(float(day["hands_on_h"]) for day in plan.schedule["days"]) or 1
    lanes = min(len(waits), MOST_LANES)
    room = 340 - BAR - lanes * LANE - 8
    tops: dict[str, float] = {}
    y, before = 6.0, ""
    for day in days:
        if before and (idle := _days_between(before, day["date"]) - 1) > 0:
            sheet.words(BAR, y + 12, f"{idle} {'day' if idle == 1 else 'days'} without work", 12)
            y += GAP
        tops[day["date"]], before = y, day["date"]
        _day(sheet, y, day, room / most, number, chain)
        marked = ", ".join(_numbers(day, number, chain))
        told.append(f"{day_words(day['date'])}: {day['hands_on_h']:g} h, tasks {marked}.")
        y += ROW
    for row, lane in _laned(waits):
        first = str(number.get(row["task"], ""))
        told.append(f"Task {first} waits from {day_words(row['finishes'])} to {day_words(row['ready'])}.")
        if lane < MOST_LANES:
            _rail(sheet, 340 - (lane + 0.5) * LANE, tops, row, first, y)
    title = "The working days, their waits and the longest chain" + (
        f", sheet {place} of {sheets}" if sheets > 1 else ""
    )
    return sheet.done(f"picture-days-{place}", title, " ".join(told), KEY, y + 6)


def _day(
    sheet: Drawing, y: float, day: Mapping[str, Any], scale: float, number: Mapping[str, int], chain: set[str]
) -> None:
    sheet.words(4, y + 13, _short(day["date"]), 13, True)
    sheet.words(4, y + 28, f"{day['hands_on_h']:.1f} h", 12)
    x, shares = float(BAR), day.get("work") or []
    whole = sum(piece["minutes"] for piece in shares) or 1
    for piece in shares:
        wide = float(day["hands_on_h"]) * scale * piece["minutes"] / whole
        sheet.box(x, y, wide, 15, INK if piece["task"] in chain else PAPER, 1.5)
        x += wide
    sheet.words(BAR, y + 28, " ".join(_numbers(day, number, chain)), 12)


def _numbers(day: Mapping[str, Any], number: Mapping[str, int], chain: set[str]) -> list[str]:
    tasks = dict.fromkeys(day["tasks"])
    return [f"{number.get(task, '?')}{'*' if task in chain else ''}" for task in tasks]


def _waits(plan: Plan, days: Sequence[Mapping[str, Any]]) -> Iterator[Mapping[str, Any]]:
    """Long waits that run while these days pass."""
    first, last = days[0]["date"], days[-1]["date"]
    for row in plan.schedule.get("tasks", ()):
        long_enough = row["ready_min"] - row["finish_min"] >= LONG_WAIT_MIN
        if long_enough and row["finishes"][:10] <= last and row["ready"][:10] > first:
            yield row


def _laned(waits: Sequence[Mapping[str, Any]]) -> Iterator[tuple[Mapping[str, Any], int]]:
    """Each wait with the first lane that is free by then."""
    ends: list[str] = []
    for row in sorted(waits, key=lambda row: row["finishes"]):
        lane = next((at for at, end in enumerate(ends) if end < row["finishes"][:10]), len(ends))
        ends[lane : lane + 1] = [row["ready"][:10]]
        yield row, lane


def _rail(
    sheet: Drawing, x: float, tops: Mapping[str, float], row: Mapping[str, Any], first: str, bottom: float
) -> None:
    begins, ends = row["finishes"][:10], row["ready"][:10]
    top = next((y for date, y in tops.items() if date >= begins), bottom) if begins >= min(tops) else 0
    end = next((y for date, y in tops.items() if date >= ends), None)
    low = (end if end is not None else bottom) + (7 if end is not None else 0)
    sheet.line(x, top + 15, x, max(low, top + 22), 2, "4 3")
    if end is not None:
        sheet.line(x - 5, max(low, top + 22), x + 5, max(low, top + 22), 2.5)
    sheet.words(x, top + 12, first, 12, True, "middle")


def _short(date: str) -> str:
    day, month = day_words(date).split(" ")[:2]
    return f"{day} {month[:3]}"


def _days_between(one: str, other: str) -> int:
    from revive.engine.dates import day_number

    return day_number(other[:10]) - day_number(one[:10])
