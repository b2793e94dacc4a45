"""Compare and count ISO dates as text. Pure: the day of the plan is always handed in."""

import re
from functools import lru_cache

_DATE = re.compile(r"((?:1[89]|2[0-9])[0-9]{2})-([0-9]{2})-([0-9]{2})(T([01][0-9]|2[0-3]):[0-5][0-9](:[0-5][0-9])?)?")
_MONTH_DAYS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def is_date(text: str) -> bool:
    """Whether a text is an ISO date of the years 1800 to 2999, or such a date and time of the day.

    >>> is_date("2024-02-29"), is_date("2026-02-29"), is_date("2026-11-21T10:40")
    (True, False, True)
    """
    found = _DATE.fullmatch(text)
    if not found:
        return False
    year, month, day = int(found[1]), int(found[2]), int(found[3])
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    return 1 <= month <= 12 and 1 <= day <= _MONTH_DAYS[month - 1] - (month == 2 and not leap)


def day_number(iso: str) -> int:
    """Days from 1 March of year 0 in the Gregorian calendar; `iso` begins with YYYY-MM-DD.

    >>> day_number("2024-03-01") - day_number("2024-02-28")
    2
    """
    year, month, day = int(iso[:4]), int(iso[5:7]), int(iso[8:10])
    if month < 3:
        year, month = year - 1, month + 12
    return 365 * year + year // 4 - year // 100 + year // 400 + (153 * (month - 3) + 2) // 5 + day - 1


@lru_cache(maxsize=1024)
def iso_date(day: int) -> str:
    """The date with this day number; the inverse of day_number.

    >>> iso_date(day_number("2026-12-31") + 1)
    '2027-01-01'
    """
    year = (day * 400) // 146097 - 1
    while day_number(f"{year + 1:04d}-03-01") <= day:
        year += 1
    month, left = 3, day - day_number(f"{year:04d}-03-01")
    while left >= (length := 30 + (month in (3, 5, 7, 8, 10, 12, 13)) - (month == 14)):
        left, month = left - length, month + 1
    if month > 12:
        year, month = year + 1, month - 12
    return f"{year:04d}-{month:02d}-{left + 1:02d}"


def strictly_after(later: str, earlier: str) -> bool:
    """Whether `later` is certainly the newer of two dated entries; "" means undated, which counts as newest.

    A tie within a day is not strictly after, unless both carry a time.

    >>> strictly_after("2026-11-21", "2026-11-21T10:00"), strictly_after("", "2026-11-21"), strictly_after("", "")
    (False, True, False)
    """
    if not earlier:
        return False
    if not later:
        return True
    if later[:10] != earlier[:10]:
        return later[:10] > earlier[:10]
    return len(later) > 10 and len(earlier) > 10 and later > earlier


def same_moment(one: str, other: str) -> bool:
    """Whether two dated entries carry the same day and the same time of day; a day alone is no moment.

    >>> same_moment("2026-11-21T10:00", "2026-11-21T10:00"), same_moment("2026-11-21", "2026-11-21")
    (True, False)
    """
    return len(one) > 10 and one == other
