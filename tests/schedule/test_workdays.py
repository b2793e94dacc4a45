"""Working hours on real dates, against the standard library's calendar."""

from datetime import date, datetime, timedelta

import pytest

from revive.engine.dates import day_number
from revive.engine.workdays import DAY, WEEKDAYS, weekday, workdays
from revive.model import ReviveError


@pytest.mark.parametrize("iso", ["1999-12-31", "2000-02-29", "2024-02-29", "2026-11-25", "2100-03-01"])
def test_weekdays_are_those_of_the_calendar(iso):
    assert weekday(day_number(iso)) == date.fromisoformat(iso).weekday()


def test_moments_count_on_over_months_and_years():
    calendar = workdays("2026-12-30", 4)

    for minute in (0, 541, 3 * DAY + 5, 800 * DAY + 1439):
        expected = datetime(2026, 12, 30) + timedelta(minutes=minute)
        assert calendar.moment(minute) == expected.strftime("%Y-%m-%dT%H:%M")


def test_work_goes_on_only_in_the_hours_of_each_day():
    calendar = workdays("2026-11-25", 0, {"wed": 1, "sat": 2.5})  # a Wednesday

    assert calendar.pieces(0, 150) == [(540, 600), (3 * DAY + 540, 3 * DAY + 630)]
    assert calendar.next_work(600) == 3 * DAY + 540
    assert calendar.left(3 * DAY + 600) == 90
    assert calendar.longest == 150


@pytest.mark.parametrize("work", [1, 60, 61, 209, 210, 211, 420, 421, 5000])
def test_the_finish_of_long_work_is_that_of_its_last_piece(work):
    calendar = workdays("2026-11-25", 0, {"wed": 1, "sat": 2.5})

    for begin in (0, 550, 600, 3 * DAY + 600):
        assert calendar.finish(begin, work) == calendar.pieces(begin, work)[-1][1]


def test_a_long_day_still_ends_by_midnight():
    assert workdays("2026-11-25", 20).hours_of(0) == (240, DAY)


@pytest.mark.parametrize("hours", [-1, 24.5, 0, 0.1, float("nan")])
def test_hours_that_no_day_has_are_refused(hours):
    with pytest.raises(ReviveError, match="Hours of work"):
        workdays("2026-11-25", hours)


def test_a_day_that_does_not_exist_is_refused():
    with pytest.raises(ReviveError, match="'sunday' is no day"):
        workdays("2026-11-25", 4, {"sunday": 3})


@pytest.mark.parametrize("start", ["", "2026-13-01", "2026-02-29", "2026-1-1", "25.11.2026", "2026-11-25T10:00"])
def test_a_start_that_is_no_date_is_refused(start):
    with pytest.raises(ReviveError, match="no date"):
        workdays(start, 4)


def test_every_weekday_has_a_name():
    assert [date(2026, 11, 23 + number).strftime("%a").lower() for number in range(7)] == list(WEEKDAYS)
