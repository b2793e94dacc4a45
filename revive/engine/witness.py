"""Find answers under which a condition comes out as wanted: a proof that it can. Pure; it judges no real machine.

A question is given an answer, the condition is judged in three-valued logic, and as soon as it has come out the other
way the rest of that branch is left alone: what is known false or true stays so, whatever else is answered.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product
from typing import Any

from revive.engine.compiled import Compiled, compile_base, fact_conditions, fact_names, questions_behind
from revive.engine.conditions import Test, Ticks, compile_condition, names_in, tasks_in
from revive.engine.facts import Case, Reading
from revive.frozen import Frozen, field
from revive.model import Condition, Question, Record, RuleBase, Work

MOST_TRIES = 4000
"""Combinations of answers tried for one condition before the search gives up."""


class Witness(Frozen):
    """Answers, finished tasks and facts of the plan under which a condition came out as wanted. Values as compared."""

    layout: str
    answers: Mapping[str, Any]
    done: frozenset[str]
    plan: Mapping[str, Any] = field(default_factory=dict)


Goal = tuple[Condition, bool, bool]
"""A condition, how it shall come out, and whether it is read as a need reads it."""


class _Terms(Frozen):
    """What goals mention, derived facts followed. words: question or fact -> values named; numbers: limits met."""

    tests: tuple[tuple[Test, bool], ...]
    questions: tuple[str, ...]
    plan_facts: tuple[str, ...]
    tasks: frozenset[str]
    words: Mapping[str, frozenset[str]]
    numbers: frozenset[float]
    skips_by: tuple[str, ...]


class Seeker:
    """Looks for witnesses in one rule base. today: ISO date on which ages and days are reckoned."""

    def __init__(self, base: RuleBase, today: str) -> None:
        self.base, self.today = base, today
        self.compiled: Compiled = compile_base(base)
        self.limits = {limit.id: limit.value for limit in base.limits.values()}
        self._terms: dict[tuple[tuple[int, bool, bool], ...], tuple[tuple[Goal, ...], _Terms]] = {}

    def find(
        self,
        *goals: Goal,
        layout: str = "",
        fixed: Mapping[str, Any] | None = None,
        barred: Collection[str] = (),
        tasks: Collection[str] | None = None,
        stale: bool = False,
        against_layout: bool = False,
    ) -> Witness | None:
        """A witness of all goals at once, or None where none was found.

        fixed: answers, as compared, that stand. barred: questions that cannot be answered.
        tasks: those that can be done; all if left out. stale: answers may stand though their question is skipped now.
        against_layout: also answers other than the layout settles.
        """
        terms = self.terms(*goals)
        given = {**(fixed or {}), **({"layout": layout} if layout else {})}
        settled = self.base.layouts[layout].settles if layout in self.base.layouts and not against_layout else {}
        free = [name for name in terms.questions if name not in given and name not in barred and name not in settled]
        able = terms.tasks if tasks is None else terms.tasks & frozenset(tasks)
        for done in dict.fromkeys([able, frozenset[str](), *(frozenset((task,)) for task in sorted(able))]):
            for plan in self._plans(terms):
                search = _Search(self, terms, self._case(done, plan), free, stale)
                answers = search.run({**dict.fromkeys(free if stale else ()), **given}, 0)
                if answers is not None:
                    known = {name: value for name, value in answers.items() if value is not None}
                    return Witness(layout, known, done, plan)
        return None

    def find_on_any(self, *goals: Goal, stale: bool = False, against_layout: bool = False) -> Witness | None:
        """A witness on any layout, the layout itself being one of the answers."""
        for layout in self.base.layouts:
            found = self.find(*goals, layout=layout, stale=stale, against_layout=against_layout)
            if found is not None:
                return found
        return None

    def terms(self, *goals: Goal) -> _Terms:
        """What goals mention; kept for as long as the conditions are."""
        key = tuple((id(condition), wanted, as_need) for condition, wanted, as_need in goals)
        if key not in self._terms:
            self._terms[key] = goals, self._read(goals)
        return self._terms[key][1]

    def _read(self, goals: tuple[Goal, ...]) -> _Terms:
        top = [name for condition, _, _ in goals for name in names_in(condition)]
        tasks = {task for condition, _, _ in goals for task in tasks_in(condition)}
        words: dict[str, set[str]] = {}
        numbers: set[float] = set()
        plan_facts: dict[str, None] = {}
        for condition, _, _ in goals:
            self._mentions(condition, words, numbers)
        names, seen = list(top), set[str]()
        while names:
            name = names.pop()
            fact = self.base.facts.get(name)
            if name in seen or fact is None:
                continue
            seen.add(name)
            names.extend(fact_names(fact))
            if fact.kind == "from_plan":
                plan_facts[name] = None
            if fact.kind == "days_since" and fact.of in self.base.tasks:
                tasks.add(fact.of)
            if fact.kind == "band":
                numbers.update(float(limit) for limit, _ in fact.of["up_to"])
            for inner in fact_conditions(fact):
                tasks.update(tasks_in(inner))
                self._mentions(inner, words, numbers)
        asked = questions_behind(self.base, top)
        return _Terms(
            tuple((compile_condition(c, self.base.questions, as_need), wanted) for c, wanted, as_need in goals),
            tuple(sorted(asked, key=lambda name: len(self.base.questions[name].choices) or 9)),
            tuple(plan_facts),
            frozenset(tasks),
            {name: frozenset(found) for name, found in words.items()},
            frozenset(numbers),
            tuple(name for name in asked if name in self.compiled.skips),
        )

    def _mentions(self, condition: Condition, words: dict[str, set[str]], numbers: set[float]) -> None:
        kind = condition[0]
        if kind in ("all", "any"):
            for part in condition[1]:
                self._mentions(part, words, numbers)
        elif kind in ("not", "when"):
            for part in condition[1:]:
                self._mentions(part, words, numbers)
        elif kind == "is":
            words.setdefault(condition[1], set()).update(condition[2])
        elif kind == "has":
            words.setdefault(condition[1], set()).add(condition[2])
        elif kind == "compare" and condition[3][0] != "fact":
            source, reference = condition[3]
            numbers.add(condition[4] * (reference if source == "number" else self.limits[reference]))

    def _plans(self, terms: _Terms) -> Iterator[dict[str, Any]]:
        """Facts of the plan are tried as everything that is named, and as nothing."""
        options: list[list[tuple[str, Any]]] = []
        for name in terms.plan_facts:
            named, of = terms.words.get(name, frozenset[str]()), self.base.facts[name].of
            if of == "oldest_stop_days":
                options.append([(of, max(terms.numbers, default=0.0) + 1), (of, 0.0)])
            elif of in ("gates_open", "stops_standing", "undone_must"):
                options.append([(of, Ticks(named)), (of, Ticks(frozenset()))])
            else:
                options.append([(of, "yes"), (of, "no")])
        for chosen in product(*options):
            yield dict(chosen)

    def _case(self, done: frozenset[str], plan: Mapping[str, Any]) -> Case:
        record = Record(done={task: Work(self.today) for task in done})
        return Case(self.compiled, record, self.today, {}, self.limits, dict(plan), done)

    def candidates(self, question: Question, terms: _Terms) -> list[Any]:
        """Answers that a condition could tell apart: what it names, one thing that it does not, numbers about its limits."""
        if question.kind == "number":
            near = {number + step for number in terms.numbers for step in (0.0, -0.01, 0.01, -1.0, 1.0)}
            near |= {float(self.today[:4]) - number for number in near} if question.unit == "year" else set()
            middle = (question.low + question.high) / 2
            return [
                n for n in (*sorted(near), question.low, question.high, middle) if question.low <= n <= question.high
            ]
        choices = list(question.choices or ("yes", "no"))
        named = [choice for choice in choices if choice in terms.words.get(question.id, ())]
        other = [choice for choice in choices if choice not in named]
        plain = [choice for choice in other if choice not in question.blind][:1] or other[:1]
        if question.kind != "many":
            return [*named, *plain]
        together = [choice for choice in named if choice not in question.none]
        ticks = [frozenset((choice,)) for choice in (*named, *plain)]
        if len(together) > 1:
            ticks += [frozenset((one, two)) for one in together for two in together if one < two]
            ticks.append(frozenset(together))
        return [Ticks(tick) for tick in ticks]


@dataclass
class _Search:
    """One depth-first search with the finished tasks and the facts of the plan held fast."""

    seeker: Seeker
    terms: _Terms
    case: Case
    free: Sequence[str]
    stale: bool
    left: int = MOST_TRIES

    def run(self, given: dict[str, Any], place: int) -> dict[str, Any] | None:
        """Answers that reach every goal, or None; place: the next question to try."""
        self.left -= 1
        reading = Reading(self.case, given)
        truths = [(test(reading.sight), wanted) for test, wanted in self.terms.tests]
        if any(truth is (not wanted) for truth, wanted in truths):
            return None
        if all(truth is wanted for truth, wanted in truths) and (self.stale or self._honest(given, reading)):
            return given
        if place == len(self.free):
            return None
        question = self.seeker.base.questions[self.free[place]]
        if self.stale or reading.applies(question):
            for value in self.seeker.candidates(question, self.terms):
                if self.left <= 0:
                    return None
                found = self.run({**given, question.id: value}, place + 1)
                if found is not None:
                    return found
        return self.run(given, place + 1)

    def _honest(self, given: Mapping[str, Any], reading: Reading) -> bool:
        """Whether no answer stands to a question that would be skipped."""
        skips = self.seeker.compiled.skips
        return all(name not in given or skips[name](reading.sight) is not True for name in self.terms.skips_by)
