"""Find a least set of answers and tasks that would open a gate: leave any one out and it stays shut. Pure.

The way is tried on a copy of the record, and every step is then left out in turn to see whether it is needed.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from revive.engine.compiled import compile_base, questions_behind
from revive.engine.conditions import Sight, Ticks, names_in
from revive.engine.facts import Case, Reading, known_value, open_case
from revive.engine.gates import Judge
from revive.model import DONT_KNOW, SEVERITIES, Answer, Condition, Question, Record, RuleBase, Value, Work
from revive.plan import Hold, Step

MOST_ROUNDS = 40
ANSWER_COST, CHANGE_COST, HISTORY_COST, TASK_COST = 1.0, 6.0, 60.0, 3.0


def least_to_open(base: RuleBase, record: Record, today: str, gate: str) -> tuple[Step, ...]:
    """Steps in working order after which the gate is open, none of them needless; empty if it is open or cannot be opened.

    An answer step carries one answer that would do; other answers may do as well.
    """
    steps = way_to_open(base, record, today, gate)
    return tuple(without_needless(base, record, today, gate, steps)) if steps else ()


def way_to_open(base: RuleBase, record: Record, today: str, gate: str) -> list[Step]:
    """Steps that open the gate, some of them perhaps needless; empty if it is open already or no way was found."""
    steps: list[Step] = []
    tried: dict[tuple[str, str], int] = {}
    for _ in range(MOST_ROUNDS):
        case = open_case(compile_base(base), with_steps(base, record, steps), today)
        judge = Judge(case)
        wanted = first_shut(judge, gate)
        if not wanted:
            return steps
        finder = _Finder(case, judge, wanted)
        new: list[Step] = []
        for hold in judge.finding(wanted).holds:
            if hold.kind != "gate":
                new.extend(step for step in finder.settle(hold) or () if step not in new)
        fresh = []
        for step in new:
            tried[step.kind, step.id] = tried.get((step.kind, step.id), 0) + 1
            if tried[step.kind, step.id] <= 4:
                fresh.append(step)
        if not fresh:
            return []
        names = {(step.kind, step.id) for step in fresh}
        order = {task: base.tasks[task].order for task in base.tasks}
        fresh.sort(key=lambda step: (step.kind == "answer", order.get(step.id, 0)))
        steps = [step for step in steps if (step.kind, step.id) not in names] + fresh
    return []


def without_needless(base: RuleBase, record: Record, today: str, gate: str, steps: Sequence[Step]) -> list[Step]:
    """The steps that are left when every step that can be spared is taken out."""
    left = list(steps)
    spared = True
    while spared:
        spared = False
        for step in reversed(list(left)):
            fewer = [other for other in left if other is not step]
            if opens(base, record, today, gate, fewer):
                left, spared = fewer, True
    return left


def opens(base: RuleBase, record: Record, today: str, gate: str, steps: Iterable[Step]) -> bool:
    """Whether the gate is open once these steps are on record, in this order, after everything that is there now."""
    case = open_case(compile_base(base), with_steps(base, record, steps), today)
    return Judge(case).finding(gate).state == "open"


def with_steps(base: RuleBase, record: Record, steps: Iterable[Step]) -> Record:
    """The record with the steps added, each later than all before it."""
    answers, done = dict(record.answers), dict(record.done)
    for number, step in enumerate(steps):
        on = f"9000-01-{number // 1440 + 1:02d}T{number // 60 % 24:02d}:{number % 60:02d}"
        if step.kind == "task":
            done[step.id] = Work(on, "owner")
        else:
            answers[step.id] = Answer(step.value, on, "owner", "measured" if base.questions[step.id].unit else "seen")
    return replace(record, answers=answers, done=done)


def first_shut(judge: Judge, gate: str) -> str:
    """The gate to work on first on the way to this one; "" where it is open."""
    finding = judge.finding(gate)
    for hold in finding.holds:
        if hold.kind == "gate":
            return first_shut(judge, hold.id) or gate
    return "" if finding.state == "open" else gate


@dataclass
class _Finder:
    """Finds steps that would settle what holds one gate."""

    case: Case
    judge: Judge
    gate: str

    def settle(self, hold: Hold) -> list[Step] | None:
        base = self.case.compiled.base
        if hold.kind == "need":
            number, _, task = hold.id.removeprefix(f"{self.gate}-").partition("-")
            if task:
                return [Step("task", task)]
            need = base.gates[self.gate].needs[int(number) - 1]
            ways = [self.reach(need.then, True)] if need.then else []
            if need.when:
                ways.append(self.reach(need.when, False, as_rule=True))
            return _cheapest(ways, self.cost)
        rule = base.rules[hold.rule]
        clears = self.case.compiled.clears_conditions.get((rule.id, self.gate))
        ways = [self.reach(rule.when, False, as_rule=True)]
        if hold.kind == "stop":
            ways.append(self.reach(clears, True))
        else:
            tasks = [
                task
                for task in rule.holds[self.gate]
                if self.judge.exists(task) is not False and not self.judge.work_counts(rule, task)
            ]
            ways.append([Step("task", task) for task in tasks] or None)
        return _cheapest(ways, self.cost)

    def cost(self, steps: Sequence[Step]) -> float:
        total = 0.0
        for step in steps:
            if step.kind == "task":
                total += TASK_COST + self.case.compiled.base.tasks[step.id].minutes[1] / 60
            else:
                known = self.case.answers.get(step.id)
                settled = known is not None and known.value != DONT_KNOW
                history = settled and self.case.compiled.base.questions[step.id].stage == 1
                total += HISTORY_COST if history else CHANGE_COST if settled else ANSWER_COST
        return total

    def reach(self, condition: Condition | None, wanted: bool, as_rule: bool = False) -> list[Step] | None:
        """Steps that would make a condition come out as wanted; None where there is no way."""
        if condition is None:
            return None
        sight = self.judge.reading(self.gate).sight
        if as_rule:
            sight = Sight(sight.rule, sight.rule, sight.done, sight.limits)
        if self.case.compiled.test(condition)(sight) is wanted:
            return []
        kind = condition[0]
        if kind == "always":
            return None
        if kind == "done":
            return [Step("task", condition[1])] if wanted else None
        if kind == "not":
            return self.reach(condition[1], not wanted, as_rule)
        if kind == "when":
            guard = self.reach(condition[1], not wanted, True)
            then = self.reach(condition[2], wanted, as_rule)
            return _cheapest([guard, then], self.cost) if wanted else _together([guard, then])
        if kind in ("all", "any"):
            ways = [self.reach(part, wanted, as_rule) for part in condition[1]]
            return _together(ways) if (kind == "all") is wanted else _cheapest(ways, self.cost)
        return self.reach_name(condition, wanted, as_rule)

    def reach_name(self, condition: Condition, wanted: bool, as_rule: bool) -> list[Step] | None:
        base, name = self.case.compiled.base, condition[1]
        fact = base.facts.get(name)
        if fact and fact.kind == "yes_when" and condition[0] == "is":
            return self.reach(fact.of, wanted is ("yes" in condition[2]), as_rule)
        asked = [base.questions[q] for q in questions_behind(base, names_in(condition))]
        settled = self.judge.reading(self.gate)
        free = [q for q in asked if settled.sight.need[q.id] is None or q.id in settled.given]
        if not free or len(free) > 3:
            return None
        ways: list[list[Step] | None] = []
        for values in product(*([*_candidates(self.case, question, condition), None] for question in free)):
            chosen = {q.id: value for q, value in zip(free, values, strict=True) if value is not None}
            if chosen and self._would(condition, chosen) is wanted:
                ways.append([Step("answer", name, value) for name, value in chosen.items()])
        return min((way for way in ways if way), key=lambda way: (self.cost(way), self._trouble(way)), default=None)

    def _would(self, condition: Condition, chosen: Mapping[str, Value]) -> bool | None:
        reading, asked = self.judge.reading(self.gate), self.case.compiled.base.questions
        given = dict(reading.given)
        given.update({name: known_value(asked[name], Answer(value)) for name, value in chosen.items()})
        return self.case.compiled.test(condition)(Reading(self.case, given, reading.masked, reading.absent).sight)

    def _trouble(self, steps: Sequence[Step]) -> float:
        """How much these answers would call up elsewhere: graver rules that read them as true count more."""
        total = 0.0
        for step in steps:
            value = known_value(self.case.compiled.base.questions[step.id], Answer(step.value))
            for rule in self.case.compiled.base.rules.values():
                if _reads(rule.when, step.id, value):
                    total += 4.0 ** SEVERITIES.index(rule.severity)
        return total


def _reads(condition: Condition, name: str, value: Any) -> bool:
    """Whether some comparison in the condition comes true by this one answer."""
    kind = condition[0]
    if kind in ("all", "any"):
        return any(_reads(part, name, value) for part in condition[1])
    if kind == "when":
        return any(_reads(part, name, value) for part in condition[1:])
    if kind == "not":
        return condition[1][0] in ("is", "has") and condition[1][1] == name and not _reads(condition[1], name, value)
    if kind in ("is", "has") and condition[1] == name:
        wanted = {condition[2]} if kind == "has" else set(condition[2])
        return bool(value.has & wanted) if isinstance(value, Ticks) else value in wanted
    if kind == "compare" and condition[1] == name and condition[3][0] == "number":
        limit = condition[3][1] * condition[4]
        return bool(
            {
                "at_least": value >= limit,
                "more_than": value > limit,
                "at_most": value <= limit,
                "less_than": value < limit,
            }[condition[2]]
        )
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
