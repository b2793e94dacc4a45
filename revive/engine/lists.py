"""What to buy, what to ask a workshop, and what waste to hand in, from the tasks of a plan. Pure data, no layout.

Quantities are those of the rule base; where one hangs on a question nobody has answered it stays None.
"""

from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.parts import quantity_of
from revive.model import Part, RuleBase
from revive.plan import PlanTask

HAND_IN_TASK = "dispose_waste"
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
LITRES_IN_ENGINE = ("drained_l", "oil_capacity_l")
"""What the old oil came to, or else what the engine holds: the first that is known."""
OLD_OIL_OUT = ("drained_l", "tank_oil_state", "crankcase_oil_l")
"""A task that records one of these lets the old engine oil out."""
POURED: Mapping[str, tuple[str, ...]] = {
    "used engine oil": ("engine oil", "assembly oil"),
    "oil with water": ("plain oil", "engine oil"),
    "two-stroke oil": ("two-stroke oil",),
    "gear oil": ("oil",),
    "gearbox oil": ("oil",),
    "fork oil": ("fork oil",),
    "soak oil": ("oil",),
    "brake fluid": ("fluid",),
    "coolant": ("coolant",),
    "paraffin": ("paraffin",),
    "white spirit": ("white spirit",),
    "solvent": ("solvent", "cleaner"),
    "petrol": ("petrol",),
}
"""Words in a kind of waste -> words in the liquids of the same task that end up in it."""


def shopping_list(
    base: RuleBase,
    tasks: Sequence[PlanTask],
    values: Mapping[str, Any],
    needed_on: Mapping[str, str] | None = None,
) -> Mapping[str, Any]:
    """Parts of all work still to do: buy_now, and decide_after_look for what only a look can call for.

    values: question or fact -> value, as the plan assumes them. needed_on: task -> ISO date, as a schedule gives it.
    Each row: item, quantity (None where unknown), unit, after_first_run (what of it is for work behind the first start,
    such as the early second oil), for (tasks with their shares), needed_on (earliest date or None) and, for things to
    decide, decide_by (the looks that settle it). Spares that a task calls for are in its own quantity.
    """
    behind = compile_base(base).behind
    rows: dict[tuple[str, str, bool], list[tuple[PlanTask, Part, float | None]]] = {}
    for task in tasks:
        if task.state != "done":
            for part in base.tasks[task.id].parts:
                undecided = part.if_found or task.certainty == "assumed"
                rows.setdefault((part.item, part.unit, undecided), []).append((task, part, quantity_of(part, values)))
    result: dict[str, list[Mapping[str, Any]]] = {"buy_now": [], "decide_after_look": []}
    for (item, unit, undecided), uses in rows.items():
        dates = [needed_on[task.id] for task, _, _ in uses if needed_on and task.id in needed_on]
        row: dict[str, Any] = {
            "item": item,
            "quantity": _sum(quantity for _, _, quantity in uses),
            "unit": unit,
            "after_first_run": _sum(quantity for task, _, quantity in uses if "fire" in behind[task.id]),
            "for": [{"task": task.id, "quantity": quantity} for task, _, quantity in uses],
            "needed_on": min(dates, default=None),
        }
        if undecided:
            looks = [
                look
                for task, part, _ in uses
                for look in ((task.id,) if part.if_found else task.decide_by or (task.id,))
            ]
            row["decide_by"] = list(dict.fromkeys(looks))
        result["decide_after_look" if undecided else "buy_now"].append(row)
    return result


def workshop_sheet(base: RuleBase, tasks: Sequence[PlanTask]) -> Mapping[str, Any] | None:
    """What to ask the machine shop in writing before paying; None where the plan has no such work.

    boxes: id -> question, in order; ticks become an answer by shop_answer. for: the tasks that ask it. assumed: whether
    a look may still spare all of it. cautions: those of the tasks, each once.
    """
    asking = [task for task in tasks if task.state != "done" and SHOP_QUESTION in base.tasks[task.id].records]
    if not asking:
        return None
    return {
        "for": [task.id for task in asking],
        "assumed": all(task.certainty == "assumed" for task in asking),
        "answers": SHOP_QUESTION,
        "boxes": dict(SIX_BOXES),
        "besides": list(BESIDES),
        "cautions": list(dict.fromkeys(text for task in asking for text in base.tasks[task.id].cautions)),
    }


def shop_answer(ticked: Collection[str]) -> str:
    """The answer to the question shop_answers that these ticked boxes make.

    >>> shop_answer(SIX_BOXES), shop_answer(["deburred"]), shop_answer([])
    ('all_confirmed', 'some', 'none_confirmed')
    """
    count = len(set(ticked) & set(SIX_BOXES))
    return "all_confirmed" if count == len(SIX_BOXES) else "some" if count else "none_confirmed"


def waste_list(base: RuleBase, tasks: Sequence[PlanTask], values: Mapping[str, Any]) -> Mapping[str, Any]:
    """Waste to hand in. kinds: one row a kind; cautions: those of the task that hands it in.

    litres: what the tasks of the row pour in, as bought, and for engine oil also the old oil; None where nothing is
    known before it is drained or counted. at_least: whether some task of the row adds an unknown amount.
    Work already done counts until its waste is recorded as handed in.
    """
    handed_in = any(task.id == HAND_IN_TASK and task.state == "done" for task in tasks)
    rows: dict[str, list[PlanTask]] = {}
    for task in tasks:
        if task.state == "to_do" or not handed_in:
            for kind in base.tasks[task.id].waste:
                rows.setdefault(kind, []).append(task)
    cautions = base.tasks[HAND_IN_TASK].cautions if HAND_IN_TASK in base.tasks else ()
    return {
        "kinds": [_waste_row(base, kind, makers, values) for kind, makers in rows.items()],
        "cautions": list(cautions),
    }


def _waste_row(base: RuleBase, kind: str, makers: Sequence[PlanTask], values: Mapping[str, Any]) -> Mapping[str, Any]:
    litres: list[float] = []
    unknown = False
    old_oil = next((float(values[name]) for name in LITRES_IN_ENGINE if _is_number(values.get(name))), None)
    behind = compile_base(base).behind
    for task in makers:
        poured = _poured(base, task, kind, values)
        litres += [quantity for quantity in poured if quantity is not None]
        drains = (
            kind.startswith("used engine oil")
            and any(name in OLD_OIL_OUT for name in base.tasks[task.id].records)
            and "fire" not in behind[task.id]
        )
        if drains and old_oil is not None:
            litres.append(old_oil)
            old_oil = 0.0  # let out once, however many tasks share it
        unknown |= None in poured or (drains and old_oil is None) or not (poured or drains)
    return {
        "kind": kind,
        "litres": round(sum(litres), 3) if litres else None,
        "at_least": unknown,
        "for": [task.id for task in makers],
        "assumed": all(task.certainty == "assumed" for task in makers),
    }


def _poured(base: RuleBase, task: PlanTask, kind: str, values: Mapping[str, Any]) -> list[float | None]:
    """Litres of the task's own liquids that end up in this kind of waste; those bought only after a look left out."""
    words = {word for waste, liquids in POURED.items() if waste in kind for word in liquids}
    return [
        quantity_of(part, values)
        for part in base.tasks[task.id].parts
        if part.unit == "l" and not part.if_found and any(word in part.item for word in words)
    ]


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and value == value


def _sum(quantities: Iterable[float | None]) -> float | None:
    total = 0.0
    for quantity in quantities:
        if quantity is None:
            return None
        total += quantity
    return round(total, 3)
