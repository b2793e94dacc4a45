"""What a piece of work itself brought to light does not ask for the same work again; what was found later does."""

from functools import cache

import pytest

from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.model import DONT_KNOW, Answer, Record, RuleBase, Work
from revive.plan import Plan

DAY = "2026-05-02"
OWN, LATER = f"{DAY}T10:00", f"{DAY}T10:20"


@cache
def shipped() -> RuleBase:
    found, problems = load_rules(default_rules_folder())
    assert found is not None, "\n".join(map(str, problems))
    return found


def plan_of(debris: tuple[str, ...] | str, on: str, *done: str, at: str = OWN) -> Plan:
    """The plan of a wet flat twin on which this was found in what came out, and this work was done."""
    answers = {
        "layout": Answer("flat_twin_wet", DAY),
        "years_stored": Answer(9.0, DAY),
        "plan_goal": Answer("ride", DAY),
        "gearbox_oil_kind": Answer("separate", DAY),
        "drained_debris": Answer(debris, on),
    }
    return make_plan(shipped(), Record(answers=answers, done={task: Work(at, "owner") for task in done}), DAY)


def due_again(plan: Plan) -> set[str]:
    return {task.id for task in plan.tasks if task.again}


def holding(plan: Plan, gate: str) -> set[str]:
    return {hold.id for found in plan.gates if found.id == gate for hold in found.held_by}


def test_flakes_that_the_draining_brought_to_light_do_not_ask_for_a_second_draining():
    plan = plan_of(("bright_flakes",), OWN, "oil_drain")

    assert "oil_drain" not in due_again(plan)
    assert "failing-parts" in holding(plan, "crank")


@pytest.mark.parametrize("on", [LATER, DAY, ""], ids=["later that day", "a day alone", "no date"])
def test_flakes_that_may_have_been_found_after_the_draining_do(on):
    assert "oil_drain" in due_again(plan_of(("bright_flakes",), on, "oil_drain"))


def test_a_day_alone_is_no_moment():
    assert "oil_drain" in due_again(plan_of(("bright_flakes",), DAY, "oil_drain", at=DAY))


def test_rust_washed_out_of_the_floor_and_the_strainer_is_dealt_with_by_that_washing():
    assert "rust-in-drain" not in holding(plan_of(("rust",), OWN, "sump_drop", "strainer_clean"), "crank")
    assert "rust-in-drain" in holding(plan_of(("rust",), LATER, "sump_drop", "strainer_clean"), "crank")
    assert "rust-in-drain" in holding(plan_of(("rust",), OWN, "sump_drop"), "crank")


def test_work_that_looked_elsewhere_is_still_asked_for():
    plan = plan_of(("plastic_rubber",), OWN, "strainer_clean", "pump_inspect")

    assert "strainer_clean" not in due_again(plan)
    assert "pump_inspect" in due_again(plan)


def test_not_knowing_what_came_out_pays_for_no_more_than_a_finding_would():
    assert "rust-in-drain" in holding(plan_of(DONT_KNOW, LATER, "sump_drop", "strainer_clean"), "crank")


def test_what_is_answered_as_it_was_left_still_asks_for_the_work_again():
    """A strainer that is blocked now that it is back has not been cleaned."""
    assert not {"strainer_state", "relief_valve_state", "oilway_found", "drained_water_ml"} & {
        name for task in shipped().tasks.values() for name in task.finds
    }
    assert all(set(task.finds) <= set(task.records) for task in shipped().tasks.values())
