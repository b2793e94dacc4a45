"""Decide which questions are still worth asking, and in which order. Pure: replayed afresh each time."""

from collections.abc import Iterable, Mapping

from revive.engine.compiled import questions_behind
from revive.engine.conditions import compile_condition, names_in
from revive.engine.dates import strictly_after
from revive.engine.facts import Case, Reading, is_askable
from revive.engine.gates import Judge
from revive.engine.study import Study
from revive.model import Oddity, Question


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


def odd_answers(study: Study, name: str) -> tuple[Oddity, ...]:
    """Oddities that the answer to one question has a part in, on recorded values."""
    base, sight = study.case.compiled.base, study.recorded.sight
    found = []
    for oddity in base.oddities.values():
        if name == oddity.question or name in questions_behind(base, names_in(oddity.when)):
            if compile_condition(oddity.when, base.questions)(sight):
                found.append(oddity)
    return tuple(found)


def waiting_after_work(study: Study, task_id: str) -> tuple[str, ...]:
    """Questions that a recorded task answers and whose answers are missing or older than the work, in the task's order."""
    case, work = study.case, study.case.record.done.get(task_id)
    if work is None:
        return ()
    found = []
    for name in case.compiled.base.tasks[task_id].records:
        question, answer = case.compiled.base.questions[name], case.answers.get(name)
        fresh = answer is not None and not strictly_after(work.on, answer.on)
        if not fresh and is_askable(case, question) and study.judge.plain.applies(question):
            found.append(name)
    return tuple(found)
