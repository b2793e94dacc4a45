"""Sharing out random work: order, hands and hours always kept, and never much longer than can be helped."""

import random
from itertools import permutations

import pytest

from revive.engine.dispatch import earliest_finish, share_out
from revive.engine.placing import Job, place_all
from revive.engine.workdays import DAY, workdays
from tests.schedule.bounds import Minutes, broken_promises, soonest_end

START = "2026-11-25"
WEEKS = {  # hours from Monday on, the same as given to the engine, and how many times the bound is the most allowed
    "four hours a day": ((4,) * 7, None, 1.1),
    "two hours a day": ((2,) * 7, None, 1.1),
    "weekends and a Wednesday evening": ((0, 0, 2, 0, 0, 6, 4), {"wed": 2, "sat": 6, "sun": 4}, 1.2),
}


def random_jobs(seed: int, size: int, people: int) -> list[Job]:
    draw = random.Random(seed)
    jobs: list[Job] = []
    for number in range(size):
        before = draw.sample([job.id for job in jobs], min(number, draw.choice((0, 1, 1, 2, 3))))
        wait = draw.choice((0, 0, 0, 0, 30, 120, 720, 1440, 2880, 10080))
        hands = people if draw.random() < 0.2 else 1
        work = draw.randint(5, 200) if draw.random() > 0.05 else 0
        jobs.append(Job(f"t{number}", work, wait, hands, tuple(before), draw.random() < 0.1))
    draw.shuffle(jobs)
    return jobs


@pytest.mark.parametrize("week", WEEKS)
@pytest.mark.parametrize("people", [1, 2])
@pytest.mark.parametrize("seed", range(8))
def test_random_work_keeps_every_promise_and_is_at_most_a_tenth_too_long_where_every_day_is_worked(seed, people, week):
    hours, by_weekday, allowed = WEEKS[week]
    jobs = random_jobs(seed, 40 + 10 * seed, people)
    # Where only three days a week are worked, one evening missed can cost half a week: a fifth is allowed there.
    calendar, minutes = workdays(START, max(hours), by_weekday), Minutes(START, hours)

    placed = share_out(jobs, people, calendar)

    assert broken_promises(jobs, placed, people, minutes) == []
    end, bound = max(item.ready for item in placed.values()), soonest_end(jobs, people, minutes)
    assert bound <= end
    assert end // DAY + 1 <= allowed * (bound // DAY + 1)


@pytest.mark.parametrize("people", [1, 2])
@pytest.mark.parametrize("seed", range(12))
def test_small_work_is_shared_out_as_well_as_any_order_can(seed, people):
    jobs = random_jobs(100 + seed, 6, people)
    calendar = workdays(START, 3)
    followers = {job.id: [other for other in jobs if job.id in other.before] for job in jobs}
    ends = []
    for order in permutations(job.id for job in jobs):
        urgency = {name: float(place) for place, name in enumerate(order)}
        ends.append(
            max(item.ready for item in place_all(jobs, jobs[::-1], followers, people, calendar, urgency).values())
        )

    end = max(item.ready for item in share_out(jobs, people, calendar).values())

    assert earliest_finish(jobs, people, calendar)[""] <= min(ends)
    assert end // DAY == min(ends) // DAY


def test_the_same_work_is_always_shared_out_the_same_way():
    jobs = random_jobs(7, 60, 2)

    first, second = (share_out(jobs, 2, workdays(START, 4)) for _ in range(2))

    assert list(first.items()) == list(second.items())


def test_other_work_goes_on_during_a_wait():
    soak = Job("soak", 60, wait=2880)
    after = Job("after", 60, before=("soak",))
    other = Job("other", 120)

    placed = share_out([other, soak, after], 1, workdays(START, 4))

    assert (placed["soak"].start, placed["other"].start) == (540, 600)
    assert placed["after"].start == 600 + 2880


def test_the_longest_wait_is_begun_first():
    jobs = [Job("clean", 60), Job("settle", 60, wait=600), Job("post", 60, wait=10080), Job("soak", 60, wait=2880)]

    placed = share_out(jobs, 1, workdays(START, 1))

    assert sorted(placed, key=lambda name: placed[name].start)[:2] == ["post", "soak"]


def test_work_for_two_waits_until_both_are_free():
    jobs = [Job("a", 60), Job("b", 100), Job("both", 30, hands=2)]

    placed = share_out(jobs, 2, workdays(START, 8))

    assert broken_promises(jobs, placed, 2, Minutes(START, (8,) * 7)) == []
    assert max(item.finish for item in placed.values()) == 540 + 130


def test_work_to_be_kept_whole_is_not_begun_in_the_evening():
    jobs = [Job("first", 100), Job("start", 60, before=("first",), keep_whole=True)]

    placed = share_out(jobs, 1, workdays(START, 2))

    assert placed["start"].pieces == ((DAY + 540, DAY + 600),)


def test_no_work_needs_no_days():
    assert share_out([], 1, workdays(START, 4)) == {}
