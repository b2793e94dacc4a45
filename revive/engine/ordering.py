"""Put tasks into working order: by gate, then physical need, then least setting-up. Pure."""

from collections.abc import Collection, Mapping

from revive.model import GATES, RuleBase


def working_order(
    base: RuleBase,
    wanted: Collection[str],
    due: dict[str, str],
    finished: Collection[str],
    looks_first: Mapping[str, Collection[str]],
) -> list[str]:
    """Every wanted task once, in an order that can be worked.

    Within a gate, work on what is already open goes on before something else is opened, and a look comes before
    the work that hangs on it. `due` is tightened in place: what must come first is due no later than what follows.
    """
    before = {
        task: {other for other in (*base.tasks[task].after, *looks_first.get(task, ())) if other in wanted} - {task}
        for task in wanted
    }
    for task in wanted:
        due.setdefault(task, base.tasks[task].gate)
    _tighten(before, due)
    order: list[str] = []
    left = sorted(wanted, key=lambda task: (task not in finished, GATES.index(due[task]), base.tasks[task].order))
    placed: set[str] = set()
    subject = ""
    while left:
        ready = [task for task in left if before[task] <= placed] or left[:1]
        first = ready[0]
        same = [
            task
            for task in ready
            if base.tasks[task].subject == subject
            and due[task] == due[first]
            and (task in finished) == (first in finished)
        ]
        chosen = same[0] if same else first
        left.remove(chosen)
        placed.add(chosen)
        order.append(chosen)
        subject = base.tasks[chosen].subject
    return order


def _tighten(before: Mapping[str, Collection[str]], due: dict[str, str]) -> None:
    changed = True
    while changed:
        changed = False
        for task, earlier in before.items():
            for other in earlier:
                if GATES.index(due[other]) > GATES.index(due[task]):
                    due[other] = due[task]
                    changed = True
