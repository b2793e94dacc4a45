"""Arrange the calendar of a plan that has one: days, helpers, long waits, dates of the gates. Reckons nothing."""

from collections.abc import Iterable, Iterator

from revive.model import RuleBase
from revive.plan import Plan
from revive.render.blocks import Block, heading, line, listed, run_on
from revive.render.wording import Names, counted, day_words, flat, lower_first, wait_words

MOST_DAYS, MOST_HELPER_DAYS = 14, 3


def calendar_blocks(plan: Plan, base: RuleBase, names: Names, full: bool) -> Iterator[Block]:
    """The calendar, or nothing where the plan was made without one."""
    schedule = plan.schedule
    if not schedule.get("days"):
        return
    yield heading(2, "Calendar, if nothing is found")
    hours = schedule["hands_on_h"]
    words = (
        f"About {hours['mean']:.0f} hours at the machine; nine times in ten no more than {hours['nine_in_ten']:.0f}."
    )
    if schedule.get("earliest_first_run"):
        words += f" First run not before {day_words(schedule['earliest_first_run'])}."
    yield line(words + " Evidence opens a gate, never a date.")
    needed = {gate.id for gate in plan.gates if gate.state != "not_needed"}
    gates = [
        f"{lower_first(flat(base.gates[row['gate']].title))}: {day_words(row['date'])}"
        for row in schedule.get("gates", ())
        if row["gate"] in needed
    ]
    several = listed if full else run_on
    yield from several("Work due before each gate could be done by", gates)
    waits = [
        f"{names.task(row['task'])}: begin {day_words(row['date'])}, then {wait_words(row['wait_h'])} of waiting"
        for row in schedule.get("start_early", ())
    ]
    yield from several("Begin these early, their waits are long", waits)
    alone = list(map(day_words, schedule.get("helper_days", ())))
    if alone:
        shown = alone if full else alone[:MOST_HELPER_DAYS]
        rest = f" and {counted(len(alone) - len(shown), 'day')} more" if len(alone) > len(shown) else ""
        yield line("; ".join(shown) + rest + ".", "Somebody must be with you on")
    rows = [(day_words(row["date"]), dict.fromkeys(row["tasks"])) for row in schedule["days"]]
    first = rows if full else rows[:MOST_DAYS]
    days = [f"{day}: {_work(tasks, names, full)}" for day, tasks in first]
    label = "Day by day" if len(first) == len(rows) else f"The first {len(first)} working days"
    yield from several(label if full else f"{label}, tasks by their numbers", days)
    yield from listed("How this was reckoned", [flat(note) for note in schedule.get("notes", ())] if full else [])


def _work(tasks: Iterable[str], names: Names, full: bool) -> str:
    if full:
        return "; ".join(lower_first(names.task(task)) for task in tasks)
    return ", ".join(str(names.number[task]) for task in tasks)
