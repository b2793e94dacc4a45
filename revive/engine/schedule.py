"""Fit the work of a plan into the days and hands that are there. Pure: no clock; the start date is handed in.

How the work is taken:
- Each task takes its three-point mean, in whole minutes. Its wait runs by the clock afterwards, while other work goes on.
- A task comes after the tasks it waits for, after the looks that settle whether it is needed, and, where it is work
  behind a gate, after everything due before that gate. Work that is behind no gate yet shut may be done meanwhile.
- With a helper, a task takes two people if two are there; if one plans alone, a helper comes for that task.
- Skilled work takes one of the people at the machine: it is your skill, or your day is given to be there with
  somebody who has it. For work sent to a workshop the minutes are your own, for packing, lists and freight; the
  workshop's time is the wait.
- Assumed work for skilled hands or a workshop is listed as "if so" and is in no total and on no day: a look comes
  first and may spare it.
- Optional work has its place on the calendar, but no gate waits for it.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.dispatch import Job, Placed, share_out
from revive.engine.network import Spread, critical_path, spread_of_sum, three_point_mean
from revive.engine.workdays import DAY, WEEKDAYS, Workdays, clock, workdays
from revive.model import GATES, ReviveError, RuleBase
from revive.plan import PlanTask

OTHERS = ("skilled", "shop")
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
        "critical_path": list(_critical(jobs, calendar)),
        "days": _days(jobs, placed, calendar),
        "earliest_first_run": calendar.date(placed[first_run].finish) if first_run in placed else None,
        "gates": [
            {"gate": job.id.removeprefix("gate:"), "date": calendar.date(placed[job.id].ready)}
            for job in jobs
            if job.id.startswith("gate:") and job.before
        ],
        "ends": calendar.date(ends) if work else None,
        "elapsed_days": ends // DAY + 1 if work else 0,
        "working_days": len({begin // DAY for item in placed.values() for begin, _ in item.pieces}),
        "start_early": _long_waits(base, work, placed, calendar),
        "helper_days": sorted({date for task in work if task.who == "with_helper" for date in _dates(task, placed, calendar)}),
        "tasks": [_task_row(task, placed[task.id], calendar) for task in work],
        "notes": _notes(people, bool(if_so)),
    }


def jobs_for(base: RuleBase, to_do: Sequence[PlanTask], left_out: set[str], people: int) -> list[Job]:
    """Work still to do as jobs in working order, with one milestone, gate:NAME, for every gate that work is behind.

    What comes before a task that is left out comes before its followers instead.
    """
    behind = compile_base(base).behind
    order = [task.id for task in to_do]
    before: dict[str, dict[str, None]] = {}
    passed_on: dict[str, dict[str, None]] = {}
    kept: list[PlanTask] = []
    jobs: list[Job] = []
    reached = -1
    due_now: list[PlanTask] = []
    first_tasks = {gate.first_task for gate in base.gates.values()}
    for place, task in enumerate(to_do):
        earlier = set(order[:place])
        needs: dict[str, None] = {}
        for other in (*task.after, *task.decide_by):
            if other in earlier:
                needs.update(passed_on[other] if other in left_out else {other: None})
        gates = [GATES.index(gate) for gate in behind[task.id]]
        if task.id in left_out:
            needs.update({f"gate:{GATES[gate]}": None for gate in gates[-1:] if gate <= reached})
            passed_on[task.id] = needs
            continue
        before[task.id] = needs
        kept.append(task)
    for gate in range(len(GATES)):
        pass
    return jobs
