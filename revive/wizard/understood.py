"""Understand a number as people type it: units, years, dates, tyre codes; and say what was understood. Asks nothing."""

import re

from revive.engine.dates import day_number
from revive.frozen import Frozen
from revive.model import Question, ReviveError
from revive.units import parse, remark

MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")


class Number(Frozen):
    """A typed number in the question's unit. said: what was understood, where it was not simply the number."""

    value: float
    said: str = ""


def typed_number(question: Question, typed: str, today: str) -> Number:
    """The number that was meant; ReviveError says what was found and what was wanted."""
    number = _age(question, typed.strip(), today) if question.unit == "years" else None
    if number is None and question.unit == "year" and (year := re.fullmatch(r".*\b(1[89]\d\d|20\d\d)", typed.strip())):
        number = Number(float(year[1]))
    if number is None:
        value = round(parse(typed, question.unit), 4)
        number = Number(value, remark(typed))
    if not question.low <= number.value <= question.high:
        raise ReviveError(
            f"{number.value:g} {question.unit} is outside {question.low:g} to {question.high:g} {question.unit}.\n"
            "Look again, and at the unit."
        )
    return number


def _age(question: Question, typed: str, today: str) -> Number | None:
    """Years from a tyre code, a year or a date; None where it is a plain number."""
    this_year = int(today[:4])
    if question.id.startswith("tyre_") and re.fullmatch(r"\d{3,4}", typed):
        return _tyre_code(typed, today)
    if re.fullmatch(r"(19|20)\d\d", typed) and int(typed) <= this_year:
        whole = this_year - int(typed)
        return Number(float(whole), f"Since {typed}: {_years(whole)}.")
    iso = re.fullmatch(r"(\d{4})-(\d\d?)(-\d\d?)?", typed)
    named = re.fullmatch(r"([A-Za-z]{3})[a-z]*\.? (\d{4})", typed)
    short = re.fullmatch(r"(\d\d?)/(\d{4})", typed)
    if iso:
        year, month = int(iso[1]), int(iso[2])
    elif short:
        year, month = int(short[2]), int(short[1])
    elif named and named[1].lower() in MONTHS:
        year, month = int(named[2]), MONTHS.index(named[1].lower()) + 1
    else:
        return None
    months = (this_year - year) * 12 + int(today[5:7]) - month
    if not 1 <= month <= 12 or months < 0:
        raise ReviveError(f"'{typed}' is not a month that has been.\nType a year, a date such as 2011-06, or years.")
    age = round(months / 12, 1)
    return Number(age, f"Since {MONTHS[month - 1].capitalize()} {year}: {_years(age)}.")


def _tyre_code(typed: str, today: str) -> Number:
    """Age from the week and year on the side wall: four digits since 2000, three before, the older decade taken.

    Source: 49 CFR 574.5 (tyre identification number, date code).
    """
    week = int(typed[:2])
    if not 1 <= week <= 53:
        raise ReviveError(
            f"'{typed}' starts with week {week}; a year has 53 at most.\nType the last digits of the code, week first, "
            "such as 2319, or the age in years."
        )
    if len(typed) == 3:
        year = 1980 + int(typed[2])
        what = f"Week {week} of a year ending in {typed[2]}, before 2000; the older decade is taken, {year}"
    else:
        year = 2000 + int(typed[2:])
        what = f"Week {week} of {year}"
    days = day_number(today) - day_number(f"{year}-01-01") - 7 * (week - 1)
    if days < 0:
        raise ReviveError(f"'{typed}' would be week {week} of {year}, which is still to come.\nRead the code again.")
    age = round(days / 365.25, 1)
    return Number(age, f"{what}: {_years(age)} old.")


def _years(age: float) -> str:
    return f"{age:g} year" if age == 1 else f"{age:g} years"
