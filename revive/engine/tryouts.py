"""Which answers to try for a question: every choice that says something, or numbers at the limits that rules hold. Pure."""

from collections.abc import Iterator, Mapping
from functools import lru_cache

from revive.engine.compiled import Compiled, fact_conditions
from revive.engine.facts import Case
from revive.model import Condition, Question, Value


def answers_to_try(case: Case, name: str) -> list[Value]:
    """Answers that together show everything the question can decide by itself, in the order of its choices or by size."""
    question = case.compiled.base.questions[name]
    if question.kind == "number":
        return _numbers(case, question)
    choices = [choice for choice in question.choices or ("yes", "no") if choice not in question.blind]
    return [(choice,) for choice in choices] if question.kind == "many" else list(choices)


def _numbers(case: Case, question: Question) -> list[Value]:
    limits: set[float] = set()
    for source, reference, times, age in limits_for(case.compiled).get(question.id, ()):
        limit = reference if source == "number" else case.limits.get(str(reference))
        if limit is not None:
            limit = float(limit) * times
            limits.add(int(case.today[:4]) - limit if age else limit)
    step = 1.0 if any(age for *_, age in limits_for(case.compiled).get(question.id, ())) else 0.0
    tried = {question.low, question.high}
    for limit in limits:
        near = step or max(abs(limit) * 0.01, 0.001)
        tried.update((limit - near, limit, limit + near))
    return sorted(round(number, 6) for number in tried if question.low <= number <= question.high)


@lru_cache(maxsize=8)
def limits_for(compiled: Compiled) -> Mapping[str, tuple[tuple[str, float | str, float, bool], ...]]:
    """Question -> limits that conditions compare it with, derived facts followed: (number or limit, which, times, by age)."""
    base = compiled.base
    found: dict[str, list[tuple[str, float | str, float, bool]]] = {}
    for condition in _conditions(compiled):
        for _, name, _, (source, reference), times in _comparisons(condition):
            if source != "fact":
                for question, age in _down_to_questions(compiled, name):
                    found.setdefault(question, []).append((source, reference, times, age))
    for fact in base.facts.values():
        if fact.kind == "band":
            for question, age in _down_to_questions(compiled, fact.of["of"]):
                found.setdefault(question, []).extend(("number", limit, 1.0, age) for limit, _ in fact.of["up_to"])
    return {name: tuple(dict.fromkeys(rows)) for name, rows in found.items()}


def _conditions(compiled: Compiled) -> Iterator[Condition]:
    base = compiled.base
    for rule in base.rules.values():
        yield rule.when
    for task in base.tasks.values():
        if task.only_if:
            yield task.only_if
    for gate in base.gates.values():
        for need in gate.needs:
            yield from (part for part in (need.when, need.then) if part)
    for fact in base.facts.values():
        yield from fact_conditions(fact)
    for question in base.questions.values():
        if question.skip_when:
            yield question.skip_when
    yield from compiled.clears_conditions.values()


def _comparisons(condition: Condition) -> Iterator[Condition]:
    if condition[0] == "compare":
        yield condition
    elif condition[0] in ("all", "any"):
        for part in condition[1]:
            yield from _comparisons(part)
    elif condition[0] in ("not", "when"):
        for part in condition[1:]:
            yield from _comparisons(part)


def _down_to_questions(compiled: Compiled, name: str) -> Iterator[tuple[str, bool]]:
    """Questions whose number passes unchanged into this name, or as an age of the year that they hold."""
    base = compiled.base
    if name in base.questions:
        yield name, False
        return
    fact = base.facts.get(name)
    if fact is None:
        return
    if fact.kind == "age_of":
        yield fact.of, True
    elif fact.kind in ("largest", "smallest"):
        for inner in fact.of:
            yield from _down_to_questions(compiled, inner)
    elif fact.kind == "band":
        yield from _down_to_questions(compiled, fact.of["of"])
