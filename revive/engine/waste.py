"""What waste the tasks of a plan make, how much of it as far as that is known, and how it is handed in. Pure data.

An amount is what the tasks pour in or take off; beyond that only the usual range is given, from memory, and marked so.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.meant import planned_task
from revive.engine.parts import quantity_of
from revive.model import RuleBase, Task
from revive.plan import PlanTask

HAND_IN_TASK = "dispose_waste"
LITRES_IN_ENGINE = ("drained_l", "oil_capacity_l")
"""What the old oil came to, or else what the engine holds: the first that is known."""
OLD_OIL_OUT = ("drained_l", "tank_oil_state", "crankcase_oil_l")
"""A task that records one of these lets the old engine oil out."""
SAMPLED = "oil_look"
"""A task that records this takes a jar of the oil that is let out afterwards."""
THERE_BEFORE = ("old petrol", "used engine oil")
"""Kinds of waste that were in the machine before anything was poured."""
POURED: Mapping[str, tuple[str, ...]] = {
    "used engine oil": ("engine oil", "assembly oil"),
    "oil with water": ("plain oil", "engine oil"),
    "two-stroke oil": ("two-stroke oil",),
    "gear oil": ("oil",),
    "gearbox oil": ("oil",),
    "fork oil": ("fork oil",),
    "soak oil": ("oil",),
    "brake fluid": ("fluid",),
    "clutch fluid": ("fluid",),
    "coolant": ("coolant",),
    "acid rinse": ("clean water",),
    "flood water": ("fresh water",),
    "paraffin": ("paraffin",),
    "white spirit": ("white spirit",),
    "solvent": ("solvent", "cleaner"),
    "petrol": ("petrol",),
}
"""Words in a kind of waste -> words in the liquids of the same task that end up in it."""
TAKEN_OFF: Mapping[str, tuple[str, ...]] = {
    "old tyres": ("tyre of",),
    "old battery": ("battery of",),
    "used oil filter": ("oil filter",),
    "old brake linings": ("brake pad set", "brake shoe set"),
    "old clutch plates": ("plate set",),
    "old filter foam": ("filter element",),
    "old belt": ("belt of",),
    "petrol-wet absorbent": ("absorbent",),
}
"""Kind of waste -> words in the new parts of the same task, each of which takes the place of an old one."""
USUAL: Mapping[str, tuple[float, float, str]] = {
    "old petrol": (0, 20, "l"),
    "water with petrol": (0, 0.5, "l"),
    "flood water": (1, 25, "l"),
    "acid and soda wash": (5, 25, "l"),
    "acid rinse": (1, 5, "l"),
    "used engine oil": (0.6, 4.5, "l"),
    "oil with water": (1, 10, "l"),
    "two-stroke oil": (0.1, 1.5, "l"),
    "gear oil": (0.5, 3, "l"),
    "fork oil": (0.3, 1, "l"),
    "soak oil": (0.1, 1, "l"),
    "oil sludge": (0.05, 0.5, "l"),
    "brake fluid": (0.2, 1, "l"),
    "clutch fluid": (0.1, 0.5, "l"),
    "coolant": (1, 4, "l"),
    "paraffin": (0.5, 3, "l"),
    "white spirit": (0.1, 0.5, "l"),
    "solvent": (0.3, 2, "l"),
    "oily rags": (0.5, 3, "kg"),
    "petrol-wet rags": (0.1, 0.5, "kg"),
    "petrol-wet absorbent": (0.1, 1, "kg"),
    "old battery": (1, 1, "piece"),
    "old tyres": (2, 2, "piece"),
    "used oil filter": (1, 2, "piece"),
    "old filter foam": (1, 4, "piece"),
    "old belt": (1, 1, "piece"),
    "old brake linings": (1, 3, "set"),
    "old clutch plates": (1, 2, "set"),
    "asbestos": (1, 2, "bags"),
    "droppings": (1, 6, "bags"),
    "rodent": (1, 6, "bags"),
}
"""Words in a kind of waste -> least and most that one motorcycle usually makes of it, with the unit (from memory)."""


def waste_list(
    base: RuleBase,
    tasks: Sequence[PlanTask],
    values: Mapping[str, Any],
    least: Mapping[str, Any] | None = None,
    hand_in: Task | None = None,
) -> Mapping[str, Any]:
    """Waste to hand in. kinds: one row a kind; cautions and steps: those of the task that hands it in.

    values: as the plan assumes them. least: the same with the least that the layout can hold. hand_in: the task that
    hands it in, as meant on this machine; taken from the plan if left out.
    Each row: kind; litres, what the tasks pour in, as bought, and for engine oil also the old oil, None where nothing is
    known before it is drained; litres_least, where that rests on what nobody has answered; count and count_unit, old
    parts that new ones replace; at_least, whether some task adds an unknown amount; usual {least, most, unit}, from
    memory, of what no task tells, or None; for; assumed. Work already done counts until its waste is handed in.
    """
    if hand_in is None:
        planned = next((planned_task(base, task) for task in tasks if task.id == HAND_IN_TASK), None)
        hand_in = planned or base.tasks.get(HAND_IN_TASK)
    return {
        "kinds": [_row(base, kind, makers, values, least) for kind, makers in waste_makers(base, tasks).items()],
        "cautions": list(hand_in.cautions) if hand_in else [],
        "steps": list(hand_in.method) if hand_in else [],
    }


def waste_makers(base: RuleBase, tasks: Sequence[PlanTask]) -> Mapping[str, Sequence[PlanTask]]:
    """Kinds of waste that are still to be handed in -> the tasks that make them, in working order."""
    handed_in = any(task.id == HAND_IN_TASK and task.state == "done" for task in tasks)
    found: dict[str, list[PlanTask]] = {}
    for task in tasks:
        if task.state == "to_do" or not handed_in:
            for kind in planned_task(base, task).waste:
                found.setdefault(kind, []).append(task)
    return found


def _row(
    base: RuleBase,
    kind: str,
    makers: Sequence[PlanTask],
    values: Mapping[str, Any],
    least: Mapping[str, Any] | None,
) -> Mapping[str, Any]:
    litres, unknown, old_oil_known = _litres(base, kind, makers, values)
    low = _litres(base, kind, makers, least)[0] if least is not None else litres
    count, count_unit = _taken_off(base, kind, makers, values)
    at_least = unknown and not count
    not_told = (litres is None and count is None) or (kind in THERE_BEFORE and not old_oil_known)
    usual = next((row for words, row in USUAL.items() if words in kind), None) if at_least and not_told else None
    return {
        "kind": kind,
        "litres": litres,
        "litres_least": low if low != litres else None,
        "count": count,
        "count_unit": count_unit,
        "at_least": at_least,
        "usual": dict(zip(("least", "most", "unit"), usual, strict=True)) if usual else None,
        "for": [task.id for task in makers],
        "assumed": all(task.certainty == "assumed" for task in makers),
    }


def _litres(
    base: RuleBase, kind: str, makers: Sequence[PlanTask], values: Mapping[str, Any]
) -> tuple[float | None, bool, bool]:
    """Litres that are known, None where none are; whether some task adds an unknown amount; whether old oil is in them."""
    litres: list[float] = []
    unknown = False
    old_oil = next((size for name in LITRES_IN_ENGINE if (size := as_number(value_of(values, name))) is not None), None)
    old_oil_known, behind = False, compile_base(base).behind
    records = {name for task in makers for name in base.tasks[task.id].records}
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
            old_oil, old_oil_known = 0.0, True  # let out once, however many tasks share it
        sampled = SAMPLED in base.tasks[task.id].records and not records.isdisjoint(OLD_OIL_OUT)
        unknown |= None in poured or (drains and old_oil is None) or not (poured or drains or sampled)
    return (round(sum(litres), 3) if litres else None), unknown, old_oil_known


def _poured(base: RuleBase, task: PlanTask, kind: str, values: Mapping[str, Any]) -> list[float | None]:
    """Litres of the task's own liquids that end up in this kind of waste; those bought only after a look left out."""
    words = {word for waste, liquids in POURED.items() if waste in kind for word in liquids}
    return [
        quantity_of(part, values)
        for part in planned_task(base, task).parts
        if part.unit == "l" and not part.if_found and any(word in part.item for word in words)
    ]


def _taken_off(
    base: RuleBase, kind: str, makers: Sequence[PlanTask], values: Mapping[str, Any]
) -> tuple[float | None, str]:
    """Old parts of this kind that new ones replace, with their unit; None where no task says how many."""
    found = [
        (quantity, part.unit)
        for task in makers
        for part in planned_task(base, task).parts
        if not part.if_found and any(word in part.item for word in TAKEN_OFF.get(kind, ()))
        if (quantity := quantity_of(part, values)) is not None
    ]
    return (round(sum(quantity for quantity, _ in found), 3), found[0][1]) if found else (None, "")


def as_number(value: Any) -> float | None:
    """A value as a number; None where it is none."""
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) and value == value else None


def value_of(values: Mapping[str, Any], name: str) -> Any:
    """The value of a question or fact; None where nobody knows it, or the rule base does not."""
    try:
        return values[name]
    except KeyError:
        return None
