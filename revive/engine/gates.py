"""Decide what each gate believes: shut, unproven or open. A gate opens on recorded evidence only. Pure."""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.engine.compiled import NeedTest
from revive.engine.conditions import Sight, Truth, names_in, tasks_in, truth_and, truth_not, truth_or
from revive.engine.dates import same_moment, strictly_after
from revive.engine.facts import Case, Reading, gate_values
from revive.engine.settled import may_exist_here, settle_reading
from revive.frozen import Frozen
from revive.model import GATES, Condition, Rule
from revive.plan import Hold


class GateFinding(Frozen):
    """What was decided about one gate. holds: everything that keeps it from opening, own holds first."""

    id: str
    state: str
    holds: tuple[Hold, ...]


def questions_it_rests_on(case: Case, condition: Condition, sight: Sight, wanted: bool = True) -> set[str]:
    """Questions behind those parts of a condition that make it come out as wanted, or could: parts known to fail are left out."""
    truth = case.compiled.test(condition, as_need=False)(sight)
    if truth is (not wanted):
        return set()
    kind = condition[0]
    if kind in ("all", "any"):
        parts = [questions_it_rests_on(case, part, sight, wanted) for part in condition[1]]
        return set().union(*parts)
    if kind == "not":
        return questions_it_rests_on(case, condition[1], sight, not wanted)
    if kind == "when":
        guard = questions_it_rests_on(case, condition[1], sight, not wanted)
        return guard | questions_it_rests_on(case, condition[2], sight, wanted)
    name = condition[1] if kind in ("is", "has", "compare") else ""
    fact = case.compiled.base.facts.get(name)
    if fact and fact.kind == "yes_when" and kind == "is":
        return questions_it_rests_on(case, fact.of, sight, wanted is ("yes" in condition[2]))
    return set(case.compiled.questions_in(condition))


class Judge:
    """Judges gates for one case. Everything is worked out once and kept."""

    def __init__(
        self,
        case: Case,
        like: "Judge | None" = None,
        changed: Mapping[str, Any] | None = None,
        reached: frozenset[str] = frozenset(),
    ) -> None:
        """like: a judge of the same record with other answers; what `changed` cannot reach is taken over from it."""
        self.case = case
        self.base = case.compiled.base
        self._readings: dict[frozenset[str], Reading] = {}
        self._reading_of: dict[str, Reading] = {}
        self._truths: dict[int, dict[str, Truth]] = {}
        self._findings: dict[str, GateFinding] = {}
        self._open: dict[str, bool] = {}
        self._counted: dict[str, frozenset[str]] = {}
        self._rests_on: dict[str, set[str]] = {}
        self._newer: dict[tuple[str, bool], frozenset[str]] = {}
        self.done = frozenset(case.record.done)
        self._may_exist: frozenset[str] | None = None
        self.given: dict[str, Any]
        self.plain: Reading
        self.needed: tuple[str, ...]
        if like is not None and changed is not None:
            self.given = {**like.given, **changed}
            self.plain = like.plain.varied(case, changed, reached)
            self.needed = like.needed
            self._reading_of = {gate: like.reading(gate).varied(case, changed, reached) for gate in like.needed}
            return
        self.given = gate_values(case)
        self.plain = Reading(case, self.given)
        self.needed = tuple(
            gate
            for gate in GATES
            if gate in self.base.gates
            and not (gate in case.compiled.not_needed and case.compiled.not_needed[gate](self.plain.sight))
        )

    def masked(self, gate: str) -> frozenset[str]:
        """Unanswered questions that can be asked only after this gate, the task they open with not being on record."""
        place, compiled = GATES.index(gate), self.case.compiled
        late = (
            questions
            for task, questions in compiled.late_questions.items()
            if task not in self.case.opened and GATES.index(compiled.asked_behind(task)) >= place
        )
        return frozenset[str]().union(*late).difference(self.given)

    def reading(self, gate: str) -> Reading:
        """The record as this gate sees it."""
        if gate not in self._reading_of:
            masked = self.masked(gate)
            if masked not in self._readings:
                reading = Reading(self.case, self.given, masked)
                self._readings[masked] = settle_reading(self.case, reading, self.needed, self.may_exist())
            self._reading_of[gate] = self._readings[masked]
        return self._reading_of[gate]

    def may_exist(self) -> frozenset[str]:
        """Tasks that do not certainly miss on this machine."""
        if self._may_exist is None:
            self._may_exist = may_exist_here(self.case, self.plain)
        return self._may_exist

    def truth(self, rule_id: str, gate: str) -> Truth:
        """A rule's condition as this gate sees it."""
        reading = self.reading(gate)
        known = self._truths.setdefault(id(reading), {})
        if rule_id not in known:
            known[rule_id] = self.case.compiled.rules[rule_id](reading.sight)
        return known[rule_id]

    def work_counts(self, rule: Rule, task_id: str) -> bool:
        """Whether recorded work on a task pays for this rule: it must be newer than the finding that the rule rests on."""
        return task_id in self.counted(rule)

    def counted(self, rule: Rule) -> frozenset[str]:
        """Recorded tasks that pay for this rule.

        Findings of stages 4 and 5 void work that is not certainly newer; hands-on findings void work that is
        certainly older. What the work itself brought to light, noted with its own time, does not void it, nor what
        is read off the instrument that it fitted.
        """
        if rule.id not in self._counted:
            counted = self.done
            for name in self.rests_on(rule) if counted else ():
                stage, answer = self.base.questions[name].stage, self.case.answers.get(name)
                if answer is not None and stage >= 3:
                    counted &= self._newer_than(answer.on, stage >= 4) | self._found_by(name, answer.on)
            self._counted[rule.id] = counted
        return self._counted[rule.id]

    def rests_on(self, rule: Rule) -> set[str]:
        """Questions that the rule's finding rests on, as far as is recorded."""
        if rule.id not in self._rests_on:
            self._rests_on[rule.id] = questions_it_rests_on(self.case, rule.when, self.plain.sight)
        return self._rests_on[rule.id]

    def _newer_than(self, found_on: str, certainly: bool) -> frozenset[str]:
        """Recorded tasks that a finding of this day does not void. certainly: the work must be newer for certain."""
        key = found_on, certainly
        if key not in self._newer:
            done = self.case.record.done.items()
            if certainly:
                newer = [task for task, work in done if strictly_after(work.on, found_on)]
            else:
                newer = [
                    task for task, work in done if not (found_on and work.on and strictly_after(found_on, work.on))
                ]
            self._newer[key] = frozenset(newer)
        return self._newer[key]

    def _found_by(self, name: str, found_on: str) -> frozenset[str]:
        """Recorded tasks that this finding leaves standing, being their own.

        They brought it to light, with their own time; or they laid open what a later task, with its own time, brought to
        light there; or they fitted what it was read off.
        """
        tasks, done = self.base.tasks, self.case.record.done
        here = [task for task in done if name in tasks[task].finds]
        found = [task for task in here if same_moment(done[task].on, found_on)]
        opened = [task for task in here if any(self._still_open(task, finder) for finder in found)]
        return frozenset([*found, *opened, *(task for task in done if name in tasks[task].reads)])

    def _still_open(self, task: str, finder: str) -> bool:
        """Whether this work came before the work that found something, and nothing that closes it up again between them."""
        earlier, record = self.case.compiled.earlier, self.case.record
        since, until = record.done[task].on, record.done[finder].on
        if task not in earlier[finder] or not strictly_after(until, since):
            return False
        kept = [(entry["task"], str(entry.get("on", ""))) for entry in record.earlier if entry.get("task") in earlier]
        return all(
            strictly_after(since, on) or strictly_after(on, until)
            for other, on in [*((other, work.on) for other, work in record.done.items()), *kept]
            if finder in earlier[other]
        )

    def exists(self, task_id: str) -> Truth:
        """Whether the task exists on this machine, on recorded answers."""
        only_if = self.case.compiled.only_if.get(task_id)
        return only_if(self.plain.sight) if only_if else True

    def released(self, rule: Rule, gate: str) -> bool:
        """Whether finished work releases a rule: one task is done, and each other is done or certainly does not exist."""
        counted, tasks = self.counted(rule), rule.holds[gate]
        if counted.isdisjoint(tasks):
            return False
        return all(task in counted or self.exists(task) is False for task in tasks)

    def cleared(self, rule: Rule, gate: str) -> Truth:
        """Whether the clearing evidence of a stop is on record for this rule and gate."""
        test = self.case.compiled.clears.get((rule.id, gate))
        if test is None:
            return False
        return test(self.evidence(rule, gate).sight)

    def evidence(self, rule: Rule, gate: str) -> Reading:
        """The record as the clearing of a rule's stop sees it: without work and answers that the finding made void."""
        reading = self.reading(gate)
        counted = self.counted(rule)
        before = self.seen_before(rule, self.case.compiled.clears_conditions.get((rule.id, gate)))
        if not before and counted == reading.sight.done:
            return reading
        given = {**self.given, **dict.fromkeys(before)} if before else self.given
        return Reading(self.case, given, reading.masked, reading.absent, done=counted)

    def seen_before(self, rule: Rule, evidence: Condition | None) -> list[str]:
        """Answers from hands-on looks on that are certainly older than a finding of stages 4 and 5 that a rule rests on.

        They clear nothing: a hose that felt supple before the run says nothing of the leak that the run showed. What a
        machine is made of stays so.
        """
        own, answers, asked = self.rests_on(rule), self.case.answers, self.base.questions
        found = [answers[name].on for name in own if name in answers and asked[name].stage >= 4]
        return [
            name
            for name in (self.case.compiled.questions_in(evidence) if found and evidence else ())
            if name in answers and asked[name].stage >= 3 and answers[name].value not in asked[name].lasting
            if any(strictly_after(on, answers[name].on) for on in found)
        ]

    def finding(self, gate: str) -> GateFinding:
        """Decide one gate."""
        if gate not in self._findings:
            holds = [*self._rule_holds(gate), *self._need_holds(gate), *self._goal_holds(gate), *self._gate_holds(gate)]
            state = "shut" if any(hold.shut for hold in holds) else "unproven" if holds else "open"
            state = state if gate in self.needed else "not_needed"
            self._findings[gate] = GateFinding(gate, state, tuple(holds) if state != "not_needed" else ())
        return self._findings[gate]

    def is_open(self, gate: str) -> bool:
        """Whether the gate is open; the first thing that holds it is enough to know that it is not."""
        if gate not in self._open:
            own = (hold for holds in (self._rule_holds, self._need_holds, self._goal_holds) for hold in holds(gate))
            self._open[gate] = (
                gate in self.needed
                and next(own, None) is None
                and all(asked is False or self.is_open(other) for other, asked in self._gates_before(gate))
            )
        return self._open[gate]

    def _rule_holds(self, gate: str) -> Iterator[Hold]:
        reading, tests = self.reading(gate), self.case.compiled.rules
        known = self._truths.setdefault(id(reading), {})
        for rule in self.case.compiled.holders[gate]:
            if rule.id not in known:
                known[rule.id] = tests[rule.id](reading.sight)
            truth = known[rule.id]
            if truth is False:
                continue
            stop = self.base.stops.get(rule.stop)
            if stop:
                if self.cleared(rule, gate) is not True:
                    condition = self.case.compiled.clears_conditions.get((rule.id, gate))
                    waits = tuple(dict.fromkeys([*tasks_in(condition), *names_in(condition)]))
                    yield Hold("stop", stop.id, rule.finding, truth is True, rule.id, waits)
            elif not self.released(rule, gate):
                open_tasks = [
                    task
                    for task in rule.holds[gate]
                    if self.exists(task) is not False and not self.work_counts(rule, task)
                ]
                waits = tuple(open_tasks) if truth else tuple(self.unknown_behind(rule.id, gate))
                yield Hold("rule", rule.id, rule.finding, truth is True, rule.id, waits)

    def unknown_behind(self, rule_id: str, gate: str) -> list[str]:
        """Questions that a rule reads and that this gate does not know."""
        values = self.reading(gate).sight.rule
        return [name for name in self.case.compiled.questions_of[rule_id] if values[name] is None]

    def _need_holds(self, gate: str) -> Iterator[Hold]:
        sight = self.reading(gate).sight
        for number, test in enumerate(self.case.compiled.needs[gate], start=1):
            hold_id = f"{gate}-{number}"
            if test.need.if_planned:
                yield from self._planned_holds(gate, hold_id, test)
                continue
            guard = test.guard(sight) if test.guard else True
            if guard is False:
                continue
            assert test.then is not None
            then = test.then(sight)
            if then is True:
                continue
            asked_first = names_in(test.need.when) if guard is None else ()
            waits = tuple(dict.fromkeys([*asked_first, *tasks_in(test.need.then), *names_in(test.need.then)]))
            waits = tuple(task for task in waits if task not in self.case.record.done)
            yield Hold("need", hold_id, test.need.text, guard is True and then is False, waits_for=waits)

    def _planned_holds(self, gate: str, hold_id: str, test: NeedTest) -> Iterator[Hold]:
        for task in test.need.if_planned:
            truth: Truth = True
            for rule in self.case.compiled.adders.get(task, ()):
                if rule.severity != "note" and (called := self.truth(rule.id, gate)) is not False:
                    planned = truth_and(called, self.exists(task))
                    truth = truth_and(truth, truth_or(truth_not(planned), self.work_counts(rule, task)))
            if truth is not True:
                title = self.base.tasks[task].title
                yield Hold("need", f"{hold_id}-{task}", title, truth is False, waits_for=(task,))

    def _goal_holds(self, gate: str) -> Iterator[Hold]:
        """While the goal is unknown, nobody can say that a gate may be passed which some goals do not use."""
        unused = self.case.compiled.not_needed.get(gate)
        if unused and unused(self.plain.sight) is None:
            asked = tuple(names_in(self.base.gates[gate].not_needed))
            yield Hold("need", f"{gate}-goal", "the goal of the plan is known", False, waits_for=asked)

    def _gates_before(self, gate: str) -> Iterator[tuple[str, Truth]]:
        for other, test in self.case.compiled.after[gate]:
            yield other, test(self.plain.sight) if test else True

    def _gate_holds(self, gate: str) -> Iterator[Hold]:
        for other, asked in self._gates_before(gate):
            if asked is False:
                continue
            before = self.finding(other)
            if before.state == "open":
                continue
            shut = before.state == "shut" and asked is True
            yield Hold("gate", other, self.base.gates[other].title, shut, waits_for=(other,))
