"""Say how many days the plan would take under each answer that a look could bring. Pure; slower than the ranking.

For every answer the plan is made and its work laid out over the days anew, so it is done for the looks that are shown.
"""

from collections.abc import Iterable
from typing import Any

from revive.engine.planner import make_tasks
from revive.engine.schedule import make_schedule
from revive.engine.worth import Look
from revive.frozen import replace
from revive.model import Answer, Record, RuleBase
from revive.plan import PlanTask

HOURS_PER_DAY = 4
"""As in a plan for which nobody has said how many hours a day are worked."""


def with_days(base: RuleBase, record: Record, today: str, looks: Iterable[Look]) -> list[Look]:
    """The same looks, each outcome with the days from the first to the last of the plan that it would give.

    One person, HOURS_PER_DAY, begun today; waits count. Work that only a look could call for and that is for skilled
    hands or a workshop is on no day, as in any schedule.
    """
    known: dict[Any, int] = {}

    def days(look: Look, place: int) -> int:
        one = look.outcomes[place]
        chosen = {look.question: one.value, **({look.together_with: one.also} if look.together_with else {})}
        answers = {name: Answer(value, today, how="seen") for name, value in chosen.items() if value is not None}
        tasks = make_tasks(base, replace(record, answers={**record.answers, **answers}), today)
        key = _work(tasks)
        if key not in known:
            known[key] = int(make_schedule(base, tasks, hours_per_day=HOURS_PER_DAY, start=today)["elapsed_days"])
        return known[key]

    return [
        replace(
            look,
            outcomes=tuple(replace(one, days=days(look, place)) for place, one in enumerate(look.outcomes)),
        )
        for look in looks
    ]


def _work(tasks: Iterable[PlanTask]) -> tuple[Any, ...]:
    """All of a plan's tasks that its days hang on."""
    return tuple(
        (task.id, task.certainty, task.optional, task.gate, task.after, task.decide_by)
        for task in tasks
        if task.state == "to_do"
    )
