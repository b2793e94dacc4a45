"""What the plan promises, over the whole shipped rule base and many made-up records.

REVIVE_PROMISES=200 asks for that many records in place of 40.
"""

import os
import random
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from second.plain_judge import opened
from second.plain_readings import Case, Reading
from second.random_records import TODAY, Generator

from revive.engine.planner import make_plan
from revive.engine.study import study_case
from revive.loading import default_rules_folder, load_rules
from revive.model import DONT_KNOW, Answer, Record, RuleBase, Work
from revive.plan import Plan
from revive.record import parse_record

RECORDS = int(os.environ.get("REVIVE_PROMISES", "40"))
ANSWERS_TRIED = 25
SEEDS = range(50_000, 50_000 + RECORDS)


@cache
def shipped() -> RuleBase:
    base, problems = load_rules(default_rules_folder())
    assert base is not None, "\n".join(str(problem) for problem in problems)
    return base


@cache
def made_up(seed: int) -> Record:
    return generator().record(seed)


@cache
def generator() -> Generator:
    return Generator(shipped())


@cache
def plan_of(seed: int) -> Plan:
    return make_plan(shipped(), made_up(seed), TODAY)


def gates_of(record: Record) -> dict[str, str]:
    judge = study_case(shipped(), record, TODAY).judge
    return {gate: judge.finding(gate).state for gate in shipped().gates}


def some_answers(seed: int) -> list[str]:
    """Answers of a record to try, a few at random and always those that decide much."""
    record, rng = made_up(seed), random.Random(seed)
    names = sorted(record.answers)
    tried = rng.sample(names, min(ANSWERS_TRIED, len(names)))
    return tried + [name for name in ("plan_goal", "layout", "years_stored") if name in record.answers]


def without(record: Record, name: str) -> Record:
    return replace(record, answers={key: answer for key, answer in record.answers.items() if key != name})


@pytest.mark.parametrize("seed", SEEDS)
def test_dont_know_never_opens_a_gate(seed: int) -> None:
    record = made_up(seed)
    before = gates_of(record)
    for name in some_answers(seed):
        unsure = replace(record.answers[name], value=DONT_KNOW)
        after = gates_of(replace(record, answers={**record.answers, name: unsure}))
        for gate, state in after.items():
            assert state != "open" or before[gate] == "open", f"{name}: {gate} was {before[gate]} and is open"


def frees_work(record: Record, fewer: Record, name: str, gate: str) -> bool:
    """Whether the answer was a finding newer than finished work: without it that work counts again for its rule."""
    base = shipped()
    before, after = (Reading(Case(base, each, TODAY), "gate") for each in (record, fewer))
    return any(
        not before.counts(task, rule.id) and after.counts(task, rule.id)
        for rule in base.rules.values()
        if name in before.case.questions_in(rule.when)
        for task in rule.adds
        if gate in rule.holds or any(task in need.if_planned for need in base.gates[gate].needs)
    )


@pytest.mark.parametrize("seed", SEEDS)
def test_removing_an_answer_opens_a_gate_only_where_it_is_not_asked(seed: int) -> None:
    """Or where the answer was the newer finding that made finished work due again."""
    record, base = made_up(seed), shipped()
    before = gates_of(record)
    for name in some_answers(seed):
        fewer = without(record, name)
        after = gates_of(fewer)
        newly = [gate for gate in after if after[gate] == "open" and before[gate] != "open"]
        if not newly:
            continue
        question = base.questions[name]
        if any(frees_work(record, fewer, name, gate) for gate in newly):
            continue
        not_yet = bool(question.opens_after) and not opened(Case(base, fewer, TODAY), question.opens_after)
        said = name in make_plan(base, fewer, TODAY).skipped
        assert not_yet or said, f"without {name} {newly} opened, and the plan does not say that it was skipped"


@pytest.mark.parametrize("seed", SEEDS)
def test_the_same_record_gives_the_same_plan_in_any_order(seed: int) -> None:
    record, rng = made_up(seed), random.Random(seed)
    answers, done = list(record.answers.items()), list(record.done.items())
    rng.shuffle(answers)
    rng.shuffle(done)
    assert make_plan(shipped(), record, TODAY) == plan_of(seed)
    assert make_plan(shipped(), replace(record, answers=dict(answers), done=dict(done)), TODAY) == plan_of(seed)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_record_written_out_and_read_again_gives_the_same_plan(seed: int) -> None:
    text = yaml.safe_dump(as_file(made_up(seed)), sort_keys=True)
    read = parse_record(text.encode(), "made-up.yaml", shipped())
    assert make_plan(shipped(), read, TODAY) == plan_of(seed)


def test_the_plan_does_not_hang_on_the_order_of_sets() -> None:
    """Two new processes with different string hashes print the same plans."""
    here = Path(__file__).parent
    program = "import test_promises as t; print([repr(t.plan_of(seed)) for seed in list(t.SEEDS)[:4]])"
    printed = set()
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": f"{here}{os.pathsep}{here.parent}"}
        done = subprocess.run([sys.executable, "-c", program], env=environment, capture_output=True, text=True)
        assert done.returncode == 0, done.stderr
        printed.add(done.stdout)
    assert len(printed) == 1 and len(printed.pop()) > 1000


@pytest.mark.parametrize("seed", SEEDS)
def test_gates_open_in_order_and_only_where_needed(seed: int) -> None:
    base, plan, reading = shipped(), plan_of(seed), Reading(Case(shipped(), made_up(seed), TODAY), "gate")
    states = {gate.id: gate.state for gate in plan.gates}
    assert list(states) == list(base.gates)
    for name, gate in base.gates.items():
        unused = gate.not_needed is not None and reading.truth(gate.not_needed) is True
        assert (states[name] == "not_needed") == unused
        if states[name] == "open":
            for earlier, guard in gate.after:
                assert reading.truth(guard) is False or states[earlier] in ("open", "not_needed")
    needed = [gate.id for gate in plan.gates if gate.state != "not_needed"]
    assert plan.verdict.open_to is None or states[plan.verdict.open_to] == "open"
    assert plan.verdict.next_gate == next((gate for gate in needed if states[gate] != "open"), None)


@pytest.mark.parametrize("seed", SEEDS)
def test_work_stands_in_an_order_in_which_it_can_be_done(seed: int) -> None:
    plan = plan_of(seed)
    places = {task.id: task.order for task in plan.tasks}
    assert len(set(places.values())) == len(places)
    assert [task.order for task in plan.tasks] == sorted(places.values())
    for task in plan.tasks:
        if task.state == "to_do":
            late = [earlier for earlier in task.after if places.get(earlier, -1) > task.order]
            assert not late, f"{task.id} stands before {late}"


@pytest.mark.parametrize("seed", SEEDS)
def test_what_is_certain_rests_on_no_assumption(seed: int) -> None:
    for task in plan_of(seed).tasks:
        assert task.reasons or task.state == "done", f"{task.id} stands in the plan without a reason"
        for reason in task.reasons:
            assert reason.certainty in ("certain", "assumed")
            if reason.certainty == "certain":
                assert not any(line.assumed for line in reason.because), f"{task.id}: {reason}"
        if task.certainty == "certain" and task.state == "to_do":
            assert any(reason.certainty == "certain" for reason in task.reasons)


def test_the_records_tried_open_gates() -> None:
    """Promises about opening say little over records in which nothing ever is open."""
    opened_gates = [gate.id for seed in SEEDS for gate in plan_of(seed).gates if gate.state == "open"]
    assert {"touch", "turn", "crank"} <= set(opened_gates)


def as_file(record: Record) -> dict[str, Any]:
    """A record as the lines of its file, all in the long form."""
    return {
        "record": 1,
        "answers": {name: _answer(answer) for name, answer in record.answers.items()},
        "done": {name: _work(work) for name, work in record.done.items()},
        "maker": {name: {"value": figure.value, "unit": figure.unit} for name, figure in record.maker.items()},
    }


def _answer(answer: Answer) -> dict[str, Any]:
    value = list(answer.value) if isinstance(answer.value, tuple) else answer.value
    return {"value": value} | {key: text for key in ("on", "how", "by") if (text := getattr(answer, key))}


def _work(work: Work) -> Any:
    return {"on": work.on} if work.on else True
