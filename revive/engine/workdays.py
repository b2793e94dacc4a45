"""Working hours on real dates: when work can go on, and when a piece of work ends. Pure; the start date is handed in.

Times are whole minutes since midnight at the start of the first day. Waits run by the clock, work only in the hours.
"""

from collections.abc import Mapping

from revive.engine.dates import day_number, is_date, iso_date
from revive.frozen import Frozen
from revive.model import ReviveError

WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAY = 24 * 60
OPENS = 9 * 60
"""Work begins at nine, or early enough for the day's hours to end by midnight."""


class Workdays(Frozen):
    """first_day: day number of the start date. minutes: working minutes of the seven weekdays, Monday first."""

    first_day: int
    minutes: tuple[int, ...]

    @property
    def longest(self) -> int:
        """Working minutes of the longest day."""
        return max(self.minutes)

    @property
    def stretch(self) -> float:
        """Minutes by the clock that go by, over a week, for each minute of work."""
        return 7 * DAY / sum(self.minutes)

    def hours_of(self, day: int) -> tuple[int, int]:
        """When work opens and closes on a day, counted from the first; equal on a free day."""
        minutes = self.minutes[(self.first_day + day + 2) % 7]
        opens = day * DAY + (OPENS if minutes <= DAY - OPENS else DAY - minutes)
        return opens, opens + minutes

    def next_work(self, minute: int) -> int:
        """The first minute at or after this one at which somebody can work."""
        day = minute // DAY
        opens, closes = self.hours_of(day)
        while minute >= closes or opens == closes:
            day += 1
            opens, closes = self.hours_of(day)
        return max(minute, opens)

    def left(self, minute: int) -> int:
        """Working minutes left in the day."""
        opens, closes = self.hours_of(minute // DAY)
        return max(0, closes - max(minute, opens))

    def pieces(self, minute: int, work: int) -> list[tuple[int, int]]:
        """The stretches, day by day, in which `work` minutes begun at or after `minute` are done; empty for no work."""
        found = []
        day = minute // DAY
        while work > 0:
            opens, closes = self.hours_of(day)
            begin = max(minute, opens)
            if begin < closes:
                end = min(begin + work, closes)
                found.append((begin, end))
                work -= end - begin
            day += 1
        return found

    def finish(self, minute: int, work: int) -> int:
        """The minute at which the last of `work` minutes, more than none, begun at or after `minute` is done."""
        week = sum(self.minutes)
        weeks = (work - 1) // week
        return self.pieces(minute, work - weeks * week)[-1][1] + weeks * 7 * DAY

    def date(self, minute: int) -> str:
        """ISO date of a minute."""
        return iso_date(self.first_day + minute // DAY)

    def moment(self, minute: int) -> str:
        """ISO date and time of a minute."""
        return f"{self.date(minute)}T{clock(minute)}"


def weekday(day: int) -> int:
    """0 for Monday to 6 for Sunday, from a day number.

    >>> WEEKDAYS[weekday(day_number("2026-11-25"))]
    'wed'
    """
    return (day + 2) % 7


def clock(minute: int) -> str:
    """The time of day.

    >>> clock(9 * 60 + 5)
    '09:05'
    """
    return f"{minute % DAY // 60:02d}:{minute % 60:02d}"


def workdays(start: str, hours_per_day: float, weekday_hours: Mapping[str, float] | None = None) -> Workdays:
    """Working hours from an ISO start date. weekday_hours: mon to sun -> hours; a day that it leaves out is free.

    Raises ReviveError for a start that is no date, for hours that no day has, or for a week without work.
    """
    if not is_date(start) or len(start) > 10:
        raise ReviveError(f"Start: '{start}' is no date; a date such as 2026-11-25 was expected.")
    if weekday_hours is None:
        hours = dict.fromkeys(WEEKDAYS, hours_per_day)
    else:
        unknown = [name for name in weekday_hours if name not in WEEKDAYS]
        if unknown:
            raise ReviveError(
                f"Hours by weekday: '{unknown[0]}' is no day; mon, tue, wed, thu, fri, sat or sun was expected. "
                "Write, for instance, sat 6."
            )
        hours = {name: weekday_hours.get(name, 0) for name in WEEKDAYS}
    for name, amount in hours.items():
        if not 0 <= amount <= 24:
            raise ReviveError(
                f"Hours of work: {name} has {amount:g}; 0 to 24 was expected. Give the hours you can work, such as 4."
            )
    minutes = tuple(round(hours[name] * 60) for name in WEEKDAYS)
    if max(minutes) < 15:
        raise ReviveError(
            "Hours of work: no day has a quarter of an hour. Give the hours that you can work on one day or more."
        )
    return Workdays(day_number(start), minutes)
