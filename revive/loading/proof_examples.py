"""Prove that the examples beside the rules hold: the given answers, the day and the work done, judged by the engine.

An example stands for its rule alone: its questions count as asked, whatever work a real machine needs before that.
"""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.conditions import Ticks
from revive.engine.facts import Case, Reading, is_blind, known_value, worst_value
from revive.model import Answer, MakerFigure, Record, Rule, RuleBase, Work
from revive.problems import Problem, problem_at, quoted


def check(base: RuleBase, today: str) -> Iterator[Problem]:
    """A problem for every example that comes out otherwise than it says."""
    for rule in base.rules.values():
        for number, example in enumerate(rule.examples, start=1):
            state = state_of(base, rule, example, today)
            if state != example["is"] and base.shipped_limits:  # it may rest on a limit that a club has replaced
                shipped = {name: MakerFigure(number) for name, number in base.shipped_limits.items()}
                state = state_of(base, rule, example, today, shipped)
            if state != example["is"]:
                given = ", ".join(f"{name}: {_shown(value)}" for name, value in example["given"].items())
                what = (
                    f"example {number} of rule {rule.id} ({quoted(given, 90)}) comes out {state}, not {example['is']}"
                )
                yield problem_at(
                    rule.place, "example-fails", what, "Mend the condition or the example, whichever is wrong."
                )


def state_of(
    base: RuleBase,
    rule: Rule,
    example: Mapping[str, Any],
    today: str,
    figures: Mapping[str, MakerFigure] | None = None,
) -> str:
    """What becomes of a rule under an example: certain, assumed, possible or quiet. figures: in the place of limits."""
    day = str(example.get("on", today))
    given = dict(example["given"])
    done = {task: Work(day) for task in given.pop("done", ())}
    answers = {name: Answer(value) for name, value in given.items()}
    limits, tasks = _same_for_all(base)
    if figures:
        limits = {**limits, **{name: figure.value for name, figure in figures.items() if name in limits}}
    record, from_plan = Record(answers=answers, done=done), {"oldest_stop_days": 0.0}
    case = Case(compile_base(base), record, day, answers, limits, from_plan=from_plan, opened=tasks)
    known = {name: known_value(base.questions[name], answer) for name, answer in answers.items()}
    worst = dict(known)
    for name, value in known.items():
        if value is None or is_blind(base.questions[name], value):
            worst[name] = worst_value(case, base.questions[name], known)
        elif isinstance(value, Ticks) and value.unsure:
            stand_in = worst_value(case, base.questions[name], known)
            worst[name] = Ticks(value.has | (stand_in.has if stand_in else frozenset()))
    test = case.compiled.rules[rule.id]
    if test(Reading(case, known).sight):
        return "certain"
    truth = test(Reading(case, worst, presuming=True).sight)
    return "assumed" if truth else "quiet" if truth is False else "possible"


@lru_cache(maxsize=2)
def _same_for_all(base: RuleBase) -> tuple[Mapping[str, float], frozenset[str]]:
    """Limits and tasks of a base, gathered once and not for each example: a base has as many examples as rules."""
    return {limit.id: limit.value for limit in base.limits.values()}, frozenset(base.tasks)


def _shown(value: object) -> str:
    return "[" + ", ".join(map(str, value)) + "]" if isinstance(value, tuple | list) else str(value)
