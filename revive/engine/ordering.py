"""Put tasks into working order: by gate, then physical need, then least setting-up. Pure."""

from collections.abc import Collection, Mapping, Sequence
from heapq import heappop, heappush

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
    by_rank = sorted(wanted, key=lambda task: (task not in finished, GATES.index(due[task]), base.tasks[task].order))
    return _placed(by_rank, before, {task: (base.tasks[task].subject, due[task], task in finished) for task in wanted})


def _placed(
    by_rank: Sequence[str], before: Mapping[str, Collection[str]], kind: Mapping[str, tuple[str, str, bool]]
) -> list[str]:
    """Tasks so that each comes after those before it: the ready one of least rank, or one that goes on with the same subject.

    kind: task -> subject, gate and whether it is finished. In a ring of tasks the one of least rank is taken.
    """
    rank = {task: place for place, task in enumerate(by_rank)}
    waits = {task: len(before[task]) for task in by_rank}
    behind: dict[str, list[str]] = {task: [] for task in by_rank}
    for task, earlier in before.items():
        for other in earlier:
            behind[other].append(task)
    ready: list[int] = []
    alike: dict[tuple[str, str, bool], list[int]] = {of: [] for of in kind.values()}
    placed: set[str] = set()

    def first_of(heap: list[int]) -> str:
        while heap and by_rank[heap[0]] in placed:
            heappop(heap)
        return by_rank[heap[0]] if heap else ""

    def make_ready(task: str) -> None:
        heappush(ready, rank[task])
        heappush(alike[kind[task]], rank[task])

    for task in by_rank:
        if not waits[task]:
            make_ready(task)
    order: list[str] = []
    left = iter(by_rank)
    subject = ""
    while len(order) < len(by_rank):
        chosen = first_of(ready)
        if chosen:
            chosen = first_of(alike.get((subject, *kind[chosen][1:]), [])) or chosen
        else:
            chosen = next(task for task in left if task not in placed)
        placed.add(chosen)
        order.append(chosen)
        subject = kind[chosen][0]
        for task in behind[chosen]:
            waits[task] -= 1
            if not waits[task] and task not in placed:
                make_ready(task)
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
