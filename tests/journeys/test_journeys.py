"""For each layout a whole journey from the first answers to the open road; some that must never get past a gate.

What each file expects is read as a mechanic reads it: where oil must be seen to arrive, by what work it gets there, which
work and which questions this machine cannot have, and the step with which each gate opens.
"""

from functools import cache
from pathlib import Path

import pytest

from journeys.walk import (
    HERE,
    gates_open,
    moments,
    not_allowed,
    plan_at,
    read_yaml,
    shipped,
    state_of,
    steps_of,
)
from revive.engine.opening import walk_to
from revive.engine.reaching import Finder
from revive.engine.study import study_case
from revive.model import GATES
from revive.plan import Plan

ROADS = sorted(path for path in HERE.glob("*.yaml") if not path.stem.startswith("never-"))
NEVER = sorted(HERE.glob("never-*.yaml"))


@cache
def plans_of(path: Path) -> list[tuple[object, Plan, Plan]]:
    """Each moment of a journey with the plan before and after its step."""
    before = None
    found = []
    for moment in moments(steps_of(read_yaml(path)["steps"])):
        before = before or plan_at(moment.before, moment.step.day)
        after = plan_at(moment.record, moment.step.day)
        found.append((moment, before, after))
        before = after
    return found


def test_every_layout_has_its_journey():
    assert {path.stem for path in ROADS} == set(shipped().layouts)


@pytest.mark.parametrize("path", ROADS, ids=lambda path: path.stem)
def test_the_journey_ends_on_the_open_road_and_its_gates_open_where_it_says(path):
    seen: set[str] = set()

    for moment, _, after in plans_of(path):
        new = [gate for gate in gates_open(after) if gate not in seen]
        assert tuple(new) == moment.step.opens, f"step of {moment.step.day} {moment.step.done}"
        seen.update(new)

    assert state_of(plans_of(path)[-1][2], "road") == "open"
    assert plans_of(path)[-1][2].verdict.open_to == "road"


@pytest.mark.parametrize("path", ROADS, ids=lambda path: path.stem)
def test_no_work_of_the_journey_is_done_behind_a_shut_gate(path):
    forbidden = [
        line
        for moment, before, _ in plans_of(path)
        for line in not_allowed(before, moment.step.done, moment.before.done)
    ]

    assert forbidden == []


@pytest.mark.parametrize("path", ROADS, ids=lambda path: path.stem)
def test_all_work_of_the_journey_was_in_the_plan_and_all_that_must_be_done_before_the_road_is_done(path):
    strangers = [
        task
        for moment, before, _ in plans_of(path)
        for task in moment.step.done
        if task not in {planned.id for planned in before.tasks}
    ]
    left = [
        task.id
        for task in plans_of(path)[-1][2].tasks
        if task.state == "to_do" and not task.optional and GATES.index(task.gate) <= GATES.index("road")
    ]

    assert (strangers, left) == ([], [])


@pytest.mark.parametrize("path", ROADS, ids=lambda path: path.stem)
def test_no_plan_holds_work_or_questions_for_parts_that_the_machine_lacks(path):
    raw = read_yaml(path)
    no_task, no_question = set(raw["no_task"]), set(raw["no_question"])
    assert no_task <= set(shipped().tasks) and no_question <= set(shipped().questions)
    known = list(moments(steps_of(raw["steps"])))[1].record  # once it is known what kind of machine it is

    wrong = set()
    for moment, _, after in plans_of(path):
        if len(moment.record.answers) >= len(known.answers):
            wrong |= {task.id for task in after.tasks} & no_task
            wrong |= {possible.task for possible in after.possible} & no_task
            wrong |= set(after.to_ask) & no_question
        wrong |= set(moment.step.done) & no_task | set(moment.step.found) & no_question

    assert wrong == set()


@pytest.mark.parametrize("path", ROADS, ids=lambda path: path.stem)
def test_oil_gets_there_by_the_work_and_is_seen_at_the_points_of_the_layout(path):
    raw = read_yaml(path)
    layout = shipped().layouts[raw["layout"]]
    last, _, plan = plans_of(path)[-1]
    in_order = [task for moment, _, _ in plans_of(path) for task in moment.step.done]
    first_start = in_order.index("first_start")
    values = study_case(shipped(), last.record, last.step.day).recorded.sight.rule

    assert [point["see"] for point in layout.points] == raw["points"]["see"]
    assert values["points_needed"] == float(raw["points"]["needed"])
    assert [task for task in in_order[:first_start] if task in raw["primed_by"]][: len(raw["primed_by"])] == raw[
        "primed_by"
    ]
    assert all(
        task.id in raw["primed_by"]
        for task in plan.tasks
        if task.id.startswith("prime_") or task.id == "inj_pump_bleed"
    )


@pytest.mark.parametrize("path", [path for path in ROADS if "before" in read_yaml(path)], ids=lambda path: path.stem)
def test_what_a_mechanic_does_first_is_done_first(path):
    """`before`: task -> work that comes before it, in this order."""
    in_order = [task for moment, _, _ in plans_of(path) for task in moment.step.done]

    for until, work in read_yaml(path)["before"].items():
        before = in_order[: in_order.index(until)]
        assert list(dict.fromkeys(task for task in before if task in work)) == list(work), until


def never(path: Path):
    """A journey of another file with some answers held fast, some work left undone, and steps put in."""
    raw = read_yaml(path)
    stays = {
        name: answer
        for step in steps_of([{"on": "2026-01-01", "found": raw["stays"]}])
        for name, answer in step.found.items()
    }
    undone, begins = set(raw.get("left_undone", ())), raw["begins"]
    steps = []
    for step in steps_of(read_yaml(HERE / f"{raw['like']}.yaml")["steps"]):
        found = {name: value for name, value in step.found.items() if step.day < begins or name not in stays}
        done = tuple(task for task in step.done if step.day < begins or task not in undone)
        steps.append(type(step)(step.day, done, {**found, **(stays if step.day >= begins else {})}, ()))
    return raw, steps, stays, undone


@pytest.mark.parametrize("path", NEVER, ids=lambda path: path.stem)
def test_the_gate_never_opens_whatever_else_is_good(path):
    raw, steps, _, _ = never(path)
    gate, begins = raw["never"], raw["begins"]

    states = [
        (m.step.day, state_of(plan_at(m.record, m.step.day), gate)) for m in moments(steps) if m.step.day >= begins
    ]

    assert states and {state for _, state in states} <= {"shut", "unproven"}, states
    assert states[-1][1] == raw["state"]


@pytest.mark.parametrize("path", NEVER, ids=lambda path: path.stem)
def test_no_other_evidence_and_no_other_work_opens_it(path, monkeypatch):
    raw, steps, stays, undone = never(path)
    last = list(moments(steps))[-1]
    told, settle = Finder.can_be_told, Finder.settle

    def allowed(self, hold):
        steps = settle(self, hold)
        return None if steps and any(step.id in undone for step in steps) else steps

    monkeypatch.setattr(Finder, "can_be_told", lambda self, question: question.id not in stays and told(self, question))
    monkeypatch.setattr(Finder, "settle", allowed)

    way = walk_to(shipped(), last.record, last.step.day, raw["never"])

    assert way.stuck
    assert GATES.index(way.stuck) <= GATES.index(raw["never"])


@pytest.mark.parametrize("path", NEVER, ids=lambda path: path.stem)
def test_the_same_journey_without_the_fault_opens_it(path):
    raw = read_yaml(path)

    opened = {gate for moment, _, _ in plans_of(HERE / f"{raw['like']}.yaml") for gate in moment.step.opens}

    assert raw["never"] in opened
