"""Find the steps that would settle one thing that holds a gate: answers that would do, work that counts. Pure."""

from collections.abc import Iterable, Mapping, Sequence
from functools import lru_cache
from itertools import product
from typing import Any

from revive.engine.compiled import questions_behind
from revive.engine.conditions import Sight, Ticks, names_in
from revive.engine.facts import Case, Reading, known_value
from revive.engine.gates import Judge
from revive.frozen import Frozen, replace
from revive.model import GATES, SEVERITIES, Answer, Condition, Question, RuleBase, Value
from revive.plan import Hold, Step

WHAT_IT_IS = ("layout", "plan_goal")
"""Answers that no work and no second look changes; no way to a gate leads over another one."""

ANSWER_COST, CHANGE_COST, HISTORY_COST, TASK_COST = 1.0, 6.0, 60.0, 3.0


class Finder(Frozen, eq=False):
    """Finds steps that would settle what holds one gate. seen: the record as it is read; as the gate reads it if left out."""

    case: Case
    judge: Judge
    gate: str
    seen: Reading | None = None

    @property
    def reading(self) -> Reading:
        """The record as the conditions see it that are to be reached."""
        return self.seen or self.judge.reading(self.gate)

    @property
    def late(self) -> tuple[str, ...]:
        """This gate and those after it."""
        return GATES[GATES.index(self.gate) :]

    def is_doubtful_work(self, hold: Hold) -> bool:
        """Whether the hold is work that nothing certain calls for: a look may well spare it."""
        return hold.kind == "need" and not hold.shut and hold.id.count("-") > 1

    def is_behind(self, task: str) -> bool:
        """Whether the task is work that only the open gate, or a later one, allows."""
        if self.case.compiled.base.gates[self.gate].first_task in self.case.opened:
            return False
        return any(gate in self.late for gate in self.case.compiled.behind[task])

    def can_be_told(self, question: Question) -> bool:
        """Whether the answer may be given, or given anew, while the gate is not open."""
        known = self.judge.given.get(question.id) is not None
        if question.id in WHAT_IT_IS:
            return not known
        opener = question.opens_after
        if known:
            return not opener or self.case.compiled.asked_behind(opener) not in self.late
        return not opener or opener in self.case.opened or not self.is_behind(opener)

    def settle(self, hold: Hold) -> list[Step] | None:
        """The cheapest steps found for one hold; None where there is no way."""
        base = self.case.compiled.base
        counted = self.judge.reading(self.gate).sight.done
        if hold.kind == "need":
            number, _, task = hold.id.removeprefix(f"{self.gate}-").partition("-")
            if number == "goal":
                return self.reach(base.gates[self.gate].not_needed, False, counted, as_rule=True)
            if task:
                return [Step("task", task)]
            need = base.gates[self.gate].needs[int(number) - 1]
            ways = [self.reach(need.then, True, counted)] if need.then else []
            if need.when:
                ways.append(self.reach(need.when, False, counted, as_rule=True))
            return _cheapest(ways, self.cost)
        rule = base.rules[hold.rule]
        ways = [self.reach(rule.when, False, counted, as_rule=True)]
        if hold.kind == "stop":
            clears = self.case.compiled.clears_conditions.get((rule.id, self.gate))
            evidence = self.judge.evidence(rule, self.gate)
            ways.append(replace(self, seen=evidence).reach(clears, True, evidence.sight.done))
        else:
            tasks = [
                task
                for task in rule.holds[self.gate]
                if self.judge.exists(task) is not False and not self.judge.work_counts(rule, task)
            ]
            ways.append([Step("task", task) for task in tasks] or None)
        return _cheapest(ways, self.cost)

    def cost(self, steps: Sequence[Step]) -> float:
        """How dear a way is: a look is cheap, work dearer, another answer to what is already settled dearest."""
        total = 0.0
        for step in steps:
            if step.kind == "task":
                total += TASK_COST + self.case.compiled.base.tasks[step.id].minutes[1] / 60
            else:
                settled = self.judge.given.get(step.id) is not None
                history = settled and self.case.compiled.base.questions[step.id].stage == 1
                total += HISTORY_COST if history else CHANGE_COST if settled else ANSWER_COST
        return total

    def reach(
        self, condition: Condition | None, wanted: bool, done: frozenset[str], as_rule: bool = False
    ) -> list[Step] | None:
        """Steps that would make a condition come out as wanted; None where there is no way. done: tasks that count."""
        if condition is None:
            return None
        sight = self.reading.sight
        sight = Sight(sight.rule, sight.rule if as_rule else sight.need, done, sight.limits)
        if self.case.compiled.test(condition)(sight) is wanted:
            return []
        kind = condition[0]
        if kind == "always":
            return None
        if kind == "done":
            return [Step("task", condition[1])] if wanted and not self.is_behind(condition[1]) else None
        if kind == "not":
            return self.reach(condition[1], not wanted, done, as_rule)
        if kind == "when":
            guard = self.reach(condition[1], not wanted, done, True)
            then = self.reach(condition[2], wanted, done, as_rule)
            return _cheapest([guard, then], self.cost) if wanted else _together([guard, then])
        if kind in ("all", "any"):
            ways = [self.reach(part, wanted, done, as_rule) for part in condition[1]]
            return _together(ways) if (kind == "all") is wanted else _cheapest(ways, self.cost)
        return self.reach_name(condition, wanted, done, as_rule)

    def reach_name(self, condition: Condition, wanted: bool, done: frozenset[str], as_rule: bool) -> list[Step] | None:
        """The same for one comparison: answers that would make it so."""
        base, name = self.case.compiled.base, condition[1]
        fact = base.facts.get(name)
        if fact and fact.kind == "yes_when" and condition[0] == "is":
            return self.reach(fact.of, wanted is ("yes" in condition[2]), done, as_rule)
        if fact and fact.kind == "days_since" and wanted:
            return [Step("task", fact.of)] if fact.of in base.tasks else None
        asked = [base.questions[q] for q in questions_behind(base, names_in(condition))]
        settled = self.reading
        free = [q for q in asked if (settled.sight.need[q.id] is None or q.id in settled.given) and self.can_be_told(q)]
        if not free or len(free) > 3:
            return None
        ways: list[list[Step] | None] = []
        for values in product(*([*_candidates(self.case, question, condition), None] for question in free)):
            chosen = {q.id: value for q, value in zip(free, values, strict=True) if value is not None}
            if chosen and self._would(condition, chosen, as_rule) is wanted:
                ways.append([Step("answer", name, value) for name, value in chosen.items()])
        return min((way for way in ways if way), key=lambda way: (self.cost(way), self._trouble(way)), default=None)

    def _would(self, condition: Condition, chosen: Mapping[str, Value], as_rule: bool) -> bool | None:
        reading, asked = self.reading, self.case.compiled.base.questions
        given = dict(reading.given)
        given.update({name: known_value(asked[name], Answer(value)) for name, value in chosen.items()})
        sight = Reading(self.case, given, reading.masked, reading.absent).sight
        return self.case.compiled.test(condition, not as_rule)(sight)

    def _trouble(self, steps: Sequence[Step]) -> float:
        """How much these answers would call up elsewhere: graver rules that read them as true count more."""
        base, total = self.case.compiled.base, 0.0
        for step in steps:
            value = known_value(base.questions[step.id], Answer(step.value))
            for rule_id in _readers(base)[step.id]:
                if _reads(base.rules[rule_id].when, step.id, value, self.case.limits):
                    total += 4.0 ** SEVERITIES.index(base.rules[rule_id].severity)
        return total


@lru_cache(maxsize=8)
def _readers(base: RuleBase) -> dict[str, list[str]]:
    """Question -> rules that read it themselves."""
    readers: dict[str, list[str]] = {question: [] for question in base.questions}
    for rule in base.rules.values():
        for name in dict.fromkeys(names_in(rule.when)):
            if name in readers:
                readers[name].append(rule.id)
    return readers


def _reads(condition: Condition, name: str, value: Any, limits: Mapping[str, float]) -> bool:
    """Whether some comparison in the condition comes true by this one answer."""
    kind = condition[0]
    if kind in ("all", "any"):
        return any(_reads(part, name, value, limits) for part in condition[1])
    if kind == "when":
        return any(_reads(part, name, value, limits) for part in condition[1:])
    if kind == "not":
        inner = condition[1]
        return inner[0] in ("is", "has") and inner[1] == name and not _reads(inner, name, value, limits)
    if kind in ("is", "has") and condition[1] == name:
        wanted = {condition[2]} if kind == "has" else set(condition[2])
        return bool(value.has & wanted) if isinstance(value, Ticks) else value in wanted
    if kind == "compare" and condition[1] == name and condition[3][0] != "fact":
        source, reference = condition[3]
        limit = (reference if source == "number" else limits[reference]) * condition[4]
        by_op = {"at_least": value >= limit, "more_than": value > limit, "at_most": value <= limit}
        return bool(by_op.get(condition[2], value < limit))
    return False


def _candidates(case: Case, question: Question, condition: Condition) -> list[Value]:
    """Answers worth trying: every choice that says something, or numbers at and about the limit."""
    if question.kind == "number":
        numbers = {question.low, question.high}
        if condition[0] == "compare":
            source, reference = condition[3]
            limit = reference if source == "number" else case.limits.get(reference) if source == "limit" else None
            if limit is not None:
                numbers.update((limit * condition[4], limit * condition[4] * 0.9, limit * condition[4] * 1.1))
        elif condition[0] == "is" and condition[1] in case.compiled.base.facts:
            band = case.compiled.base.facts[condition[1]].of
            if isinstance(band, Mapping) and "up_to" in band:
                numbers.update(float(limit) for limit, _ in band["up_to"])
                numbers.add(float(band["up_to"][-1][0]) + 1)
        return [number for number in sorted(numbers) if question.low <= number <= question.high]
    choices = [choice for choice in question.choices or ("yes", "no") if choice not in question.blind]
    return [(choice,) for choice in choices] if question.kind == "many" else list(choices)


def _cheapest(ways: Iterable[list[Step] | None], cost: Any) -> list[Step] | None:
    return min((way for way in ways if way is not None), key=cost, default=None)


def _together(ways: Iterable[list[Step] | None]) -> list[Step] | None:
    found: list[Step] = []
    for way in ways:
        if way is None:
            return None
        for step in way:
            if not any(step.kind == other.kind and step.id == other.id for other in found):
                found.append(step)
    return found
