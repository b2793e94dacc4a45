"""The rule base turned into functions, once; shared by every plan made from it. Pure."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from functools import lru_cache
from typing import TypeVar

from revive.engine.conditions import Made, Test, compile_condition, names_in, tasks_in
from revive.frozen import Frozen, field
from revive.model import GATES, Condition, Fact, Need, Question, Rule, RuleBase

T = TypeVar("T")


class Lazy(Mapping[str, T]):
    """Something for every name, worked out when it is first asked for."""

    def __init__(self, names: Collection[str], make: Callable[[str], T]) -> None:
        self.names, self.make = names, make
        self.made: dict[str, T] = {}

    def __getitem__(self, name: str) -> T:
        if name not in self.made:
            if name not in self.names:
                raise KeyError(name)
            self.made[name] = self.make(name)
        return self.made[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self.names)

    def __len__(self) -> int:
        return len(self.names)


class NeedTest(Frozen):
    """One need of a gate. calls: tasks that the need, or an answer that it reads, may plan.

    groups: the same, in groups of which the first task that exists is called.
    """

    need: Need
    guard: Test | None
    then: Test | None
    calls: frozenset[str]
    groups: tuple[tuple[str, ...], ...]


class Compiled(Frozen, eq=False):
    """Every condition of a rule base as a function, and what each reads.

    questions_of: rule id -> questions that its condition reads, derived facts followed to their questions.
    clears: (rule id, gate id) -> test of the clearing evidence. clears_calls: the same key -> groups of tasks it may plan.
    yielded: questions that apply only once a task is called for -> those tasks.
    yield_rules: (rule id, tasks that it adds and that yield an answer). need_yields: gate id -> needs that may plan such
    tasks. clear_yields: (rule id, groups of such tasks that clearing evidence of its stop may plan).
    opens_with: first task behind a gate -> that gate. behind: task id -> gates that must be open before it, in order.
    earlier: task id -> every task that must come before it, near or far.
    holders: gate id -> rules that may hold it; stops that shut words only hold none. adders: task id -> rules that add it.
    measured: questions that readings answer. late_questions: task -> those that can be asked only once it is done.
    """

    base: RuleBase
    rules: Mapping[str, Test]
    skips: Mapping[str, Test]
    only_if: Mapping[str, Test]
    fact_tests: Mapping[str, tuple[Test, Test]]
    point_tests: Mapping[str, tuple[tuple[Test, Test, float], ...]]
    needs: Mapping[str, tuple[NeedTest, ...]]
    not_needed: Mapping[str, Test]
    after: Mapping[str, tuple[tuple[str, Test | None], ...]]
    clears: Mapping[tuple[str, str], Test]
    clears_conditions: Mapping[tuple[str, str], Condition]
    clears_calls: Mapping[tuple[str, str], tuple[tuple[str, ...], ...]]
    contradictions: Mapping[str, Test]
    questions_of: Mapping[str, tuple[str, ...]]
    yielded: Mapping[str, tuple[str, ...]]
    yield_rules: tuple[tuple[str, frozenset[str]], ...]
    need_yields: Mapping[str, tuple[NeedTest, ...]]
    clear_yields: tuple[tuple[str, tuple[tuple[str, ...], ...]], ...]
    opens_with: Mapping[str, str]
    behind: Mapping[str, tuple[str, ...]]
    earlier: Mapping[str, frozenset[str]]
    holders: Mapping[str, tuple[Rule, ...]]
    adders: Mapping[str, tuple[Rule, ...]]
    measured: tuple[Question, ...]
    late_questions: Mapping[str, frozenset[str]]
    tests: Made
    read: dict[int, tuple[str, ...]] = field(default_factory=dict)

    def asked_behind(self, task: str) -> str:
        """The last gate that must be open before this task, and so before the questions that open with it."""
        return (self.behind.get(task) or (GATES[0],))[-1]

    def test(self, condition: Condition, as_need: bool = True) -> Test:
        """The test of a condition of this base, or of a part of one, compiled when first asked for."""
        return compile_condition(condition, self.base.questions, as_need, self.tests)

    def questions_in(self, condition: Condition | None) -> tuple[str, ...]:
        """Questions behind a condition of this base, or a part of one, each once in order of first mention."""
        if condition is None:
            return ()
        key = id(condition)
        if key not in self.read:
            self.read[key] = questions_behind(self.base, names_in(condition))
        return self.read[key]


def fact_conditions(fact: Fact) -> list[Condition]:
    """The conditions inside a derived fact; empty for computed ones."""
    if fact.kind == "yes_when":
        return [fact.of]
    return [point["when"] for point in fact.of] if fact.kind == "points" else []


def fact_names(fact: Fact) -> list[str]:
    """Questions and facts that a derived fact reads directly."""
    if fact.kind in ("yes_when", "points"):
        return [name for condition in fact_conditions(fact) for name in names_in(condition)]
    if fact.kind in ("largest", "smallest", "product", "quotient"):
        return list(fact.of)
    if fact.kind == "band":
        return [fact.of["of"]]
    if fact.kind == "by_layout":
        return ["layout", "cylinders", "valves_per_cylinder"] if fact.of == "points" else ["layout"]
    if fact.kind == "figure":
        return [name for name in fact.of["inputs"].values() if isinstance(name, str)]
    return [fact.of] if fact.kind in ("age_of", "days_since") else []


def questions_behind(base: RuleBase, names: Iterable[str]) -> tuple[str, ...]:
    """Questions that these names rest on, derived facts followed, each once in order of first mention."""
    found: dict[str, None] = {}
    todo = list(names)[::-1]
    seen: set[str] = set()
    while todo:
        name = todo.pop()
        if name in seen:
            continue
        seen.add(name)
        if name in base.questions:
            found[name] = None
        elif name in base.facts:
            todo.extend(reversed(fact_names(base.facts[name])))
    return tuple(found)


def task_groups(base: RuleBase, condition: Condition | None) -> tuple[tuple[str, ...], ...]:
    """Tasks that a condition reads as done, each by itself, and those that yield an answer it reads, through derived facts."""
    conditions: list[Condition | None] = [condition]
    seen: set[str] = set()
    groups: dict[tuple[str, ...], None] = {}
    while conditions:
        current = conditions.pop()
        groups.update(dict.fromkeys((task,) for task in tasks_in(current)))
        for name in names_in(current):
            if name in seen:
                continue
            seen.add(name)
            if name in base.questions:
                if base.questions[name].yielded_by:
                    groups[base.questions[name].yielded_by] = None
            elif name in base.facts:
                conditions.extend(fact_conditions(base.facts[name]))
                if base.facts[name].kind not in ("yes_when", "points"):
                    conditions.extend(("has", inner, "") for inner in fact_names(base.facts[name]))
    return tuple(groups)


def tasks_behind(base: RuleBase, condition: Condition | None) -> frozenset[str]:
    """Tasks that a condition reads as done, and tasks that yield an answer it reads, through derived facts."""
    return frozenset(task for group in task_groups(base, condition) for task in group)


@lru_cache(maxsize=8)
def compile_base(base: RuleBase) -> Compiled:
    """Compile every condition of the base; kept for as long as the base is in use."""
    asked = base.questions
    made: Made = {}

    def rule_side(condition: Condition) -> Test:
        return compile_condition(condition, asked, False, made)

    def need_side(condition: Condition) -> Test:
        return compile_condition(condition, asked, True, made)

    clears: dict[tuple[str, str], Condition] = {}
    for stop in base.stops.values():
        for rule_id, by_gate in stop.clears.items():
            for gate_id in base.rules[rule_id].holds if rule_id in base.rules else ():
                if gate_id in by_gate or "" in by_gate:
                    clears[rule_id, gate_id] = by_gate[gate_id if gate_id in by_gate else ""]
    yielded = {question.id: question.yielded_by for question in asked.values() if question.yielded_by}
    opens_with = {gate.first_task: gate.id for gate in base.gates.values() if gate.first_task}
    earlier: Lazy[frozenset[str]] = Lazy(base.tasks, lambda task: _earlier(base, task, earlier.made))
    yielders = {task for tasks in yielded.values() for task in tasks}
    needs = {gate.id: tuple(_need_test(base, need, made) for need in gate.needs) for gate in base.gates.values()}
    groups_of = {id(condition): task_groups(base, condition) for condition in clears.values()}
    clears_calls = {key: groups_of[id(condition)] for key, condition in clears.items()}

    def yielding(groups: Iterable[tuple[str, ...]]) -> tuple[tuple[str, ...], ...]:
        return tuple(group for group in groups if not yielders.isdisjoint(group))

    return Compiled(
        base=base,
        tests=made,
        rules={rule.id: rule_side(rule.when) for rule in base.rules.values()},
        skips={q.id: rule_side(q.skip_when) for q in asked.values() if q.skip_when},
        only_if={task.id: rule_side(task.only_if) for task in base.tasks.values() if task.only_if},
        fact_tests={
            fact.id: (rule_side(fact.of), need_side(fact.of)) for fact in base.facts.values() if fact.kind == "yes_when"
        },
        point_tests={
            fact.id: tuple((rule_side(point["when"]), need_side(point["when"]), point["add"]) for point in fact.of)
            for fact in base.facts.values()
            if fact.kind == "points"
        },
        needs=needs,
        need_yields={gate: tuple(test for test in tests if yielding(test.groups)) for gate, tests in needs.items()},
        clear_yields=tuple((key[0], found) for key, groups in clears_calls.items() if (found := yielding(groups))),
        not_needed={gate.id: rule_side(gate.not_needed) for gate in base.gates.values() if gate.not_needed},
        after={
            gate.id: tuple((other, rule_side(when) if when else None) for other, when in gate.after)
            for gate in base.gates.values()
        },
        clears={key: need_side(condition) for key, condition in clears.items()},
        clears_conditions=clears,
        clears_calls=clears_calls,
        contradictions={item.id: rule_side(item.when) for item in base.contradictions.values()},
        questions_of=Lazy(base.rules, lambda rule: questions_behind(base, names_in(base.rules[rule].when))),
        yielded=yielded,
        yield_rules=tuple(
            (rule.id, frozenset(rule.adds) & yielders) for rule in base.rules.values() if yielders & set(rule.adds)
        ),
        opens_with=opens_with,
        behind=Lazy(base.tasks, lambda task: _behind(base, task, earlier[task], opens_with)),
        earlier=earlier,
        holders={gate: tuple(rules) for gate, rules in _holders(base).items()},
        adders={task: tuple(rules) for task, rules in _adders(base).items()},
        measured=tuple(question for question in asked.values() if question.from_readings),
        late_questions={task: frozenset(names) for task, names in _late(base).items()},
    )


def _late(base: RuleBase) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for question in base.questions.values():
        if question.opens_after:
            found.setdefault(question.opens_after, []).append(question.id)
    return found


def _holders(base: RuleBase) -> dict[str, list[Rule]]:
    found: dict[str, list[Rule]] = {gate: [] for gate in base.gates}
    for rule in base.rules.values():
        if not (rule.stop in base.stops and base.stops[rule.stop].shuts_words_only):
            for gate in rule.holds:
                found[gate].append(rule)
    return found


def _adders(base: RuleBase) -> dict[str, list[Rule]]:
    found: dict[str, list[Rule]] = {}
    for rule in base.rules.values():
        for task in rule.adds:
            found.setdefault(task, []).append(rule)
    return found


def _need_test(base: RuleBase, need: Need, made: Made) -> NeedTest:
    groups = task_groups(base, need.then)
    return NeedTest(
        need,
        compile_condition(need.when, base.questions, False, made) if need.when else None,
        compile_condition(need.then, base.questions, True, made) if need.then else None,
        frozenset(task for group in groups for task in group),
        groups,
    )


def _earlier(base: RuleBase, task_id: str, known: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """known: what is before tasks that were asked for already."""
    todo, seen = [task_id], {task_id}
    while todo:
        for before in base.tasks[todo.pop()].after:
            if before in base.tasks and before not in seen:
                seen.add(before)
                if before in known:
                    seen |= known[before]
                else:
                    todo.append(before)
    return frozenset(seen - {task_id})


def _behind(base: RuleBase, task_id: str, earlier: frozenset[str], opens_with: Mapping[str, str]) -> tuple[str, ...]:
    """Gates whose first task is this one or must come before it; all work but that of the first gate is behind it."""
    found = {opens_with[task] for task in (*earlier, task_id) if task in opens_with} - {GATES[0]}
    if base.tasks[task_id].gate != GATES[0]:
        found.add(GATES[0])
    return tuple(gate for gate in GATES if gate in found)
