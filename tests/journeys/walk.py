"""Walk a journey step by step: a record grows as the owner's would, and the plan is made afresh after each step.

A step says on which day it was; `done` is work finished, `found` what was seen, felt or told, work first. Entries of one
day follow each other by five minutes. `opens` names the gates that open with the step for the first time.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.loading.yaml_lines import read
from revive.model import GATES, Answer, Record, RuleBase, Work
from revive.plan import Plan
from revive.record import check_value

HERE = Path(__file__).parent
BYTES = 1_000_000


@cache
def shipped() -> RuleBase:
    base, problems = load_rules(default_rules_folder())
    assert base is not None, "\n".join(map(str, problems))
    return base


@cache
def read_yaml(path: Path) -> dict[str, Any]:
    """A test file, its words kept as typed: no number, date or yes and no is guessed."""
    document = read(path.read_bytes(), path.name, BYTES)
    assert not document.problems, "\n".join(map(str, document.problems))
    return dict(document.value)


@dataclass(frozen=True)
class Step:
    """One step. found: question -> value as a record holds it. opens: gates that open with it for the first time."""

    day: str
    done: tuple[str, ...]
    found: Mapping[str, Any]
    opens: tuple[str, ...]


def steps_of(raw: Sequence[Mapping[str, Any]]) -> list[Step]:
    """Steps as written in a file, every answer checked as a record's would be."""
    asked = shipped().questions
    return [
        Step(
            str(item["on"]),
            tuple(item.get("done", ())),
            {name: check_value(asked[name], _plain(value)) for name, value in item.get("found", {}).items()},
            tuple(item.get("opens", ())),
        )
        for item in raw
    ]


def _plain(value: Any) -> Any:
    return list(value) if isinstance(value, list) else value


def clock(number: int) -> str:
    """The time of the day's entry with this number, from nine o'clock on.

    >>> clock(0), clock(13)
    ('09:00', '10:05')
    """
    return f"{9 + number * 5 // 60:02d}:{number * 5 % 60:02d}"


@dataclass(frozen=True)
class Moment:
    """Where a journey stands after a step."""

    step: Step
    before: Record
    record: Record


def moments(steps: Sequence[Step], start: Record | None = None) -> Iterator[Moment]:
    """The record after each step."""
    record, day, number = start or Record(), "", 0
    for step in steps:
        if step.day != day:
            assert step.day > day, f"{step.day} comes after {day}"
            day, number = step.day, 0
        before = record
        for task in step.done:
            assert task in shipped().tasks, f"no task is called {task}"
            record = replace(record, done={**record.done, task: Work(f"{day}T{clock(number)}", "owner")})
            number += 1
        for name, value in step.found.items():
            answer = Answer(value, f"{day}T{clock(number)}", "owner")
            record = replace(record, answers={**record.answers, name: answer})
            number += 1
        yield Moment(step, before, record)


def plan_at(record: Record, day: str) -> Plan:
    return make_plan(shipped(), record, day)


def gates_open(plan: Plan) -> list[str]:
    return [gate.id for gate in plan.gates if gate.state == "open"]


def state_of(plan: Plan, gate: str) -> str:
    return next(found.state for found in plan.gates if found.id == gate)


def not_allowed(plan: Plan, tasks: Sequence[str], done: Mapping[str, Work]) -> list[str]:
    """Tasks of a step that a shut gate forbids, going by the plan before the step."""
    from revive.engine.compiled import compile_base

    behind, opened = compile_base(shipped()).behind, set(gates_open(plan))
    first = {gate.first_task for gate in shipped().gates.values() if ("done", gate.first_task) in _parts(gate)}
    return [
        f"{task} before gate {gate}"
        for task in tasks
        if task not in first
        for gate in GATES
        if gate in behind[task] and gate not in opened
    ]


def _parts(gate: Any) -> list[Any]:
    found: list[Any] = []
    todo = [need.then for need in gate.needs if need.then]
    while todo:
        part = todo.pop()
        found.append(part)
        if part[0] in ("all", "any"):
            todo.extend(part[1])
    return found
