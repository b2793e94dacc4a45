"""A second way to see how soon work can be done, from a plain list of working minutes; shares no code with the engine."""

from bisect import bisect_left
from datetime import date, timedelta

DAY = 1440


class Minutes:
    """Every working minute of the first `days` days, in order. hours: hours of work, Monday first."""

    def __init__(self, start: str, hours, days: int = 500) -> None:
        self.all: list[int] = []
        self.longest = max(round(amount * 60) for amount in hours)
        for day in range(days):
            amount = round(hours[(date.fromisoformat(start) + timedelta(days=day)).weekday()] * 60)
            opens = day * DAY + min(540, DAY - amount)
            self.all.extend(range(opens, opens + amount))

    def finish(self, minute: int, work: int) -> int:
        """When `work` minutes begun at or after `minute` are done."""
        return self.all[bisect_left(self.all, minute) + work - 1] + 1 if work else minute

    def begin(self, job, minute: int) -> int:
        """The first minute at which a day lets the job begin."""
        place = bisect_left(self.all, minute)
        while True:
            day = self.all[place] // DAY
            left = bisect_left(self.all, (day + 1) * DAY) - place
            fresh = place == 0 or self.all[place - 1] // DAY < day
            whole = job.work > self.longest and fresh if job.keep_whole else left >= 15
            if job.work <= left or whole:
                return self.all[place]
            place += left


def soonest_end(jobs, people: int, minutes: Minutes) -> int:
    """No sharing out of these jobs, waits included, can end before this minute.

    Two arguments, taken together at every milestone: a chain takes its own time with any number of hands, and work
    that cannot begin before a minute, all of which must be done by a milestone, needs its hours shared by the hands.
    """
    left = {job.id: job for job in jobs}
    ready: dict[str, int] = {}
    heads: dict[str, int] = {}
    above: dict[str, set[str]] = {}
    by_id = dict(left)

    def loaded(names) -> int:
        latest = 0
        for head in {heads[name] for name in names}:
            load = sum(by_id[name].work * by_id[name].hands for name in names if heads[name] >= head)
            latest = max(latest, minutes.finish(head, -(-load // people)))
        return latest

    while left:
        for job in [job for job in left.values() if all(other in ready for other in job.before)]:
            above[job.id] = set(job.before).union(*(above[other] for other in job.before))
            heads[job.id] = max((ready[other] for other in job.before), default=0)
            if job.work:
                heads[job.id] = minutes.begin(job, heads[job.id])
            done = minutes.finish(heads[job.id], job.work)
            ready[job.id] = job.wait + (done if job.work else max(done, loaded(above[job.id])))
            del left[job.id]
    return max([*ready.values(), loaded(by_id)])


def broken_promises(jobs, placed, people: int, minutes: Minutes) -> list[str]:
    """What is wrong with a sharing out: order, waits, hands, hours, lost or doubled work."""
    wrong = []
    working = set(minutes.all)
    busy: dict[int, int] = {}
    for job in jobs:
        where = placed[job.id]
        done = [minute for begin, end in where.pieces for minute in range(begin, end)]
        if len(done) != job.work or len(set(done)) != job.work:
            wrong.append(f"{job.id}: {len(done)} minutes of {job.work}")
        if not working.issuperset(done):
            wrong.append(f"{job.id}: worked outside the hours")
        if done and (where.start != done[0] or where.finish != done[-1] + 1):
            wrong.append(f"{job.id}: start and finish are not those of its pieces")
        if where.ready != where.finish + job.wait:
            wrong.append(f"{job.id}: its wait was cut")
        wrong += [f"{job.id}: before {other}" for other in job.before if where.start < placed[other].ready]
        if job.keep_whole and job.work <= minutes.longest and len(where.pieces) > 1:
            wrong.append(f"{job.id}: broken off overnight")
        for minute in done:
            busy[minute] = busy.get(minute, 0) + job.hands
    return wrong + [f"minute {minute}: {hands} hands" for minute, hands in busy.items() if hands > people]
