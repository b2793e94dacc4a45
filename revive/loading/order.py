"""The order of work: no loops, and nothing due before a gate that lies behind it. Plans nothing."""

from collections.abc import Iterable, Mapping

from revive.loading.conditions import names_read, parts_of
from revive.loading.crosscheck_rules import fact_reads
from revive.loading.gathered import Gathered
from revive.model import Rule
from revive.problems import listed


def check(gathered: Gathered) -> None:
    """Add loops among tasks, gates and derived facts, and work due before a gate it lies behind, to `gathered`."""
    tasks, gates = gathered.table("task"), gathered.table("gate")
    after = {task.id: [name for name in task.after if name in tasks] for task in tasks.values()}
    _tell_loops(gathered, "task", after, "task-loop", "waits for", "Remove one of the 'after:' lines")
    before = {gate.id: [name for name, _ in gate.after if name in gates] for gate in gates.values()}
    _tell_loops(gathered, "gate", before, "gate-loop", "comes after", "Remove one of the 'after:' lines")
    reads = {
        fact.id: [n for n in fact_reads(fact) if n in gathered.table("fact")]
        for fact in gathered.table("fact").values()
    }
    _tell_loops(gathered, "fact", reads, "fact-loop", "is worked out from", "Break it at one of them")
    if not loops(before):
        _behind_gates(gathered, _closures(after), _closures(before))


def _tell_loops(gathered: Gathered, kind: str, edges: Mapping[str, list[str]], code: str, verb: str, mend: str) -> None:
    for loop in loops(edges):
        file, line = gathered.places[kind, loop[0]]
        steps = [f"'{one}' {verb} '{other}'" for one, other in zip(loop, [*loop[1:], loop[0]], strict=True)]
        places = [gathered.place(kind, name) for name in loop[1:]]
        if len(loop) == 1:
            what, where = f"'{loop[0]}' {verb} itself", "."
        elif len(loop) == 2 and code == "task-loop":
            what, where = f"'{loop[0]}' and '{loop[1]}' each wait for the other", f"; the other task is {places[0]}."
        else:
            what, where = f"a loop: {listed(steps, 20)}", f"; the others are {listed(places, 20)}."
        gathered.problem(file, line, code, what, mend + where)


def loops(edges: Mapping[str, Iterable[str]]) -> list[list[str]]:
    """One loop for each knot of names that reach themselves."""
    state: dict[str, int] = {}
    found = []
    for start in edges:
        if start in state:
            continue
        path, stack = [start], [iter(edges[start])]
        state[start] = 1
        while stack:
            name = next(stack[-1], None)
            if name is None:
                stack.pop()
                state[path.pop()] = 2
            elif state.get(name) == 1:
                found.append(path[path.index(name) :])
            elif name not in state:
                state[name] = 1
                path.append(name)
                stack.append(iter(edges.get(name, ())))
    return found


def _closures(edges: Mapping[str, list[str]]) -> dict[str, set[str]]:
    """Name -> every name that it reaches, itself included; loops are told elsewhere and do no harm here."""
    made: dict[str, set[str]] = {}
    for start in edges:
        seen, todo = {start}, [start]
        while todo:
            name = todo.pop()
            for inner in edges.get(name, ()):
                if inner in made:
                    seen |= made[inner]
                elif inner not in seen:
                    seen.add(inner)
                    todo.append(inner)
        made[start] = seen
    return made


def _behind_gates(gathered: Gathered, waits: Mapping[str, set[str]], earlier: Mapping[str, set[str]]) -> None:
    """Work due before a gate must not wait for work behind that gate, or behind one that opens only after it.

    A first task that the gate itself needs done is no barrier: taking pictures comes before hands go on.
    """
    gates, tasks = gathered.table("gate"), gathered.table("task")
    barriers = {
        gate.id: str(gate.first_task)
        for gate in gates.values()
        if gate.first_task and not any(("done", gate.first_task) in parts_of(need.then) for need in gate.needs)
    }

    def behind(task: str, gate: str) -> str:
        """The first task of this gate or of a later one for which the task waits, or an empty text."""
        for other, first in barriers.items():
            if gate in earlier[other] and first in waits.get(task, ()):
                return first
        return ""

    for task in tasks.values():
        if task.gate in gates and (first := behind(task.id, task.gate)):
            file, line = gathered.places["task", task.id]
            waiting = "is" if first == task.id else f"waits for '{first}',"
            what = f"task {task.id} is due before gate {task.gate}, but {waiting} work that only the open gate allows"
            mend = f"Give it a later 'gate:', or take out what leads to '{first}' in 'after:'."
            gathered.problem(file, line, "behind-gate", what, mend)
    for rule in gathered.table("rule").values():
        opened = _opened_by(gathered, rule, waits)
        for gate, released in rule.holds.items():
            late = [task for task in released if gate in gates and behind(task, gate)]
            if late and gates[gate].first_task not in opened:
                file, line = gathered.places["rule", rule.id]
                what = f"rule {rule.id} holds gate {gate} until {listed(late)} is done, which the shut gate forbids"
                mend = f"Name only earlier work: holds: {{{gate}: [tasks]}}, or hold a later gate."
                gathered.problem(file, line, "behind-gate", what, mend)
    for gate in gates.values():
        for need in gate.needs:
            late = [task for task in need.if_planned if behind(task, gate.id)]
            if late:
                file, line = need.place.rsplit(":", 1)
                what = f"gate {gate.id} needs {listed(late)} to be done, which the shut gate forbids"
                gathered.problem(file, int(line), "behind-gate", what, "Take it out of 'if_planned:'.")


def _opened_by(gathered: Gathered, rule: Rule, waits: Mapping[str, set[str]]) -> set[str]:
    """Tasks that are done before the rule's questions can be asked: a later finding may call for later work."""
    opened: set[str] = set()
    todo, seen = names_read(rule.when), set[str]()
    while todo:
        name = todo.pop()
        if name not in seen:
            seen.add(name)
            question = gathered.table("question").get(name)
            if question is not None and question.opens_after:
                opened |= waits.get(question.opens_after, set())
            todo += fact_reads(gathered.table("fact").get(name))
    return opened
