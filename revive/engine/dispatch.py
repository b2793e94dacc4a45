"""Share work out over days and hands: try several orders of urgency, mend the best, know when no better is possible.

Pure and repeatable. Sources: the longest chain of work first, T. C. Hu, "Parallel Sequencing and Assembly Line
Problems", Operations Research 9 (1961), pages 841 to 848; moving what was held up to the front and trying again,
D. E. Joslin and D. P. Clements, "Squeaky Wheel Optimization", Journal of Artificial Intelligence Research 10 (1999),
pages 353 to 373; both from memory.
"""

from collections.abc import Callable, Mapping, Sequence
from graphlib import TopologicalSorter

from revive.engine.placing import Job, Placed, first_fit, place_all
from revive.engine.workdays import DAY, Workdays

ROUNDS = 8
"""Times that held-up jobs are moved to the front before the best so far is taken."""


def share_out(jobs: Sequence[Job], people: int, calendar: Workdays, goal: str = "") -> dict[str, Placed]:
    """Every job placed. Least days first, then the earliest day for the `goal` job.

    Several priorities are tried. Where the longest chain of the best result was held up for want of hands, the jobs
    held up are moved to the front and the work is shared out again, until nothing is held up, the result is as short
    as earliest_finish proves possible, or ROUNDS are over.
    """
    if not jobs:
        return {}
    share = _Share(jobs, people, calendar, goal)
    for priority in _priorities(jobs, share.backwards, calendar, goal):
        share.try_order([job.id for job in sorted(jobs, key=priority)])
        if share.is_proved_best():
            return share.best
    order, placed = share.best_order, share.best
    for _ in range(ROUNDS):
        blamed = share.held_up(placed)
        if not blamed or share.is_proved_best():
            break
        order = [name for name in order if name in blamed] + [name for name in order if name not in blamed]
        placed = share.try_order(order)
    return share.best


def earliest_finish(jobs: Sequence[Job], people: int, calendar: Workdays) -> dict[str, int]:
    """A minute before which no sharing out can have each job done with, its wait included; under "" the whole.

    Along a chain no job begins before what is before it is ready. Up to a milestone and to the end, all the work that
    cannot begin before some minute must still be done after it by the hands there are.
    """
    by_id = {job.id: job for job in jobs}
    heads: dict[str, int] = {}
    ready: dict[str, int] = {}
    earlier: dict[str, set[str]] = {}
    for job in in_order(jobs):
        name = job.id
        earlier[name] = set(job.before).union(*(earlier[other] for other in job.before))
        heads[name] = max((ready[other] for other in job.before), default=0)
        if job.work:
            heads[name] = first_fit(job, heads[name], calendar)
            ready[name] = calendar.finish(heads[name], job.work) + job.wait
        else:
            ready[name] = max(heads[name], _load_ends([by_id[x] for x in earlier[name]], heads, people, calendar))
            ready[name] += job.wait
    ready[""] = max([*ready.values(), _load_ends(jobs, heads, people, calendar)])
    return ready


def in_order(jobs: Sequence[Job]) -> list[Job]:
    """The jobs, each after those that it waits for."""
    by_id = {job.id: job for job in jobs}
    return [by_id[name] for name in TopologicalSorter({job.id: job.before for job in jobs}).static_order()]


def _load_ends(jobs: Sequence[Job], heads: Mapping[str, int], people: int, calendar: Workdays) -> int:
    latest, load = 0, 0
    rows = sorted(((heads[job.id], job.work * job.hands) for job in jobs), reverse=True)
    for place, (head, work) in enumerate(rows):
        load += work
        if load and (place + 1 == len(rows) or rows[place + 1][0] != head):
            latest = max(latest, calendar.finish(head, -(-load // people)))
    return latest


Priority = Callable[[Job], tuple[float, ...]]


def _priorities(jobs: Sequence[Job], backwards: Sequence[Job], calendar: Workdays, goal: str) -> list[Priority]:
    """Small comes first. The longest chain that is left counts waits by the clock, so long waits start early."""
    order = {job.id: place for place, job in enumerate(jobs)}
    stretch = calendar.stretch
    slow = _longest_after(backwards, {job.id: job.work * stretch + job.wait for job in jobs})
    plain = _longest_after(backwards, {job.id: float(job.work + job.wait) for job in jobs})
    waits = _longest_after(backwards, {job.id: float(job.wait) for job in jobs})
    leads = _leads_to(goal, {job.id: job.before for job in jobs})
    return [
        lambda job: (-waits[job.id] // (7 * DAY), job.rank, -slow[job.id], order[job.id]),
        lambda job: (job.id not in leads, -slow[job.id], order[job.id]),
        lambda job: (-slow[job.id], order[job.id]),
        lambda job: (-plain[job.id], order[job.id]),
        lambda job: (-waits[job.id], -job.work, order[job.id]),
    ]


def _longest_after(backwards: Sequence[Job], durations: Mapping[str, float]) -> dict[str, float]:
    """For every job, the longest chain of durations from its start to the end of the whole."""
    chain = dict.fromkeys(durations, 0.0)
    for job in backwards:
        chain[job.id] += durations[job.id]
        for other in job.before:
            chain[other] = max(chain[other], chain[job.id])
    return chain


def _leads_to(goal: str, before: Mapping[str, tuple[str, ...]]) -> set[str]:
    todo, found = [goal] if goal in before else [], set[str]()
    while todo:
        job = todo.pop()
        if job not in found:
            found.add(job)
            todo.extend(before[job])
    return found


class _Share:
    """The best sharing out found so far."""

    def __init__(self, jobs: Sequence[Job], people: int, calendar: Workdays, goal: str) -> None:
        self.jobs, self.people, self.calendar = jobs, people, calendar
        self.by_id = {job.id: job for job in jobs}
        self.goal = goal if goal in self.by_id else ""
        self.followers: dict[str, list[Job]] = {job.id: [] for job in jobs}
        for job in jobs:
            for other in job.before:
                self.followers[other].append(job)
        self.backwards = in_order(jobs)[::-1]
        bound = earliest_finish(jobs, people, calendar)
        self.bound = bound[""] // DAY, (bound[goal] - self.by_id[goal].wait) // DAY if self.goal else 0
        self.best: dict[str, Placed] = {}
        self.best_order: list[str] = []
        self.best_days: tuple[int, ...] = ()

    def try_order(self, order: list[str]) -> dict[str, Placed]:
        """Share out in this order of urgency; kept where it beats the best so far."""
        urgency = {name: float(place) for place, name in enumerate(order)}
        placed = place_all(self.jobs, self.backwards, self.followers, self.people, self.calendar, urgency)
        days = self._days(placed)
        if not self.best or days < self.best_days:
            self.best, self.best_days, self.best_order = placed, days, order
        return placed

    def is_proved_best(self) -> bool:
        """Whether no sharing out can end, or reach the goal, on an earlier day."""
        return self.best_days[:2] <= self.bound

    def _days(self, placed: Mapping[str, Placed]) -> tuple[int, ...]:
        """What is made small: the last day, the day of the goal, then the minutes of both."""
        ends = max(item.ready for item in placed.values())
        goal = placed[self.goal].finish if self.goal else 0
        return ends // DAY, goal // DAY, ends, goal

    def held_up(self, placed: Mapping[str, Placed]) -> set[str]:
        """Jobs on the chains that settle the end and the goal that began later than what is before them allowed."""
        last = max(placed, key=lambda name: placed[name].ready)
        found: set[str] = set()
        for name in [last, self.goal] if self.goal else [last]:
            while name:
                before = self.by_id[name].before
                release = max((placed[other].ready for other in before), default=0)
                if self.by_id[name].work and placed[name].start > self.calendar.next_work(release):
                    found.add(name)
                name = max(before, key=lambda other: placed[other].ready) if before else ""
        return found
