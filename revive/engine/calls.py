"""Find which tasks a case calls for, why, before which gate, and which are only possible. Pure."""

from revive.engine.compiled import questions_behind, tasks_behind
from revive.engine.conditions import Truth, names_in, tasks_in
from revive.engine.facts import Reading
from revive.engine.gates import work_counts
from revive.engine.study import Study, because
from revive.model import GATES, Condition, Rule, Task
from revive.plan import Reason


class TaskCalls:
    """Gathers the calls for tasks.

    reasons: task -> why. due: task -> the earliest gate that it is called before. possible: task -> questions it hangs on.
    unsure: questions that could still decide whether a task exists. looks_first: task -> looks that come before it.
    """

    def __init__(self, study: Study) -> None:
        self.study = study
        self.case, self.judge, self.recorded, self.assumed = study.case, study.judge, study.recorded, study.assumed
        self.base, self.states = study.case.compiled.base, study.states
        self.reasons: dict[str, list[Reason]] = {}
        self.due: dict[str, str] = {}
        self.possible: dict[str, dict[str, None]] = {}
        self.unsure: dict[str, None] = {}
        self.looks_first: dict[str, set[str]] = {}
        self._voided: set[str] = set()

    def gather(self) -> "TaskCalls":
        """Ask rules, then needs and stops, then the looks that would settle what was assumed."""
        for rule in self.base.rules.values():
            self._from_rule(rule)
        for gate in self.judge.needed:
            self._from_needs(gate)
        for rule in self.base.rules.values():
            if rule.stop and self.states[rule.id] in ("certain", "assumed"):
                self._from_stop(rule)
        self._looks()
        for task in self.reasons:
            self.possible.pop(task, None)
        return self

    def is_void(self, task_id: str) -> bool:
        """Whether recorded work on the task is older than a finding that calls for it."""
        return task_id in self._voided

    def _from_rule(self, rule: Rule) -> None:
        state = self.states[rule.id]
        if state == "quiet":
            return
        for task_id in rule.adds:
            gates = [gate for gate, tasks in rule.holds.items() if task_id in tasks]
            self._call(task_id, gates, state, rule.id, rule.finding, rule.severity, rule)

    def _from_needs(self, gate: str) -> None:
        sight = self.judge.reading(gate).sight
        for test in self.case.compiled.needs[gate]:
            if test.then is None or not test.calls:
                continue
            certain = test.guard(self.recorded.sight) if test.guard else True
            truth = test.guard(self.assumed.sight) if test.guard else True
            if truth is False and not certain or test.then(sight) is True and not self._done_in(test.need.then):
                continue
            state = "certain" if certain else "assumed" if truth else "possible"
            for task_id in self._wanted(test.need.then, gate):
                self._call(task_id, [gate], state, gate, test.need.text, "must_do", None, test.need.when)

    def _done_in(self, condition: Condition | None) -> bool:
        return any(task in self.case.record.done for task in tasks_in(condition))

    def _from_stop(self, rule: Rule) -> None:
        for gate in rule.holds:
            condition = self.case.compiled.clears_conditions.get((rule.id, gate))
            if condition is None or gate not in self.judge.needed or self.judge.cleared(rule, gate) is True:
                continue
            for task_id in self._wanted(condition, gate):
                self._call(task_id, [gate], self.states[rule.id], rule.id, rule.finding, rule.severity, rule)

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
        hopeful = self._hopeful(gate)
        truths = [self.case.compiled.test(part)(hopeful.sight) for part in parts]
        now = [self.case.compiled.test(part)(sight) for part in parts]
        if True in now:
            return self._wanted(parts[now.index(True)], gate)
        for wanted in (True, None):
            if wanted in truths:
                return self._wanted(parts[truths.index(wanted)], gate)
        return {}

    def _hopeful(self, gate: str) -> Reading:
        """The gate's reading as it would be with all work done."""
        reading = self.judge.reading(gate)
        everything = frozenset(self.base.tasks)
        return Reading(self.case, reading.given, reading.masked, reading.absent, done=everything)

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

    def _call(
        self,
        task_id: str,
        gates: list[str],
        state: str,
        source_id: str,
        finding: str,
        severity: str,
        rule: Rule | None,
        guard: Condition | None = None,
    ) -> None:
        task = self.base.tasks[task_id]
        there, there_assumed = self._exists(task_id)
        if there is False or (there is None and there_assumed is False):
            return
        if not self._serves(task, gates):
            return
        if state != "possible" and there is None:
            state = "assumed" if there_assumed else "possible"
        if state == "possible":
            hangs = self.possible.setdefault(task_id, {})
            unknown = [*self._unknown(rule.when if rule else guard), *self._unknown(task.only_if)]
            hangs.update(dict.fromkeys(unknown))
            self.unsure.update(dict.fromkeys(unknown))
            return
        behind = because(self.study, rule.when if rule else guard, state)
        reason = Reason(source_id, finding, severity, state, behind, self._source(rule))
        kept = self.reasons.setdefault(task_id, [])
        if all(reason.rule != other.rule or reason.finding != other.finding for other in kept):
            kept.append(reason)
        latest = max((GATES.index(gate) for gate in self.case.compiled.behind[task_id]), default=-1)
        for gate in [*(gate for gate in gates if gate in self.judge.needed and GATES.index(gate) > latest), task.gate]:
            if task_id not in self.due or GATES.index(gate) < GATES.index(self.due[task_id]):
                self.due[task_id] = gate
        if rule and task_id in self.case.record.done and not work_counts(self.case, rule, task_id):
            self._voided.add(task_id)

    def _exists(self, task_id: str) -> tuple[Truth, Truth]:
        only_if = self.case.compiled.only_if.get(task_id)
        return (only_if(self.recorded.sight), only_if(self.assumed.sight)) if only_if else (True, True)

    def _serves(self, task: Task, gates: list[str]) -> bool:
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

    def _unknown(self, condition: Condition | None) -> list[str]:
        values = self.assumed.sight.rule
        return [name for name in questions_behind(self.base, names_in(condition)) if values[name] is None]

    def _source(self, rule: Rule | None) -> str:
        return ", ".join(ref.id for ref in rule.sources) if rule else ""

    def _looks(self) -> None:
        """Put the look that settles an assumption into the plan, before the work that hangs on it."""
        for task_id, reasons in list(self.reasons.items()):
            if any(reason.certainty == "certain" for reason in reasons):
                continue
            for name in {reason.question for r in reasons for reason in r.because if reason.assumed}:
                look = self._look_for(name)
                if look and look != task_id:
                    self.looks_first.setdefault(task_id, set()).add(look)
                    if look not in self.reasons or self.due[look] != self.due[task_id]:
                        finding = f"Settles: {self.base.questions[name].ask}"
                        self._call(look, [self.due[task_id]], "certain", name, finding, "attention", None)

    def _look_for(self, name: str) -> str:
        for task_id in self.base.questions[name].settled_by:
            if task_id in self.base.tasks and self.judge.exists(task_id) is not False:
                return task_id
        return ""
