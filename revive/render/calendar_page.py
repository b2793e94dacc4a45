"""Arrange the calendar of a plan that has one: days, helpers, long waits, dates of the gates. Reckons nothing."""

from collections.abc import Iterator

from revive.model import RuleBase
from revive.plan import Plan
from revive.render.blocks import Block, heading, line, listed
from revive.render.wording import Names, day_words, flat, lower_first, sentence, wait_words

MOST_DAYS = 14


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
    yield from listed("Work due before each gate could be done by", gates)
    waits = [
        f"{names.task(row['task'])}: begin {day_words(row['date'])}, then {wait_words(row['wait_h'])} of waiting"
        for row in schedule.get("start_early", ())
    ]
    yield from listed("Begin these early, their waits are long", waits)
    helpers = "; ".join(day_words(day) for day in schedule.get("helper_days", ()))
    if helpers:
        yield line(sentence(helpers), "Somebody must be with you on")
    days = [
        f"{day_words(row['date'])}: {'; '.join(lower_first(names.task(task)) for task in dict.fromkeys(row['tasks']))}"
        for row in schedule["days"]
    ]
    shown = days if full else days[:MOST_DAYS]
    yield from listed("Day by day" if len(shown) == len(days) else f"The first {len(shown)} working days", shown)
    yield from listed("How this was reckoned", [flat(note) for note in schedule.get("notes", ())] if full else [])
