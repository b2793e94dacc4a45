"""Give every piece of work a place on the calendar, one after another in order of urgency. Pure and repeatable.

Source of the method, serial schedule generation: J. E. Kelley, "The Critical-Path Method: Resources Planning and
Scheduling", in Muth and Thompson, Industrial Scheduling (1963), chapter 21 (cited from memory).
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
    backwards: Sequence[Job],
    followers: Mapping[str, Sequence[Job]],
    people: int,
    calendar: Workdays,
    urgency: Mapping[str, float],
) -> dict[str, Placed]:
    """Every job at the first moment that what is before it, the hands and the day allow.

    backwards: the same jobs, each before those that it waits for. followers: job -> jobs that wait for it. urgency:
    job -> a number, the most urgent smallest. A job is as urgent as the most urgent of those that wait for it, so no
    job holds up a more urgent one.
    """
    by_id = {job.id: job for job in jobs}
    pressing = dict(urgency)
    for job in backwards:
        for other in job.before:
            if pressing[job.id] < pressing[other]:
                pressing[other] = pressing[job.id]
    missing = {job.id: len(job.before) for job in jobs}
    release = dict.fromkeys(by_id, 0)
    board = _Board(people, calendar)
    placed: dict[str, Placed] = {}
    queue = [(pressing[name], urgency[name], name) for name in by_id if not missing[name]]
    heapify(queue)
    while queue:
        name = heappop(queue)[2]
        where = placed[name] = board.place(by_id[name], release[name])
        for follower in followers[name]:
            release[follower.id] = max(release[follower.id], where.ready)
            missing[follower.id] -= 1
            if not missing[follower.id]:
                heappush(queue, (pressing[follower.id], urgency[follower.id], follower.id))
    return {name: placed[name] for name in by_id}


def first_fit(job: Job, minute: int, calendar: Workdays) -> int:
    """The first minute at or after this one at which the day allows the job to begin."""
    day = minute // DAY
    while True:
        opens, closes = calendar.hours_of(day)
        begin = minute if minute > opens else opens
        left = closes - begin
        if left > 0:
            if job.work <= left:
                return begin
            if job.keep_whole:
                if begin == opens and job.work > calendar.longest:
                    return begin
            elif left >= SMALLEST_START:
                return begin
        day += 1


Stretch = tuple[int, int]


class _Board:
    """What is left of the days. free: hands -> day -> stretches in which so many hands have nothing to do, in order."""

    def __init__(self, people: int, calendar: Workdays) -> None:
        self.calendar = calendar
        self.free: list[dict[int, list[Stretch]]] = [{} for _ in range(people + 1)]

    def place(self, job: Job, release: int) -> Placed:
        """Put a job at the first moment from `release` on that the day and the hands allow."""
        work = job.work
        if not work:
            return Placed(release, release, release + job.wait, ())
        day = release // DAY
        while True:
            for start, end in self._free(job.hands, day):
                if start < release:
                    start = release
                if work <= end - start:
                    return self._take(job, [(start, start + work)])
                if start < end and _runs_on(job, start, end, self.calendar):
                    pieces = self.calendar.pieces(start, work)
                    full = [begin for begin, end in pieces[1:] if not self._is_free(job.hands, begin, end)]
                    if not full:
                        return self._take(job, pieces)
                    day = full[0] // DAY - 1
            day += 1

    def _free(self, hands: int, day: int) -> list[Stretch]:
        found = self.free[hands].get(day)
        if found is None:
            opens, closes = self.calendar.hours_of(day)
            found = self.free[hands][day] = [(opens, closes)] if opens < closes else []
        return found

    def _is_free(self, hands: int, begin: int, end: int) -> bool:
        return any(start <= begin and end <= stop for start, stop in self._free(hands, begin // DAY))

    def _take(self, job: Job, pieces: list[Stretch]) -> Placed:
        """Where more hands than these were free, fewer are free now; elsewhere nobody is."""
        for begin, end in pieces:
            day = begin // DAY
            for hands in range(1, len(self.free)):
                busy = [(begin, end)]
                more = hands + job.hands
                for stretch in self._free(more, day) if more < len(self.free) else ():
                    busy = _without(busy, *stretch)
                for stretch in busy:
                    self.free[hands][day] = _without(self._free(hands, day), *stretch)
        finish = pieces[-1][1]
        return Placed(pieces[0][0], finish, finish + job.wait, tuple(pieces))


def _runs_on(job: Job, start: int, end: int, calendar: Workdays) -> bool:
    """Whether a job that this stretch cannot hold may begin in it and run on into the next day."""
    opens, closes = calendar.hours_of(start // DAY)
    if end < closes:
        return False
    if job.keep_whole:
        return job.work > calendar.longest and start == opens
    return end - start >= SMALLEST_START


def _without(stretches: list[Stretch], begin: int, end: int) -> list[Stretch]:
    """The stretches with the time from begin to end cut out."""
    left = []
    for start, stop in stretches:
        if stop <= begin or start >= end:
            left.append((start, stop))
            continue
        if start < begin:
            left.append((start, begin))
        if stop > end:
            left.append((end, stop))
    return left
