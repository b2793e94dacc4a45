"""Give every piece of work a place on the calendar, one after another in order of urgency. Pure and repeatable.

Source of the method, serial schedule generation: J. E. Kelley, "The Critical-Path Method: Resources Planning and
Scheduling", in Muth and Thompson, Industrial Scheduling (1963), chapter 21.
"""

from collections.abc import Mapping, Sequence
from heapq import heapify, heappop, heappush

from revive.engine.workdays import DAY, Workdays
from revive.frozen import Frozen

SMALLEST_START = 15
"""A task that runs on into the next day is not begun for fewer minutes than this at the end of one."""


class Job(Frozen):
    """One piece of work. work: minutes of hands-on time, 0 for a mere milestone. wait: minutes by the clock after it.

    hands: people it takes while it is worked on; none while it waits. before: jobs whose work and wait come first.
    keep_whole: not to be broken off overnight where one day can hold it. rank: place of the gate it is due before.
    """

    id: str
    work: int
    wait: int = 0
    hands: int = 1
    before: tuple[str, ...] = ()
    keep_whole: bool = False
    rank: int = 0


class Placed(Frozen):
    """When a job is worked on, in minutes. pieces: one stretch a day. ready: when what follows may begin."""

    start: int
    finish: int
    ready: int
    pieces: tuple[tuple[int, int], ...]


def place_all(
    jobs: Sequence[Job],
    followers: Mapping[str, Sequence[Job]],
    people: int,
    calendar: Workdays,
    urgency: Mapping[str, float],
) -> dict[str, Placed]:
    """Every job at the first moment that what is before it, the hands and the day allow.

    followers: job -> jobs that wait for it. urgency: job -> a number, the most urgent smallest. A job is as urgent as
    the most urgent of those that wait for it, so no job holds up a more urgent one.
    """
    by_id = {job.id: job for job in jobs}
    pressing = _pressing(jobs, followers, urgency)
    missing = {job.id: len(job.before) for job in jobs}
    release = dict.fromkeys(by_id, 0)
    used: dict[int, list[tuple[int, int, int]]] = {}  # day -> (begin, end, hands)
    full: set[int] = set()
    placed: dict[str, Placed] = {}
    queue = [(pressing[name], urgency[name], name) for name in by_id if not missing[name]]
    heapify(queue)
    while queue:
        name = heappop(queue)[2]
        where = placed[name] = _place(by_id[name], release[name], used, full, people, calendar)
        for follower in followers[name]:
            release[follower.id] = max(release[follower.id], where.ready)
            missing[follower.id] -= 1
            if not missing[follower.id]:
                heappush(queue, (pressing[follower.id], urgency[follower.id], follower.id))
    return {name: placed[name] for name in by_id}


def first_fit(job: Job, minute: int, calendar: Workdays) -> int:
    """The first minute at or after this one at which the day allows the job to begin."""
    minute = calendar.next_work(minute)
    while not _fits_day(job, minute, calendar):
        minute = calendar.next_work(calendar.hours_of(minute // DAY)[1])
    return minute


def _pressing(
    jobs: Sequence[Job], followers: Mapping[str, Sequence[Job]], urgency: Mapping[str, float]
) -> dict[str, float]:
    pressing = dict(urgency)
    todo = [job for job in jobs if not followers[job.id]]
    left = {job.id: len(followers[job.id]) for job in jobs}
    by_id = {job.id: job for job in jobs}
    while todo:
        job = todo.pop()
        for other in job.before:
            pressing[other] = min(pressing[other], pressing[job.id])
            left[other] -= 1
            if not left[other]:
                todo.append(by_id[other])
    return pressing


def _place(
    job: Job,
    release: int,
    used: dict[int, list[tuple[int, int, int]]],
    full: set[int],
    people: int,
    calendar: Workdays,
) -> Placed:
    """full: days on which no hand has a minute left."""
    if not job.work:
        return Placed(release, release, release + job.wait, ())
    minute = release
    while True:
        minute = first_fit(job, minute, calendar)
        if minute // DAY in full:
            minute = (minute // DAY + 1) * DAY
            continue
        pieces = calendar.pieces(minute, job.work)
        for begin, end in pieces:
            again = _retry_at(used.get(begin // DAY, ()), begin, end, people - job.hands)
            if again:
                break
        else:
            break
        minute = again
    for begin, end in pieces:
        day = begin // DAY
        pieces_of_day = used.setdefault(day, [])
        pieces_of_day.append((begin, end, job.hands))
        opens, closes = calendar.hours_of(day)
        if sum((stop - start) * hands for start, stop, hands in pieces_of_day) == (closes - opens) * people:
            full.add(day)
    finish = pieces[-1][1]
    return Placed(minute, finish, finish + job.wait, tuple(pieces))


def _retry_at(used: Sequence[tuple[int, int, int]], begin: int, end: int, room: int) -> int:
    """0 where never more than `room` hands are busy from begin to end; else a minute before which it cannot fit."""
    over = [piece for piece in used if piece[0] < end and piece[1] > begin]
    if sum(hands for _, _, hands in over) <= room:
        return 0
    for moment in sorted({begin, *(start for start, _, _ in over if start > begin)}):
        live = [(stop, hands) for start, stop, hands in over if start <= moment < stop]
        if sum(hands for _, hands in live) > room:
            return min(stop for stop, _ in live)
    return 0


def _fits_day(job: Job, minute: int, calendar: Workdays) -> bool:
    left = calendar.left(minute)
    if job.work <= left:
        return True
    if job.keep_whole:
        return job.work > calendar.longest and minute == calendar.hours_of(minute // DAY)[0]
    return left >= SMALLEST_START
