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
    """Questions that can be asked now and whose answer can still change the plan, in asking order: those without an
    answer, and those whose answer finished work has outdated.

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
            if guard is False or test.then is None or (test.then(sight) is not None and guard is not None):
                continue
            compiled = case.compiled
            matters.update(
                dict.fromkeys([*compiled.questions_in(test.need.when), *compiled.questions_in(test.need.then)])
            )
        for hold in judge.finding(gate).holds:
            if hold.rule:
                matters.update(dict.fromkeys(judge.unknown_behind(hold.rule, gate)))
            for rule_id in (
                [rule.id for task in hold.waits_for for rule in case.compiled.adders.get(task, ())]
                if hold.kind == "need"
                else ()
            ):
                if judge.truth(rule_id, gate) is None:
                    matters.update(dict.fromkeys(judge.unknown_behind(rule_id, gate)))
    for question in base.questions.values():
        if question.first:
            matters[question.id] = None
    outdated = outdated_answers(case)
    return tuple(
        question.id
        for question in sorted(base.questions.values(), key=_asking_place)
        if question.id in matters
        and is_askable(case, question)
        and (not question.yielded_by or any(task in case.record.done for task in question.yielded_by))
        and judge.plain.applies(question)
        and recorded.applies(question)
        and (question.id in outdated or (question.id not in case.answers and recorded.sight.rule[question.id] is None))
    )


def outdated_answers(case: Case) -> frozenset[str]:
    """Questions whose answers are older than finished work that asks them again; gates no longer believe these."""
    tasks, answers = case.compiled.base.tasks, case.answers
    return frozenset(
        name
        for task_id, work in case.record.done.items()
        for name in tasks[task_id].asks_again
        if name in answers and answers[name].on and work.on and strictly_after(work.on, answers[name].on)
    )


def _asking_place(question: Question) -> tuple[int, int]:
    return (0, question.first) if question.first else (question.stage, 0)


def odd_answers(study: Study, name: str) -> tuple[Oddity, ...]:
    """Oddities that the answer to one question has a part in, on recorded values."""
    base, sight = study.case.compiled.base, study.recorded.sight
    found = []
    for oddity in base.oddities.values():
        concerned = name == oddity.question or name in questions_behind(base, names_in(oddity.when))
        if concerned and compile_condition(oddity.when, base.questions)(sight):
            found.append(oddity)
    return tuple(found)


def waiting_after_work(study: Study, task_id: str, older_too: bool = True) -> tuple[str, ...]:
    """Questions that a recorded task leaves to be answered, in the task's order, then those that it asks again.

    older_too: also those that it answers anew although an older answer still counts.
    """
    case, work = study.case, study.case.record.done.get(task_id)
    if work is None:
        return ()
    task, outdated, found = case.compiled.base.tasks[task_id], outdated_answers(case), []
    for name in dict.fromkeys([*task.records, *task.asks_again]):
        question, answer = case.compiled.base.questions[name], case.answers.get(name)
        older = answer is not None and bool(answer.on) and strictly_after(work.on, answer.on)
        if answer is None or name in outdated:
            wanted = name in task.records or (name in outdated and older)
        else:
            wanted = older_too and older and name in task.records
        if wanted and is_askable(case, question) and study.judge.plain.applies(question):
            found.append(name)
    return tuple(found)
