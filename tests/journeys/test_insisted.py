"""What a mechanic insists on beyond the order of a journey, for the journeys that say so.

`warned`: stops that must stand once desk and walk round are answered. `insists`: work without which a gate must not open,
however good the answers are. `refuses`: one bad answer in the place of the good one, and the gate must not open.
"""

from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from journeys.walk import HERE, Moment, moments, plan_at, read_yaml, shipped, steps_of
from revive.engine.compiled import compile_base
from revive.engine.facts import open_case
from revive.engine.gates import Judge
from revive.model import GATES, Answer, Record
from revive.record import check_value

STRICT = sorted(path for path in HERE.glob("*.yaml") if "insists" in read_yaml(path))
CASES = [(path, gate) for path in STRICT for gate in read_yaml(path)["insists"]]


@cache
def walked(path: Path) -> list[Moment]:
    return list(moments(steps_of(read_yaml(path)["steps"])))


def opening(path: Path, gate: str) -> Moment:
    """The moment at which a gate opens."""
    return next(moment for moment in walked(path) if gate in moment.step.opens)


def is_open(record: Record, day: str, gate: str) -> bool:
    return Judge(open_case(compile_base(shipped()), record, day)).finding(gate).state == "open"


def ids(value: Any) -> str:
    return value.stem if isinstance(value, Path) else str(value)


def test_seven_journeys_say_what_is_insisted_on_at_every_gate_after_the_first():
    assert len(STRICT) >= 7
    assert all(set(read_yaml(path)["insists"]) == set(GATES[1:6]) for path in STRICT)
    assert all(set(read_yaml(path)["refuses"]) == set(GATES[1:6]) for path in STRICT)


@pytest.mark.parametrize("path", STRICT, ids=ids)
def test_the_first_look_warns_of_what_this_machine_threatens_and_at_the_end_nothing_stands(path):
    first, last = walked(path)[0], walked(path)[-1]

    standing = {stop.id for stop in plan_at(first.record, first.step.day).stops if stop.state == "standing"}

    assert set(read_yaml(path)["warned"]) <= standing
    assert {stop.id for stop in plan_at(last.record, last.step.day).stops if stop.state != "cleared"} == set()


@pytest.mark.parametrize(("path", "gate"), CASES, ids=ids)
def test_without_the_work_that_a_mechanic_insists_on_the_gate_does_not_open(path, gate):
    moment = opening(path, gate)
    record, day = moment.record, moment.step.day
    tasks = read_yaml(path)["insists"][gate]
    assert tasks and set(tasks) <= set(record.done) and is_open(record, day, gate)

    opened = [
        task
        for task in tasks
        if is_open(replace(record, done={name: work for name, work in record.done.items() if name != task}), day, gate)
    ]

    assert opened == []


@pytest.mark.parametrize(("path", "gate"), CASES, ids=ids)
def test_with_one_bad_answer_the_gate_does_not_open(path, gate):
    moment = opening(path, gate)
    record, day = moment.record, moment.step.day
    bad = read_yaml(path)["refuses"][gate]
    assert bad and set(bad) <= set(record.answers)

    opened = []
    for name, value in bad.items():
        plain = check_value(shipped().questions[name], list(value) if isinstance(value, list) else value)
        assert plain != record.answers[name].value, f"{name} is no worse"
        answer = Answer(plain, record.answers[name].on, "owner")
        if is_open(replace(record, answers={**record.answers, name: answer}), day, gate):
            opened.append(name)

    assert opened == []
