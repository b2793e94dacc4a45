"""Tyres: age from the date code, tread against the law.

Method: four digits are week and year; week 01 is the first full week of the year, Sunday to Saturday. Three digits are
week and last digit of the year, so every decade in which that code was in use is a reading.
Source: 49 CFR 574.5(b)(3) for the code; 64 FR 36807 of 8 July 1999 for the change to four digits; that the code began
in 1971 and four digits were due by 2 July 2000 is from memory. Tread: Road Vehicles (Construction and Use) Regulations
1986, regulation 27 (Great Britain); StVZO s. 36(2) (Germany); KDV s. 4(4) (Austria); COMAR 11.14.03.05 (Maryland);
19VAC30-70-400 item 5 (Virginia).
Units: years of 365.25 days, mm, cc.
Valid: motorcycle tyres with that code; law as read, it changes. It judges neither cracks nor fitness: an old tyre is
renewed whatever its tread.
Errors: refused for a code of other length, a week that the year has not, or a week that lies after the day asked for.
"""

from revive.engine.dates import day_number
from revive.figures.core import Figure, FigureError, yes_no

FIRST_YEAR = 1971
LAST_OLD = (2000, 26)
"""The last year and week of three digits."""
SUNDAY = day_number("2000-01-02") % 7
STRICTEST_MM = 1.6
MOPED_CC = 50
# country: (least above 50 cc, least up to 50 cc, source); 0 means that the pattern has to be visible
TREAD: dict[str, tuple[float, float, str]] = {
    "great_britain": (1.0, 0.0, "Road Vehicles (Construction and Use) Regulations 1986, regulation 27"),
    "germany": (1.6, 1.0, "StVZO s. 36(2)"),
    "austria": (1.6, 1.0, "KDV s. 4(4)"),
    "maryland": (25.4 / 32, 25.4 / 32, "COMAR 11.14.03.05, tyres without wear bars"),
    "virginia": (25.4 / 16, 25.4 / 16, "19VAC30-70-400 item 5"),
}
OTHER_NAMES = {
    "gb": "great_britain",
    "uk": "great_britain",
    "england": "great_britain",
    "scotland": "great_britain",
    "wales": "great_britain",
    "de": "germany",
    "deutschland": "germany",
    "at": "austria",
    "österreich": "austria",
    "md": "maryland",
    "va": "virginia",
}


def tyre_age(code: str, on: str) -> Figure:
    """Age in years on a day (ISO date), the oldest where a three-digit code has several readings."""
    today = _day(on)
    found = [(year, week) for year, week in readings(code) if week_start(year, week) <= today]
    if not found:
        raise FigureError(f"code {code.strip()} lies after {on}\n    Is it the date code, the last group on the wall?")
    ages = [(today - week_start(year, week)) / 365.25 for year, week in found]
    oldest = ages.index(max(ages))
    year, week = found[oldest]
    note = "From the first day of the week of making. Two tyres have two codes, and often only one wall carries it."
    if len(found) > 1:
        years = ", ".join(str(one) for one, _ in found)
        note = (
            f"Three digits do not show the decade: {years}. The oldest is shown until something proves another. {note}"
        )
    elif len(code_digits(code)) == 3:
        note = f"A three-digit code was in use until 2000. {note}"
    return Figure(
        "tyre_age",
        ages[oldest],
        "years",
        "week and year of the code; week 01 is the first full week, Sunday to Saturday",
        "49 CFR 574.5(b)(3); 64 FR 36807 (8 July 1999)",
        note,
        {
            "week": week,
            "year": year,
            "low": min(ages),
            "high": max(ages),
            "readings": [
                {"year": one, "week": number, "years": age} for (one, number), age in zip(found, ages, strict=True)
            ],
        },
    )


def tyre_tread(depth_mm: float, country: str, cc: float) -> Figure:
    """Margin over the legal least in mm (under 0: illegal), with the least and whether it is legal."""
    word = country.strip().lower().replace(" ", "_")
    place = OTHER_NAMES.get(word, word)
    if place in TREAD:
        above, moped, source = TREAD[place]
        least = moped if cc <= MOPED_CC else above
        note = "Over the middle three quarters of the width, all round. Local law as last published governs."
    else:
        least, source = STRICTEST_MM, "strictest of those known: StVZO s. 36(2), KDV s. 4(4)"
        note = f"The law of this place is not known here ({', '.join(TREAD)} are), so the strictest known is taken."
        place = "unknown"
    legal = depth_mm >= least and depth_mm > 0
    if least == 0:
        note = f"Up to {MOPED_CC} cc the pattern has to be visible; no depth is set. {note}"
    return Figure(
        "tyre_tread",
        depth_mm - least,
        "mm",
        "depth less the legal least",
        source,
        f"{note} Legal tread does not make an old or cracked tyre fit for the road.",
        {"legal": yes_no(legal), "least_mm": least, "country": place},
    )


def readings(code: str) -> list[tuple[int, int]]:
    """Every (year, week) that a code can mean, newest first.

    >>> readings("274"), readings("DOT 4819")
    ([(1994, 27), (1984, 27), (1974, 27)], [(2019, 48)])
    """
    digits = code_digits(code)
    if len(digits) == 4:
        years = [2000 + int(digits[2:])]
    elif len(digits) == 3:
        years = [year for year in range(2000, FIRST_YEAR - 1, -1) if year % 10 == int(digits[2])]
    else:
        raise FigureError(
            f"code is '{code.strip()[:20]}'; three or four digits were expected\n    Write the last group only: 4819."
        )
    week = int(digits[:2])
    found = [(year, week) for year in years if 1 <= week <= weeks_in(year)]
    if len(digits) == 3:
        found = [reading for reading in found if reading <= LAST_OLD]
    if not found:
        raise FigureError(
            f"code is {digits}; week {digits[:2]} is in none of its years\n    The first two digits are a week."
        )
    return found


def code_digits(code: str) -> str:
    """The digits of a code's last group, without DOT and what stands before; empty where there is none."""
    groups = code.upper().removeprefix("DOT").split()
    return groups[-1] if groups and groups[-1].isdecimal() and groups[-1].isascii() else ""


def week_start(year: int, week: int) -> int:
    """Day number of the Sunday with which a week begins."""
    first = day_number(f"{year:04d}-01-01")
    return first + (SUNDAY - first) % 7 + 7 * (week - 1)


def weeks_in(year: int) -> int:
    """52 or 53: the Sundays of a year."""
    return (week_start(year + 1, 1) - week_start(year, 1)) // 7


def _day(on: str) -> int:
    text = on[:10]
    parts = text.split("-")
    if [len(part) for part in parts] == [4, 2, 2] and all(part.isdecimal() for part in parts):
        month = int(parts[1])
        leap = int(parts[0]) % 4 == 0 and (int(parts[0]) % 100 != 0 or int(parts[0]) % 400 == 0)
        longest = 29 if month == 2 and leap else 28 if month == 2 else 30 if month in (4, 6, 9, 11) else 31
        if 1 <= month <= 12 and 1 <= int(parts[2]) <= longest:
            return day_number(text)
    raise FigureError(f"on is '{on[:30]}'; a date was expected\n    Write it as 2026-11-25.")
