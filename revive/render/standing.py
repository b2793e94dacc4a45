"""Say that a machine which stands still for long is laid up again, and why. Decides no task; the rules and days do."""

from collections.abc import Iterator
from itertools import pairwise

from revive.engine.conditions import names_in
from revive.engine.dates import day_number
from revive.model import Rule, RuleBase
from revive.plan import Plan
from revive.render.blocks import Block, care
from revive.render.wording import Names, day_words, flat, lower_first, sentence

LIMIT = "stop_stands_d"


def standing_blocks(plan: Plan, base: RuleBase, names: Names) -> Iterator[Block]:
    """What stands behind a stop, or waits between two days of work, longer than the limit; nothing where none does."""
    rules = [rule for rule in base.rules.values() if "oldest_stop_days" in names_in(rule.when)]
    said = [
        f"{sentence(names.prose(rule.finding))} {sentence(names.prose(rule.why))} {_work(rule, base, names)}".strip()
        for rule in rules
        if plan.rule_states.get(rule.id) == "certain" and _still_due(rule, plan)
    ]
    for begins, ends, days in _gaps(plan, base):
        text = f"Nobody works on it for {days} days, from {day_words(begins)} to {day_words(ends)}, while it waits."
        said += [f"{text} Lay it up for that time. {_work(rule, base, names)}" for rule in rules[:1]]
    yield from care(said, "It stands still")


def _still_due(rule: Rule, plan: Plan) -> bool:
    return any(task.id in rule.adds and task.state == "to_do" for task in plan.tasks)


def _work(rule: Rule, base: RuleBase, names: Names) -> str:
    titles = [
        f"task {names.number[name]}, {lower_first(flat(base.tasks[name].title))}"
        if name in names.number
        else lower_first(flat(base.tasks[name].title))
        for name in rule.adds
    ]
    return sentence("; ".join(titles))


def _gaps(plan: Plan, base: RuleBase) -> Iterator[tuple[str, str, int]]:
    """Days without work between two working days, or before the last wait is over: last day, next day, days between."""
    dates = [str(day["date"]) for day in plan.schedule.get("days", ())]
    ends = plan.schedule.get("ends")
    if dates and ends and str(ends) > dates[-1]:
        dates.append(str(ends))
    for one, other in pairwise(dates):
        days = day_number(other) - day_number(one)
        if LIMIT in base.limits and days > base.limits[LIMIT].value:
            yield one, other, days
