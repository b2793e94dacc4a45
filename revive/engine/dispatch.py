"""Share work out over days and hands: list scheduling, the best of a few fixed priorities. Pure and repeatable.

Source of the method: R. L. Graham, "Bounds on Multiprocessing Timing Anomalies", SIAM Journal on Applied
Mathematics 17 (1969), pages 416 to 429; the longest chain of work first: T. C. Hu, "Parallel Sequencing and Assembly
Line Problems", Operations Research 9 (1961), pages 841 to 848. No priority is best for every network, so several are
tried and the shortest calendar is kept.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

from revive.engine.network import longest_after
from revive.engine.workdays import DAY, Workdays

NEVER = 2**62
SMALLEST_START = 15
"""A task that runs on into the next day is not begun for fewer minutes than this at the end of one."""

PATIENCE = (0, 60, 180)
"""Minutes for which a pass may leave hands idle for a more urgent job whose wait is about to end."""


@dataclass(frozen=True)
class Job:
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


@dataclass(frozen=True)
class Placed:
    """When a job is worked on, in minutes. pieces: one stretch a day. ready: when what follows may begin."""

    start: int
    finish: int
    ready: int
    pieces: tuple[tuple[int, int], ...]


Priority = Callable[[Job], tuple[float, ...]]


def share_out(jobs: Sequence[Job], people: int, calendar: Workdays, goal: str = "") -> dict[str, Placed]:
    """Every job placed. Least days first, then the earliest day for the `goal` job, then the most natural order.

    `jobs` come in working order, each after those it waits for.
    """
    followers = _followers(jobs)
    best: dict[str, Placed] = {}
    best_days: tuple[int, ...] = ()
    for priority in _priorities(jobs, calendar, goal):
        for leave_idle, patience in product((False, True) if people > 1 else (False,), PATIENCE):
            placed = _Pass(jobs, followers, calendar, priority).run(people, leave_idle, patience)
            days = (
                max((item.ready for item in placed.values()), default=0) // DAY,
                placed[goal].finish // DAY if goal in placed else 0,
                max((item.finish for item in placed.values()), default=0) // DAY,
            )
            if not best or days < best_days:
                best, best_days = placed, days
    return best


def _priorities(jobs: Sequence[Job], calendar: Workdays, goal: str) -> list[Priority]:
    """Small comes first. The longest chain that is left counts waits by the clock, so long waits start early."""
    order = {job.id: place for place, job in enumerate(jobs)}
    before = {job.id: job.before for job in jobs}
    slow = longest_after({job.id: job.work * calendar.stretch + job.wait for job in jobs}, before)
    plain = longest_after({job.id: float(job.work + job.wait) for job in jobs}, before)
    waits = longest_after({job.id: float(job.wait) for job in jobs}, before)
    leads = _leads_to(goal, before)
    return [
        lambda job: (-waits[job.id] // (7 * DAY), job.rank, -slow[job.id], order[job.id]),
        lambda job: (-slow[job.id], order[job.id]),
        lambda job: (job.id not in leads, -slow[job.id], order[job.id]),
        lambda job: (-plain[job.id], order[job.id]),
        lambda job: (job.id not in leads, -plain[job.id], order[job.id]),
        lambda job: (-waits[job.id], -job.work, order[job.id]),
    ]


def _leads_to(goal: str, before: Mapping[str, tuple[str, ...]]) -> set[str]:
    todo, found = [goal] if goal in before else [], set[str]()
    while todo:
        job = todo.pop()
        if job not in found:
            found.add(job)
            todo.extend(before[job])
    return found


def _followers(jobs: Sequence[Job]) -> dict[str, list[Job]]:
    followers: dict[str, list[Job]] = {job.id: [] for job in jobs}
    for job in jobs:
        for other in job.before:
            followers[other].append(job)
    return followers


class _Pass:
    """One pass through time with one priority."""

    def __init__(
        self, jobs: Sequence[Job], followers: Mapping[str, list[Job]], calendar: Workdays, priority: Priority
    ) -> None:
        self.jobs, self.followers, self.calendar = jobs, followers, calendar
        self.place = {job.id: number for number, job in enumerate(sorted(jobs, key=priority))}
        self.placed: dict[str, Placed] = {}
        self.release = dict.fromkeys(self.place, 0)
        self.missing = {job.id: len(job.before) for job in jobs}
        self.eligible: list[Job] = []
        for job in jobs:
            if not job.before:
                self._open(job)

    def run(self, people: int, leave_idle: bool, patience: int) -> dict[str, Placed]:
        """leave_idle: hands stay free for a job that needs more of them, rather than fill in."""
        minute = self.calendar.next_work(0)
        busy: list[tuple[int, int]] = []  # (finish, hands)
        while self.eligible:
            busy = [(finish, hands) for finish, hands in busy if finish > minute]
            free = people - sum(hands for _, hands in busy)
            soon, kept = NEVER, 0
            for job in sorted(self.eligible, key=lambda job: self.place[job.id]) if free else ():
                if self.release[job.id] > minute:
                    if self.release[job.id] <= minute + patience:
                        soon, kept = min(soon, self.release[job.id]), kept + job.hands
                    continue
                if not _fits_day(job, minute, self.calendar):
                    continue
                if minute + job.work > soon and job.hands > free - min(kept, people):
                    continue
                if job.hands > free:
                    if leave_idle:
                        break
                    continue
                pieces = tuple(self.calendar.pieces(minute, job.work))
                self.eligible.remove(job)
                self._put(job, Placed(minute, pieces[-1][1], pieces[-1][1] + job.wait, pieces))
                busy.append((pieces[-1][1], job.hands))
                free -= job.hands
            if self.eligible:
                minute = self.calendar.next_work(self._next_event(busy, minute))
        return {job.id: self.placed[job.id] for job in self.jobs}

    def _put(self, job: Job, where: Placed) -> None:
        self.placed[job.id] = where
        for follower in self.followers[job.id]:
            self.release[follower.id] = max(self.release[follower.id], where.ready)
            self.missing[follower.id] -= 1
            if not self.missing[follower.id]:
                self._open(follower)

    def _open(self, job: Job) -> None:
        """Everything before the job has its place: a milestone gets its own at once, work may be chosen."""
        if job.work:
            self.eligible.append(job)
        else:
            release = self.release[job.id]
            self._put(job, Placed(release, release, release + job.wait, ()))

    def _next_event(self, busy: Sequence[tuple[int, int]], minute: int) -> int:
        """The next minute at which something changes: hands come free, a wait ends, or the day closes."""
        events = [finish for finish, _ in busy if finish > minute]
        releases = [self.release[job.id] for job in self.eligible]
        events += [release for release in releases if release > minute]
        if min(releases) <= minute:
            events.append(self.calendar.hours_of(minute // DAY)[1])
        return min(events)


def _fits_day(job: Job, minute: int, calendar: Workdays) -> bool:
    left = calendar.left(minute)
    if job.work <= left:
        return True
    if job.keep_whole:
        return job.work > calendar.longest and minute == calendar.hours_of(minute // DAY)[0]
    return left >= SMALLEST_START
