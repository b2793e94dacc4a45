"""Decide which questions are still worth asking, and in which order. Pure: replayed afresh each time."""

from collections.abc import Iterable, Mapping

from revive.engine.compiled import questions_behind
from revive.engine.conditions import names_in
from revive.engine.facts import Case, Reading, is_askable
from revive.engine.gates import Judge
from revive.model import Question


def questions_to_ask(
    case: Case, judge: Judge, recorded: Reading, states: Mapping[str, str], unsure: Iterable[str]
) -> tuple[str, ...]:
    """Unanswered questions that can be asked now and whose answer can still change the plan, in asking order.

    The first questions come first; then stage by stage, in the order of the files.
    """
    base = case.compiled.base
    matters = dict.fromkeys(unsure)
    for rule_id, state in states.items():
        if state != "quiet" and case.compiled.rules[rule_id](recorded.sight) is None:
            matters.update(dict.fromkeys(case.compiled.questions_of[rule_id]))
    for gate in judge.needed:
        sight = judge.reading(gate).sight
        for test in case.compiled.needs[gate]:
            guard = test.guard(sight) if test.guard else True
            if guard is False or test.then is None or test.then(sight) is not None and guard is not None:
                continue
            matters.update(
                dict.fromkeys(questions_behind(base, [*names_in(test.need.when), *names_in(test.need.then)]))
            )
        for hold in judge.finding(gate).holds:
            if hold.rule:
                matters.update(dict.fromkeys(judge.unknown_behind(hold.rule, gate)))
    for question in base.questions.values():
        if question.first:
            matters[question.id] = None
    return tuple(
        question.id
        for question in sorted(base.questions.values(), key=_asking_place)
        if question.id in matters
        and question.id not in case.answers
        and is_askable(case, question)
        and judge.plain.applies(question)
        and recorded.applies(question)
        and recorded.sight.rule[question.id] is None
    )


def _asking_place(question: Question) -> tuple[int, int]:
    return (0, question.first) if question.first else (question.stage, 0)
