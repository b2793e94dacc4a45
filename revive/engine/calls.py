"""Ask each rule, need and raised stop of a case which tasks it calls for. Pure; gathering.py puts the calls together."""

from collections.abc import Iterator, Mapping

from revive.engine.compiled import tasks_behind
from revive.engine.conditions import Truth, names_in, tasks_in
from revive.engine.facts import Reading
from revive.engine.study import Study
from revive.frozen import Frozen, replace
from revive.model import GATES, Condition, Rule, Task


class Call(Frozen):
    """One call for one task. state: certain, assumed or possible. gates: those that the work helps to open.

    source_id: the rule or gate that calls. condition: what the call rests on. stale: recorded work has grown too old.
    """

    task: str
    state: str
    gates: tuple[str, ...]
    source_id: str
    finding: str
    severity: str
    condition: Condition | None
    rule: Rule | None
    stale: bool = False


class Caller:
    """Answers for one study what is called for; nothing is put together here."""

    def __init__(self, study: Study) -> None:
        self.study, self.case, self.judge = study, study.case, study.judge
        self.recorded, self.assumed = study.recorded, study.assumed
        self.base, self.states = study.case.compiled.base, study.states
        self._hopeful: dict[str, Reading] = {}
        self._calls: dict[tuple[str | int, ...], tuple[Call, ...]] = {}

    def calls(self) -> Mapping[tuple[str | int, ...], tuple[Call, ...]]:
        """Every call by who calls: every rule, then every need, then every raised stop."""
        if not self._calls:
            for rule in self.base.rules.values():
                if self.states[rule.id] != "quiet":
                    self._calls["rule", rule.id] = tuple(self.of_rule(rule))
            for gate in self.judge.needed:
                for number in range(len(self.case.compiled.needs[gate])):
                    self._calls["need", gate, number] = tuple(self.of_need(gate, number))
            for rule in self.base.rules.values():
                if rule.stop:
                    self._calls["stop", rule.id] = tuple(self.of_stop(rule))
        return self._calls

    def of_rule(self, rule: Rule) -> Iterator[Call]:
        """The tasks that a rule adds, unless it is quiet."""
        state = self.states[rule.id]
        if state == "quiet":
            return
        for task_id in rule.adds:
            gates = tuple(gate for gate, tasks in rule.holds.items() if task_id in tasks)
            yield from self._call(task_id, gates, state, rule.id, rule.finding, rule.severity, rule.when, rule)

    def of_need(self, gate: str, number: int) -> Iterator[Call]:
        """The tasks that would fill a need of a gate."""
        test = self.case.compiled.needs[gate][number]
        if test.then is None or not (test.calls or self._stale(test.need.then)):
            return
        certain = test.guard(self.recorded.sight) if test.guard else True
        truth = test.guard(self.assumed.sight) if test.guard else True
        if truth is False and not certain:
            return
        if test.then(self.judge.reading(gate).sight) is True and not self._done_in(test.need.then):
            return
        state = "certain" if certain else "assumed" if truth else "possible"
        stale = set() if test.then(self.judge.reading(gate).sight) is True else self._stale(test.need.then)
        for task_id in {**self._wanted(test.need.then, gate), **dict.fromkeys(sorted(stale))}:
            for call in self._call(task_id, (gate,), state, gate, test.need.text, "must_do", test.need.when, None):
                yield replace(call, stale=task_id in stale)

    def of_stop(self, rule: Rule) -> Iterator[Call]:
        """The tasks that would clear a stop which this rule raises."""
        if not rule.stop or self.states[rule.id] not in ("certain", "assumed"):
            return
        for gate in rule.holds:
            condition = self.case.compiled.clears_conditions.get((rule.id, gate))
            if condition is None or gate not in self.judge.needed or self.judge.cleared(rule, gate) is True:
                continue
            for task_id in self._wanted(condition, gate):
                state = self.states[rule.id]
                yield from self._call(task_id, (gate,), state, rule.id, rule.finding, rule.severity, rule.when, rule)

    def exists(self, task_id: str) -> tuple[Truth, Truth]:
        """Whether the task exists on this machine: on what is recorded, and assuming the worst."""
        only_if = self.case.compiled.only_if.get(task_id)
        return (only_if(self.recorded.sight), only_if(self.assumed.sight)) if only_if else (True, True)

    def _call(
        self,
        task_id: str,
        gates: tuple[str, ...],
        state: str,
        source_id: str,
        finding: str,
        severity: str,
        condition: Condition | None,
        rule: Rule | None,
    ) -> Iterator[Call]:
        there, there_assumed = self.exists(task_id)
        if there is False or (there is None and there_assumed is False):
            return
        if not self._serves(self.base.tasks[task_id], gates):
            return
        if state != "possible" and there is None:
            state = "assumed" if there_assumed else "possible"
        yield Call(task_id, state, gates, source_id, finding, severity, condition, rule)

    def _serves(self, task: Task, gates: tuple[str, ...]) -> bool:
        """Whether the task serves a gate that the goal uses, closes the plan, or shows something on this side of the goal."""
        needed = self.judge.needed
        behind = self.case.compiled.behind[task.id]
        if any(gate in needed for gate in gates or [task.gate]) or (not gates and task.gate == GATES[-1]):
            return True
        last = [gate for gate in needed if gate not in (GATES[0], GATES[-1])][-1:]
        if last and behind[-1:] == tuple(last):  # what the last gate of this goal opens
            return True
        looks = any(self.base.questions[name].stage in (2, 3) for name in task.records if name in self.base.questions)
        return looks and all(gate in needed for gate in behind)

    def _done_in(self, condition: Condition | None) -> bool:
        return any(task in self.case.record.done for task in tasks_in(condition))

    def _stale(self, condition: Condition | None) -> set[str]:
        """Recorded work whose age a condition reads; where the condition fails, that work is due again."""
        facts = (self.base.facts[name] for name in names_in(condition) if name in self.base.facts)
        return {fact.of for fact in facts if fact.kind == "days_since" and fact.of in self.case.record.done}

    def _wanted(self, condition: Condition | None, gate: str) -> dict[str, None]:
        """Tasks that would help this condition to become true, taking the first way that is still open."""
        if condition is None:
            return {}
        kind = condition[0]
        if kind == "done":
            return {condition[1]: None}
        if kind == "all":
            return {task: None for part in condition[1] for task in self._wanted(part, gate)}
        if kind == "when":
            guard = self.case.compiled.test(condition[1])(self.judge.reading(gate).sight)
            return {} if guard is False else self._wanted(condition[2], gate)
        if kind == "any":
            return self._wanted_of_any(condition[1], gate)
        if kind in ("is", "has", "compare"):
            return self._wanted_of_name(condition, gate)
        return {}

    def _wanted_of_any(self, parts: tuple[Condition, ...], gate: str) -> dict[str, None]:
        sight = self.judge.reading(gate).sight
        for part in parts:
            if not tasks_behind(self.base, part) and self.case.compiled.test(part)(sight) is None:
                return {}  # a look may settle it without any work
        hopeful = self._hopeful_reading(gate)
        truths = [self.case.compiled.test(part)(hopeful.sight) for part in parts]
        now = [self.case.compiled.test(part)(sight) for part in parts]
        if True in now:
            return self._wanted(parts[now.index(True)], gate)
        for wanted in (True, None):
            if wanted in truths:
                return self._wanted(parts[truths.index(wanted)], gate)
        return {}

    def _hopeful_reading(self, gate: str) -> Reading:
        """The gate's reading as it would be with all work done."""
        if gate not in self._hopeful:
            reading = self.judge.reading(gate)
            everything = frozenset(self.base.tasks)
            self._hopeful[gate] = Reading(self.case, reading.given, reading.masked, reading.absent, done=everything)
        return self._hopeful[gate]

    def _wanted_of_name(self, condition: Condition, gate: str) -> dict[str, None]:
        name = condition[1]
        fact = self.base.facts.get(name)
        if fact and fact.kind == "yes_when" and condition[0] == "is" and "yes" in condition[2]:
            return self._wanted(fact.of, gate)
        question = self.base.questions.get(name)
        if question and self.judge.reading(gate).sight.need[name] is None:
            for task_id in question.yielded_by:
                if self.judge.exists(task_id) is not False:
                    return {task_id: None}
        return {}
