"""A slow, plain second opinion: which rules hold, and which gates are open, straight from the definition.

It shares no code with the engine and is written to be read beside the definition, not to be fast. It gives states
only: no tasks, no reasons, no words. What the definition leaves open is settled here as follows.

* Only a question that was never answered can be "not askable yet"; a "don't know" is an answer whenever it was given.
* A gate of which it is unknown whether the goal needs it is never open: else forgetting the goal would open it.
* Planned work: for each rule and each listed task that it adds, "if the rule holds and the task exists here, then the
  task is done and counts for that rule", by the three-valued tables. So an unknown rule leaves the gate unproven.
* Work releases a rule once at least one of its tasks is done and counts, and each other one is, or certainly has no
  place on this machine. (Work that was done had a place, whatever the answers say; counting it only while that place
  is unknown would let a "don't know" open a gate.)
* Where the first task behind a gate has no place on this machine, its questions open with any work behind it.
* A question that a need or a raised stop reads calls for the first of its yielding tasks that exists here.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field

from revive.model import GATES, Condition, Gate, Need, Record, Rule, RuleBase
from second.plain_readings import Case, Reading, Truth, all_before, kleene_and, kleene_not, kleene_or


@dataclass(frozen=True)
class Opinion:
    """rules: rule -> certain, assumed, possible or quiet. gates: gate -> open, shut, unproven or not_needed."""

    rules: dict[str, str]
    gates: dict[str, str]


def judge(base: RuleBase, record: Record, today: str) -> Opinion:
    """Judge one record. today: the day of the plan, ISO."""
    case = Case(base, record, today)
    return Opinion(_rule_states(case), _Gates(case).states())


# --- which questions do not apply


def full_reading(case: Case, side: str, closed: frozenset[str]) -> Reading:
    """A reading in which the questions that do not apply are found out.

    A question that was never answered does not apply if its skip_when is true on this very reading, or if it comes
    from work that nothing calls for. Begin with all such questions as not applying, see what is called for, take out
    those that this makes apply, and repeat until nothing changes.
    """
    settled = set(case.layout_entries("settles"))
    if side == "assumed":
        settled |= set(case.layout_entries("presumes"))
    absent = frozenset(
        question.id
        for question in case.base.questions.values()
        if case.answer(question.id) is None
        and question.id not in settled
        and question.id not in closed
        and (question.skip_when is not None or question.yielded_by)
    )
    while True:
        reading = Reading(case, side, closed, absent)
        called = set(_called(case, reading))
        still = frozenset(name for name in absent if _does_not_apply(case, reading, called, name))
        if still == absent:
            return reading
        absent = still


def _does_not_apply(case: Case, reading: Reading, called: set[str], name: str) -> bool:
    question = case.base.questions[name]
    if question.skip_when is not None and reading.truth(question.skip_when) is True:
        return True
    return bool(question.yielded_by) and not called & set(question.yielded_by)


def _called(case: Case, reading: Reading) -> Iterator[str]:
    """The tasks that rules, needs and raised stops call for on this reading."""
    plain = Reading(case, "gate" if reading.side == "gate" else "recorded")
    exists = {task.id for task in case.base.tasks.values() if plain.truth(task.only_if) is not False}
    for rule in case.base.rules.values():
        truth = reading.truth(rule.when)
        if truth is False:
            continue
        yield from (task for task in rule.adds if task in exists)
        if truth is True and rule.stop:
            for gate in rule.holds:
                yield from _called_by(case, clearing(case.base, rule, gate), exists)
    sober = Reading(case, "gate")
    for gate_ in case.base.gates.values():
        if gate_.not_needed is not None and sober.truth(gate_.not_needed) is True:
            continue
        for need in gate_.needs:
            if need.then is not None and reading.truth(need.when) is not False:
                yield from _called_by(case, need.then, exists)


def _called_by(case: Case, condition: Condition | None, exists: set[str]) -> Iterator[str]:
    yield from case.tasks_in(condition) & exists
    for name in case.questions_in(condition):
        yield from [task for task in case.base.questions[name].yielded_by if task in exists][:1]


def opened(case: Case, task: str) -> bool:
    """Whether the questions that open with a task can be asked.

    They can once it is done; where the task certainly has no place on this machine, once any work behind it is done.
    """
    tasks = case.base.tasks
    if task in case.record.done:
        return True
    if task not in tasks or Reading(case, "gate").truth(tasks[task].only_if) is not False:
        return False
    return any(task == done or task in all_before(case.base, done) for done in case.record.done)


def clearing(base: RuleBase, rule: Rule, gate: str) -> Condition | None:
    """What clears a rule's stop at one gate; None where nothing does."""
    lines = base.stops[rule.stop].clears.get(rule.id, {})
    return lines.get(gate, lines.get(""))


# --- rules, in the plan


def _rule_states(case: Case) -> dict[str, str]:
    closed = frozenset(
        question.id
        for question in case.base.questions.values()
        if question.opens_after and not opened(case, question.opens_after) and case.answer(question.id) is None
    )
    recorded, assumed = full_reading(case, "recorded", closed), full_reading(case, "assumed", closed)
    states = {}
    for rule in case.base.rules.values():
        guess = assumed.truth(rule.when)
        if recorded.truth(rule.when) is True:
            states[rule.id] = "certain"
        elif guess is True:
            states[rule.id] = "assumed"
        else:
            states[rule.id] = "possible" if guess is None else "quiet"
    return states


# --- gates


@dataclass
class _Gates:
    """Judges the gates of one case in working order. False is shut, None is unproven, True is open."""

    case: Case
    found: dict[str, Truth] = field(default_factory=dict)

    def states(self) -> dict[str, str]:
        self.plain = Reading(self.case, "gate")
        names = {True: "open", False: "shut", None: "unproven"}
        states = {}
        for name in (name for name in GATES if name in self.case.base.gates):
            gate = self.case.base.gates[name]
            if gate.not_needed is not None and self.plain.truth(gate.not_needed) is True:
                states[name] = "not_needed"
                continue
            self.found[name] = self.judge(gate)
            states[name] = names[self.found[name]]
        return states

    def judge(self, gate: Gate) -> Truth:
        """One long `and` over the gates before it, the rules that hold it and its needs."""
        reading = full_reading(self.case, "gate", self.closed_at(gate))
        parts: list[Truth] = []
        if gate.not_needed is not None and self.plain.truth(gate.not_needed) is None:
            parts.append(None)  # while the goal is unknown, nobody can say that this gate may be passed
        for earlier, guard in gate.after:
            wanted = reading.truth(guard)
            state = self.found.get(earlier)
            if wanted is not False and state is not True:
                parts.append(False if state is False and wanted is True else None)
        parts += [
            self.released(rule, gate.id, reading) for rule in self.case.base.rules.values() if gate.id in rule.holds
        ]
        parts += [self.met(need, reading) for need in gate.needs]
        return kleene_and(parts)

    def closed_at(self, gate: Gate) -> frozenset[str]:
        """Never-answered questions whose task is not done and comes only after this gate or a later one."""
        later = [self.case.base.gates[name] for name in GATES[GATES.index(gate.id) :] if name in self.case.base.gates]
        first = {other.first_task for other in later} - {""}
        return frozenset(
            question.id
            for question in self.case.base.questions.values()
            if question.opens_after
            and self.case.answer(question.id) is None
            and not opened(self.case, question.opens_after)
            and first & {question.opens_after, *all_before(self.case.base, question.opens_after)}
        )

    def released(self, rule: Rule, gate: str, reading: Reading) -> Truth:
        """True if the rule does not hold the gate; the first that fits decides."""
        truth = reading.truth(rule.when)
        if truth is False:
            return True
        held = False if truth is True else None
        if rule.stop:
            if self.case.base.stops[rule.stop].shuts_words_only:
                return True
            evidence = clearing(self.case.base, rule, gate)
            cleared = evidence is not None and reading.truth(evidence, need=True, rule=rule.id) is True
            return True if cleared else held
        finished = [task for task in rule.holds[gate] if reading.counts(task, rule.id)]
        due = [task for task in rule.holds[gate] if task not in finished and self.may_exist(task)]
        return True if finished and not due else held

    def may_exist(self, task: str) -> bool:
        return self.plain.truth(self.case.base.tasks[task].only_if) is not False

    def met(self, need: Need, reading: Reading) -> Truth:
        guard = reading.truth(need.when)
        if guard is False:
            return True
        worth = reading.truth(need.then, need=True) if need.then is not None else True
        worth = kleene_and((worth, self.planned_work_done(need, reading)))
        return worth if guard is True or worth is True else None

    def planned_work_done(self, need: Need, reading: Reading) -> Truth:
        """If a rule beyond a note calls for a listed task that exists: the task is done, and counts for that rule."""
        parts: list[Truth] = []
        for rule in self.case.base.rules.values():
            for task in rule.adds:
                if task in need.if_planned and rule.severity != "note":
                    exists = self.plain.truth(self.case.base.tasks[task].only_if)
                    planned = kleene_and((reading.truth(rule.when), exists))
                    parts.append(kleene_or((kleene_not(planned), reading.counts(task, rule.id))))
        return kleene_and(parts)
