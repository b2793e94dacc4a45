"""What to buy, what to ask a workshop, and what waste to hand in, from the tasks of a plan. Pure data, no layout.

Quantities are those of the rule base, metric; where one hangs on a question nobody has answered it stays None, or rests
on the worst that the machine's layout can ask for, and the row says so.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any

from revive.engine.compiled import compile_base, questions_behind
from revive.engine.meant import left_out, meant_here, planned_task
from revive.engine.parts import Use, total, uses_of
from revive.engine.study import Study, study_case, worst_of_all
from revive.engine.waste import HAND_IN_TASK, as_number, value_of, waste_list
from revive.model import GATES, Record, RuleBase
from revive.plan import Plan, PlanTask

LISTS = ("shopping", "workshop", "waste")
SHOP_QUESTION = "shop_answers"
SIX_BOXES: Mapping[str, str] = {
    "holes_drilled": "Is the oil hole drilled in every shell or bush, to full size?",
    "deburred": "Is every hole deburred inside and out, its edge broken?",
    "shell_washed": "Was every shell or bush washed after drilling and deburring?",
    "pin_staked": "Is the pin that stops it turning in place, and staked?",
    "holes_in_line": "Do the holes in shell and carrier line up, seen with light or a rod after fitting?",
    "clearance_measured": "Was the running clearance measured? Give the figure for each bearing and how it was taken.",
}
"""What a bearing needs so that oil reaches it; asked in writing before paying. A bearing that turns, or sits over its
own oil hole, shuts its feed and looks perfect from outside. Trade practice."""
BESIDES = (
    "A fixed price for measuring alone, and a top limit beyond which they ring you.",
    "Readings in writing, with the maker's limits beside them. Photographs of each fault. Old parts back.",
    "Oilways and sludge trap opened and cleaned, plugs new and locked.",
    "Six lines and figures on the signed invoice. A line that is missing counts as not done.",
    "How long it stands with them, under cover or not, and whose insurance.",
)
CRANK_ONLY = (2, 3)
"""Places in BESIDES of what is about crank and bearing work alone."""


def lists_for(base: RuleBase, record: Record, plan: Plan) -> Mapping[str, Any]:
    """The three lists of one plan, with dates where the plan has a schedule.

    shopping: as shopping_list gives it. workshop: a sheet, or None where the plan has no such work. waste: as waste_list
    gives it. possible: how many more tasks may still come, whose parts and waste are not counted.
    """
    study = study_case(base, record, plan.made_on)
    known = study.recorded.sight.rule
    values = _Instead(worst_of_all(study).sight.rule, {"drained_l": value_of(known, "drained_l")})
    starts = {row["task"]: str(row["starts"])[:10] for row in plan.schedule.get("tasks", ())}
    hand_in = base.tasks.get(HAND_IN_TASK)
    least = least_values(study, values)
    hand_in = meant_here(hand_in, left_out(study, hand_in)) if hand_in else None
    return {
        "shopping": shopping_list(base, plan.tasks, values, starts, known, least),
        "workshop": workshop_sheet(base, plan.tasks),
        "waste": waste_list(base, plan.tasks, values, least, hand_in),
        "possible": len({one.task for one in plan.possible} - {task.id for task in plan.tasks}),
    }


class _Instead(Mapping[str, Any]):
    """Values with some of them replaced."""

    def __init__(self, values: Mapping[str, Any], others: Mapping[str, Any]) -> None:
        self.values_of, self.others = values, others

    def __getitem__(self, name: str) -> Any:
        return self.others[name] if name in self.others else self.values_of[name]

    def __iter__(self) -> Iterator[str]:
        return iter({**self.values_of, **self.others})

    def __len__(self) -> int:
        return len({**self.values_of, **self.others})


def least_values(study: Study, values: Mapping[str, Any]) -> Mapping[str, Any]:
    """What a plan assumes, but the least engine oil that the layout can hold where nobody has said how much it takes."""
    low = as_number(value_of(values, "oil_low_l"))
    if not low or as_number(value_of(study.recorded.sight.rule, "oil_capacity_l")) is not None:
        return values
    return _Instead(values, {"oil_capacity_l": low})


def shopping_list(
    base: RuleBase,
    tasks: Sequence[PlanTask],
    values: Mapping[str, Any],
    needed_on: Mapping[str, str] | None = None,
    known: Mapping[str, Any] | None = None,
    least: Mapping[str, Any] | None = None,
) -> Mapping[str, Any]:
    """Parts of all work still to do: buy_now, and decide_after_look for what only a look can call for.

    values: question or fact -> value, as the plan assumes them. needed_on: task -> ISO date, as a schedule gives it.
    known: the same as answered; without it every value counts as answered. least: as least_values gives it.
    Each row: item, unit, quantity (None where unknown), quantity_least (where it rests on the layout's range),
    after_first_run (what of it is for work behind the first start, such as the early second oil), for (tasks with their
    shares; each: what an unknown share hangs on), gate (the first that needs it), needed_on (earliest date or None),
    reckoned_with (question -> value, where nobody has answered) and, for things to decide, decide_by (the looks that
    settle it). Spares that a task calls for are in its own quantity.
    """
    behind = compile_base(base).behind
    lowest = uses_of(base, tasks, least) if least is not None else {}
    result: dict[str, list[Mapping[str, Any]]] = {"buy_now": [], "decide_after_look": []}
    for key, uses in uses_of(base, tasks, values).items():
        item, unit, undecided = key
        dates = [needed_on[use.task.id] for use in uses if needed_on and use.task.id in needed_on]
        row: dict[str, Any] = {
            "item": item,
            "quantity": total(uses),
            "quantity_least": low if (low := total(lowest.get(key, uses))) != total(uses) else None,
            "unit": unit,
            "after_first_run": total([use for use in uses if "fire" in behind[use.task.id]]),
            "for": [_share(use) for use in uses],
            "gate": min((use.task.gate for use in uses), key=GATES.index),
            "needed_on": min(dates, default=None),
            "reckoned_with": _reckoned_with(base, uses, values, known),
        }
        if undecided:
            looks = [
                look
                for use in uses
                for look in ((use.task.id,) if use.part.if_found else use.task.decide_by or (use.task.id,))
            ]
            row["decide_by"] = list(dict.fromkeys(looks))
        result["decide_after_look" if undecided else "buy_now"].append(row)
    return result


def _share(use: Use) -> Mapping[str, Any]:
    share: dict[str, Any] = {"task": use.task.id, "quantity": use.quantity}
    if use.quantity is None:
        share["each"] = dict(use.part.quantity)
    return share


def _reckoned_with(
    base: RuleBase, uses: Sequence[Use], values: Mapping[str, Any], known: Mapping[str, Any] | None
) -> Mapping[str, Any]:
    """Questions behind these quantities that nobody has answered -> the value taken, None where no quantity came of it."""
    found: dict[str, float | None] = {}
    if known is None:
        return found
    for use in uses:
        size = [use.part.quantity["of"]] if isinstance(use.part.quantity, Mapping) else []
        for name in questions_behind(base, size):
            if as_number(known[name]) is None:
                taken = as_number(values[name]) if use.quantity is not None else None
                found[name] = taken if taken is not None else found.get(name)
    return found


def workshop_sheet(base: RuleBase, tasks: Sequence[PlanTask]) -> Mapping[str, Any] | None:
    """What to ask a workshop in writing before paying; None where the plan has no work for one.

    for: the tasks that ask about bearings; boxes: id -> question, in order, empty where none asks; ticks become an
    answer by shop_answer. jobs: other tasks that are a workshop's. assumed: whether a look may still spare all of it.
    cautions: those of the tasks, each once.
    """
    to_do = [task for task in tasks if task.state != "done"]
    asking = [task for task in to_do if SHOP_QUESTION in base.tasks[task.id].records]
    jobs = [task for task in to_do if task.who == "shop" and task not in asking]
    if not asking and not jobs:
        return None
    both = [*asking, *jobs]
    return {
        "for": [task.id for task in asking],
        "jobs": [task.id for task in jobs],
        "assumed": all(task.certainty == "assumed" for task in both),
        "answers": SHOP_QUESTION if asking else None,
        "boxes": dict(SIX_BOXES) if asking else {},
        "besides": [text for place, text in enumerate(BESIDES) if asking or place not in CRANK_ONLY],
        "cautions": list(dict.fromkeys(text for task in both for text in planned_task(base, task).cautions)),
    }


def shop_answer(ticked: Collection[str]) -> str:
    """The answer to the question shop_answers that these ticked boxes make.

    >>> shop_answer(SIX_BOXES), shop_answer(["deburred"]), shop_answer([])
    ('all_confirmed', 'some', 'none_confirmed')
    """
    count = len(set(ticked) & set(SIX_BOXES))
    return "all_confirmed" if count == len(SIX_BOXES) else "some" if count else "none_confirmed"
