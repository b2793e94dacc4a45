"""Sum the parts that the tasks of a plan need. Pure."""

from collections.abc import Mapping, Sequence
from typing import Any

from revive.model import Part, RuleBase
from revive.plan import PlanPart, PlanTask


def quantity_of(part: Part, values: Mapping[str, Any]) -> float | None:
    """How much of a part, in its unit; None where it hangs on something unknown."""
    if not isinstance(part.quantity, Mapping):
        return float(part.quantity)
    size = values[part.quantity["of"]]
    if not isinstance(size, int | float) or size != size:
        return None
    return float(size * part.quantity.get("times", 1) + part.quantity.get("plus", 0))


def sum_parts(base: RuleBase, tasks: Sequence[PlanTask], values: Mapping[str, Any]) -> tuple[PlanPart, ...]:
    """Parts of all work still to do, summed by item and unit, in working order; what is only to be bought after a look apart."""
    sums: dict[tuple[str, str, bool], tuple[float | None, list[str]]] = {}
    for task in tasks:
        if task.state == "done":
            continue
        for part in base.tasks[task.id].parts:
            key = part.item, part.unit, part.if_found or task.certainty == "assumed"
            quantity = quantity_of(part, values)
            total, users = sums.get(key, (0.0, []))
            sums[key] = (None if quantity is None or total is None else round(total + quantity, 3), [*users, task.id])
    return tuple(
        PlanPart(item, quantity, unit, tuple(users), if_found)
        for (item, unit, if_found), (quantity, users) in sums.items()
    )
