"""Compare and count ISO dates as text. Pure: the day of the plan is always handed in."""

from functools import lru_cache


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
