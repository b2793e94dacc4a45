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


SUMP, STRAINER, BETWEEN = f"{DAY}T09:00", OWN, f"{DAY}T09:30"


def plan_of_strainer(debris: str = "rust", on: str = STRAINER, **extra: str) -> Plan:
    """The pan came off at nine, the strainer was washed at ten and showed this then; other work with its time."""
    answers = {
        "layout": Answer("flat_twin_wet", DAY),
        "plan_goal": Answer("ride", DAY),
        "drained_debris": Answer((debris,), on),
    }
    done = {"oil_drain": SUMP, "sump_drop": SUMP, "strainer_clean": STRAINER, **extra}
    return make_plan(
        shipped(), Record(answers=answers, done={task: Work(at, "owner") for task, at in done.items()}), DAY
    )


def test_rust_washed_out_of_the_strainer_does_not_ask_for_the_pan_that_was_off_for_it():
    assert "sump_drop" not in due_again(plan_of_strainer())
    assert "rust-in-drain" not in holding(plan_of_strainer(), "crank")


@pytest.mark.parametrize(
    "changed",
    [{"on": LATER}, {"oil_fill": BETWEEN}, {"oil_fill": SUMP}, {"sump_drop": LATER}, {"sump_drop": ""}],
    ids=["seen later", "filled between", "filled perhaps between", "after it", "undated"],
)
def test_rust_that_may_have_come_once_the_pan_was_closed_does_unless_the_pan_came_off_afterwards(changed):
    came_off_after = changed.get("sump_drop") in (LATER, "")

    assert ("rust-in-drain" in holding(plan_of_strainer(**changed), "crank")) is not came_off_after


def test_oil_that_was_filled_in_between_is_remembered_when_it_is_filled_again():
    plan = plan_of_strainer(oil_fill=LATER)
    assert "rust-in-drain" not in holding(plan, "crank")

    answers = {
        "layout": Answer("flat_twin_wet", DAY),
        "plan_goal": Answer("ride", DAY),
        "drained_debris": Answer(("rust",), STRAINER),
    }
    done = {"sump_drop": SUMP, "strainer_clean": STRAINER, "oil_fill": LATER}
    filled_twice = Record(
        answers=answers,
        done={task: Work(at, "owner") for task, at in done.items()},
        earlier=({"task": "oil_fill", "on": BETWEEN},),
    )

    assert "rust-in-drain" in holding(make_plan(shipped(), filled_twice, DAY), "crank")


@pytest.mark.parametrize(
    ("question", "value", "rule"),
    [("pressure_hot_bar", 0.2, "pressure-low-hot"), ("prime_gauge_bar", 0.1, "no-pressure-cranking")],
)
def test_a_low_reading_does_not_ask_for_the_gauge_that_it_was_read_off(question, value, rule):
    answers = {
        "layout": Answer("four_wet_shared", DAY),
        "plan_goal": Answer("ride", DAY),
        question: Answer(value, LATER),
    }
    done = {"oil_gauge_fit": OWN, "relief_valve_check": OWN, "prime_starter": OWN, "heat_cycles": OWN}
    record = Record(answers=answers, done={task: Work(at, "owner") for task, at in done.items()})
    plan = make_plan(shipped(), record, DAY)

    assert plan.rule_states[rule] == "certain" and "oil_gauge_fit" in shipped().rules[rule].adds
    assert "oil_gauge_fit" not in due_again(plan)
    assert "relief_valve_check" in due_again(plan)


def test_a_lamp_that_was_seen_to_flicker_on_the_road_asks_for_the_gauge_again():
    answers = {
        "layout": Answer("four_wet_shared", DAY),
        "plan_goal": Answer("ride", DAY),
        "shakedown_findings": Answer(("lamp_oil_flicker",), LATER),
    }
    record = Record(answers=answers, done={"oil_gauge_fit": Work(OWN, "owner"), "ride_short": Work(OWN, "owner")})

    assert "oil_gauge_fit" in due_again(make_plan(shipped(), record, DAY))


def test_only_answers_that_nothing_but_the_work_can_give_are_read_off_it():
    read = {(task.id, name) for task in shipped().tasks.values() for name in task.reads}

    assert read
    assert all(shipped().questions[name].yielded_by == (task,) for task, name in read)
    assert all(shipped().questions[name].kind == "number" for _, name in read)


def test_not_knowing_what_came_out_pays_for_no_more_than_a_finding_would():
    assert "rust-in-drain" in holding(plan_of(DONT_KNOW, LATER, "sump_drop", "strainer_clean"), "crank")


def test_what_is_answered_as_it_was_left_still_asks_for_the_work_again():
    """A strainer that is blocked now that it is back has not been cleaned."""
    assert not {"strainer_state", "relief_valve_state", "oilway_found", "drained_water_ml"} & {
        name for task in shipped().tasks.values() for name in task.finds
    }
    assert all(set(task.finds) <= set(task.records) for task in shipped().tasks.values())
