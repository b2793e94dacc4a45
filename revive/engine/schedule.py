"""Fit the work of a plan into the days and hands that are there. Pure: no clock; the start date is handed in.

How the work is taken:
- Each task takes its three-point mean, in whole minutes. Its wait runs by the clock afterwards, while other
  work goes on.
- A task comes after the tasks it waits for, after the looks that settle whether it is needed, and, where it is work
  behind a gate, after everything due before that gate. Work that is behind no gate yet shut may be done meanwhile.
- A look comes before the work that hangs on it. An answer that takes over two days to come back is not waited for:
  the worst is assumed and that work goes on. What waits for the task by nature still waits for the answer.
- With a helper, a task takes two people if two are there; if one plans alone, a helper comes for that task.
- Skilled work takes one of the people at the machine: it is your skill, or your day is given to be there with
  somebody who has it. For work sent to a workshop the minutes are your own, for packing, lists and freight; the
  workshop's time is the wait.
- Assumed work for skilled hands or a workshop is listed as "if so" and is in no total and on no day: a look comes
  first and may spare it.
- Optional work has its place on the calendar, but no gate waits for it.
"""

from collections.abc import Collection, Mapping, Sequence
from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.dispatch import share_out
from revive.engine.network import Spread, critical_path, spread_of_sum, three_point_mean
from revive.engine.placing import Job, Placed
from revive.engine.workdays import DAY, WEEKDAYS, Workdays, clock, workdays
from revive.model import GATES, ReviveError, RuleBase
from revive.plan import PlanTask

MILESTONE = "gate:"
OTHERS = ("skilled", "shop")
ANSWER = "answer:"
ANSWER_WAIT_H = 48
"""An answer that takes longer than this is not waited for by work that the plan assumes."""
LONG_WAIT_H = 24
"""A wait of a day or more is worth starting early; it is shown apart."""


def make_schedule(
    base: RuleBase,
    tasks: Sequence[PlanTask],
    people: int = 1,
    hours_per_day: float = 4,
    weekday_hours: Mapping[str, float] | None = None,
    start: str = "",
) -> Mapping[str, Any]:
    """The plan's `schedule`. tasks: those of a plan, in working order. start: ISO date of the first day.

    weekday_hours: mon to sun -> hours, instead of hours_per_day; a day that it leaves out is free.
    Returns hands_on_h {mean, sd, nine_in_ten}, critical_path, days, earliest_first_run and what stands beside them;
    hours to two places, dates and times in ISO form. Raises ReviveError for people or hours that cannot be worked with.
    """
    if people not in (1, 2):
        raise ReviveError(f"People at work: {people} was given; 1 or 2 was expected.")
    calendar = workdays(start, hours_per_day, weekday_hours)
    to_do = [task for task in tasks if task.state == "to_do"]
    if_so = [task for task in to_do if task.certainty == "assumed" and task.who in OTHERS]
    left_out = {task.id for task in if_so}
    work = [task for task in to_do if task.id not in left_out]
    jobs = jobs_for(base, to_do, left_out, people)
    first_run = base.gates["fire"].first_task if "fire" in base.gates else ""
    placed = share_out(jobs, people, calendar, first_run)
    ready = {task.id: placed.get(ANSWER + task.id, placed[task.id]).ready for task in work}
    ends = max((item.ready for item in placed.values()), default=0)
    return {
        "start": start,
        "people": people,
        "hours_by_weekday": {
            name: round(minutes / 60, 2) for name, minutes in zip(WEEKDAYS, calendar.minutes, strict=True)
        },
        "hands_on_h": _hours(_spread(base, work)),
        "by_who_h": {
            who: round(sum(_mean(task) for task in work if task.who == who) / 60, 2)
            for who in dict.fromkeys(task.who for task in work)
        },
        "optional_h": round(sum(_mean(task) for task in work if task.optional) / 60, 2),
        "if_so": {
            "tasks": [task.id for task in if_so],
            "hands_on_h": _hours(_spread(base, if_so)),
            "wait_h": sum(task.wait_h for task in if_so),
        },
        "critical_path": _critical(jobs, calendar),
        "days": _days(jobs, placed, calendar),
        "earliest_first_run": calendar.date(placed[first_run].finish) if first_run in placed else None,
        "gates": [
            {"gate": job.id.removeprefix(MILESTONE), "date": calendar.date(placed[job.id].ready)}
            for job in jobs
            if any(job.id == milestone(task.gate) for task in work)
        ],
        "ends": calendar.date(ends) if work else None,
        "elapsed_days": ends // DAY + 1 if work else 0,
        "working_days": len({begin // DAY for item in placed.values() for begin, _ in item.pieces}),
        "start_early": _long_waits(base, work, placed, ready, calendar),
        "helper_days": _helper_days(work, placed, calendar),
        "tasks": [_task_row(task, placed[task.id], ready[task.id], calendar) for task in work],
        "notes": _notes(people, bool(if_so), any(job.id.startswith(ANSWER) for job in jobs)),
    }


def milestone(gate: str) -> str:
    """The name among the jobs of the moment when all work due before a gate is done."""
    return MILESTONE + gate


def jobs_for(base: RuleBase, to_do: Sequence[PlanTask], left_out: Collection[str], people: int) -> list[Job]:
    """Work still to do as jobs in working order, then one milestone for every gate, in the order of the gates.

    A task left out hands what it waits for on to what waits for it.
    """
    behind = compile_base(base).behind
    gates = [gate for gate in GATES if gate in base.gates]
    looks = {look for task in to_do for look in task.decide_by}
    slow = {task.id for task in to_do if task.id in looks and task.wait_h > ANSWER_WAIT_H}

    def settled(task_id: str) -> str:
        return ANSWER + task_id if task_id in slow else task_id

    firsts = {gate.first_task for gate in base.gates.values() if gate.id != GATES[0]}
    needs: dict[str, dict[str, None]] = {}
    reach: dict[str, int] = {}  # the last gate that a task, or anything it waits for, is behind
    jobs = []
    for task in to_do:
        own: dict[str, None] = {}
        earlier = [other for other in (*task.after, *task.decide_by) if other in needs]
        for other in earlier:
            name = settled(other) if other in task.after else other
            own.update(needs[other] if other in left_out else {name: None})
        own.update({milestone(gate): None for gate in behind[task.id][-1:]})
        needs[task.id] = own
        reach[task.id] = max([-1, *(gates.index(g) for g in behind[task.id]), *(reach[other] for other in earlier)])
        if task.id not in left_out:
            hands = people if task.who == "with_helper" else 1
            wait = round(task.wait_h * 60)
            whole = task.id in firsts
            rank = GATES.index(task.gate)
            minutes = max(1, round(_mean(task)))
            jobs.append(Job(task.id, minutes, 0 if task.id in slow else wait, hands, tuple(own), whole, rank))
            if task.id in slow:
                jobs.append(Job(settled(task.id), 0, wait, before=(task.id,), rank=rank))
    counted: set[str] = set()
    for place, gate in enumerate(gates):
        due = [
            task.id
            for task in to_do
            if gates.index(task.gate) <= place
            and reach[task.id] < place
            and not task.optional
            and task.id not in left_out
            and task.id not in counted
        ]
        counted.update(due)
        jobs.append(Job(milestone(gate), 0, before=(*map(settled, due), *map(milestone, gates[:place][-1:]))))
    return jobs


def _mean(task: PlanTask) -> float:
    return three_point_mean(*_estimate(task))


def _estimate(task: PlanTask) -> tuple[float, float, float]:
    return task.minutes["least"], task.minutes["likely"], task.minutes["most"]


def _spread(base: RuleBase, work: Sequence[PlanTask]) -> Spread:
    return spread_of_sum((base.tasks[task.id].subject, _estimate(task)) for task in work)


def _hours(minutes: Spread) -> dict[str, float]:
    return {
        "mean": round(minutes.mean / 60, 2),
        "sd": round(minutes.sd / 60, 2),
        "nine_in_ten": round(minutes.nine_in_ten / 60, 2),
        "sd_if_independent": round(minutes.sd_if_independent / 60, 2),
    }


def _critical(jobs: Sequence[Job], calendar: Workdays) -> list[str]:
    """The longest chain of tasks with hands enough: work stretched over the hours there are, waits by the clock."""
    durations = {job.id: job.work * calendar.stretch + job.wait for job in jobs}
    path = critical_path(durations, {job.id: job.before for job in jobs})
    return [name for name in path if not name.startswith((MILESTONE, ANSWER))]


def _days(jobs: Sequence[Job], placed: Mapping[str, Placed], calendar: Workdays) -> list[Mapping[str, Any]]:
    """One row for every day on which somebody works; days of mere waiting have none."""
    pieces = [(begin, end, job.id, end < placed[job.id].finish) for job in jobs for begin, end in placed[job.id].pieces]
    days: dict[int, list[tuple[int, int, str, bool]]] = {}
    for piece in sorted(pieces, key=lambda piece: piece[:2]):
        days.setdefault(piece[0] // DAY, []).append(piece)
    return [
        {
            "date": calendar.date(day * DAY),
            "tasks": [name for _, _, name, _ in rows],
            "hands_on_h": round(sum(end - begin for begin, end, _, _ in rows) / 60, 2),
            "work": [
                {"task": name, "from": clock(begin), "to": clock(end), "minutes": end - begin, "goes_on": goes_on}
                for begin, end, name, goes_on in rows
            ],
        }
        for day, rows in days.items()
    ]


def _task_row(task: PlanTask, where: Placed, ready: int, calendar: Workdays) -> Mapping[str, Any]:
    return {
        "task": task.id,
        "minutes": sum(end - begin for begin, end in where.pieces),
        "starts": calendar.moment(where.start),
        "finishes": calendar.moment(where.finish),
        "ready": calendar.moment(ready),
        "start_min": where.start,
        "finish_min": where.finish,
        "ready_min": ready,
    }


def _long_waits(
    base: RuleBase, work: Sequence[PlanTask], placed: Mapping[str, Placed], ready: Mapping[str, int], calendar: Workdays
) -> list[Mapping[str, Any]]:
    """Tasks with a wait of a day or more, in the order in which they are begun."""
    rows = sorted((task for task in work if task.wait_h >= LONG_WAIT_H), key=lambda task: placed[task.id].start)
    return [
        {
            "task": task.id,
            "date": calendar.date(placed[task.id].start),
            "wait_h": task.wait_h,
            "wait_for": base.tasks[task.id].wait_for,
            "ready": calendar.date(ready[task.id]),
        }
        for task in rows
    ]


def _helper_days(work: Sequence[PlanTask], placed: Mapping[str, Placed], calendar: Workdays) -> list[str]:
    begins = [begin for task in work if task.who == "with_helper" for begin, _ in placed[task.id].pieces]
    return sorted({calendar.date(begin) for begin in begins})


def _notes(people: int, if_so: bool, slow_answers: bool) -> list[str]:
    notes = [
        "Hours are expected times at the machine, one for each hour by the clock, however many people share it.",
        "Tasks on the same part of the machine may all run late for the same reason, so their spreads are added "
        "straight. Only between parts of the machine are they taken as independent.",
        "Nine in ten takes the sum to spread like the normal curve. It knows nothing of findings yet to come.",
        "The days are worked out with expected times. Break off only where the work can be left safe.",
        "The longest chain takes waits by the clock and hands enough for everything. With few hands the plain sum of "
        "the work decides more often than the chain.",
    ]
    if slow_answers:
        notes.append(
            "Answers that take over two days to come back are not waited for by work that they could only spare. "
            "Where you would rather wait than do it in vain, put that work back."
        )
    if people == 1:
        notes.append(
            "Where a task says 'with a helper', somebody must be there for it. Work of that kind is not done alone."
        )
    if if_so:
        notes.append("Work for skilled hands or a workshop that only a look can call for is in no total and on no day.")
    return notes
