"""Sum the parts that the tasks of a plan need. Pure."""

from collections.abc import Mapping, Sequence
from typing import Any

from revive.engine.meant import planned_task
from revive.frozen import Frozen
from revive.model import Part, RuleBase
from revive.plan import PlanPart, PlanTask

Key = tuple[str, str, bool]
"""Item, unit, and whether only a look can call for it."""


class Use(Frozen):
    """What one task takes of a part. quantity: None where it hangs on something unknown."""

    task: PlanTask
    part: Part
    quantity: float | None


def quantity_of(part: Part, values: Mapping[str, Any]) -> float | None:
    """How much of a part, in its unit; None where it hangs on something unknown."""
    if not isinstance(part.quantity, Mapping):
        return float(part.quantity)
    size = values[part.quantity["of"]]
    if not isinstance(size, int | float) or size != size:
        return None
    return float(size * part.quantity.get("times", 1) + part.quantity.get("plus", 0))


def uses_of(base: RuleBase, tasks: Sequence[PlanTask], values: Mapping[str, Any]) -> Mapping[Key, Sequence[Use]]:
    """Parts of all work still to do that are meant for this machine, by item, in working order."""
    found: dict[Key, list[Use]] = {}
    for task in tasks:
        if task.state != "done":
            for part in planned_task(base, task).parts:
                key = part.item, part.unit, part.if_found or task.certainty == "assumed"
                found.setdefault(key, []).append(Use(task, part, quantity_of(part, values)))
    return found


def total(uses: Sequence[Use]) -> float | None:
    """The sum of the shares; None where one of them is unknown."""
    known = [use.quantity for use in uses if use.quantity is not None]
    return round(sum(known), 3) if len(known) == len(uses) else None


def sum_parts(base: RuleBase, tasks: Sequence[PlanTask], values: Mapping[str, Any]) -> tuple[PlanPart, ...]:
    """Parts of all work still to do, summed by item and unit, in working order; what is only to be bought after a look apart."""
    return tuple(
        PlanPart(
            item,
            total(uses),
            unit,
            tuple(use.task.id for use in uses),
            undecided,
            tuple(use.quantity for use in uses),
        )
        for (item, unit, undecided), uses in uses_of(base, tasks, values).items()
    )
