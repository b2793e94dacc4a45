"""Put the calls for tasks together: why each is wanted, before which gate, and which are only possible. Pure."""

from revive.engine.calls import Call, Caller
from revive.engine.study import because
from revive.model import GATES, Condition
from revive.plan import Reason


class TaskCalls:
    """What a study calls for.

    reasons: task -> why. due: task -> the earliest gate that it is called before. possible: task -> questions it hangs on.
    unsure: questions that could still decide whether a task exists. looks_first: task -> looks that come before it.
    """

    def __init__(self, caller: Caller) -> None:
        self.caller, self.study, self.case, self.judge = caller, caller.study, caller.case, caller.judge
        self.base = caller.base
        self.reasons: dict[str, list[Reason]] = {}
        self.due: dict[str, str] = {}
        self.possible: dict[str, dict[str, None]] = {}
        self.unsure: dict[str, None] = {}
        self.looks_first: dict[str, set[str]] = {}
        self._voided: set[str] = set()

    def gather(self) -> "TaskCalls":
        """Take every call, then the looks that would settle what was assumed."""
        for calls in self.caller.calls().values():
            for call in calls:
                self._take(call)
        self._looks()
        for task in self.reasons:
            self.possible.pop(task, None)
        return self

    def is_void(self, task_id: str) -> bool:
        """Whether recorded work on the task is older than a finding that calls for it."""
        return task_id in self._voided

    def _take(self, call: Call) -> None:
        task = self.base.tasks[call.task]
        if call.state == "possible":
            unknown = [*self._unknown(call.condition), *self._unknown(task.only_if)]
            self.possible.setdefault(task.id, {}).update(dict.fromkeys(unknown))
            self.unsure.update(dict.fromkeys(unknown))
            return
        behind = because(self.study, call.condition, call.state)
        source = ", ".join(ref.id for ref in call.rule.sources) if call.rule else ""
        kept = self.reasons.setdefault(task.id, [])
        if all(call.source_id != other.rule or call.finding != other.finding for other in kept):
            kept.append(Reason(call.source_id, call.finding, call.severity, call.state, behind, source))
        latest = max((GATES.index(gate) for gate in self.case.compiled.behind[task.id]), default=-1)
        helps = [gate for gate in call.gates if gate in self.judge.needed and GATES.index(gate) > latest]
        for gate in [*helps, task.gate]:
            if task.id not in self.due or GATES.index(gate) < GATES.index(self.due[task.id]):
                self.due[task.id] = gate
        if call.stale:
            self._voided.add(task.id)
        if (
            call.rule
            and call.severity != "note"
            and task.id in self.case.record.done
            and not self.judge.work_counts(call.rule, task.id)
        ):
            self._voided.add(task.id)

    def _unknown(self, condition: Condition | None) -> list[str]:
        values = self.study.assumed.sight.rule
        return [name for name in self.case.compiled.questions_in(condition) if values[name] is None]

    def _looks(self) -> None:
        """Put the look that settles an assumption into the plan, before the work that hangs on it."""
        for task_id, reasons in list(self.reasons.items()):
            if any(reason.certainty == "certain" for reason in reasons):
                continue
            for name in sorted({one.question for reason in reasons for one in reason.because if one.assumed}):
                look = self._look_for(name)
                if look and look != task_id and task_id not in self.case.compiled.earlier[look]:
                    self.looks_first.setdefault(task_id, set()).add(look)
                    finding = f"Settles: {self.base.questions[name].ask}"
                    gates = (self.due[task_id],)
                    self._take(Call(look, "certain", gates, name, finding, "attention", None, None))

    def _look_for(self, name: str) -> str:
        for task_id in self.base.questions[name].settled_by:
            if self.judge.exists(task_id) is not False:
                return task_id
        return ""
