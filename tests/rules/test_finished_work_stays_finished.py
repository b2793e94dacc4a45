"""Finished work is not made due again by looks that only say how things stand after it, and no gate waits for a look
that nobody could take yet. Short invented records; what must hold is read from the trade.
"""

from dataclasses import replace

import pytest
from journeys.walk import moments, plan_at, shipped, steps_of

from revive.engine.compiled import compile_base
from revive.engine.facts import open_case
from revive.engine.gates import Judge
from revive.model import GATES, Answer

PREMIX = {"layout": "two_stroke_premix", "last_fuel": "premix", "fuel_system": "carb", "years_stored": "0.5"}
UNKNOWN_OIL = {"layout": "two_stroke_injection", "injection_oil_type": "unknown_oil", "last_fuel": "plain"}
LEADED = {"layout": "single_dry", "last_fuel": "plain", "fuel_system": "carb", "years_stored": "30"}
RUN_COLD = {"layout": "four_wet_shared", "cylinders": "4", "plan_goal": "ride", "user_role": "owner"}


def after(*steps):
    """The plan after these steps; the goal is the road."""
    first, *rest = steps
    first = {**first, "found": {"plan_goal": "ride", "user_role": "owner", **first.get("found", {})}}
    last = list(moments(steps_of([first, *rest])))[-1]
    return plan_at(last.record, last.step.day), last


def states(plan, *names):
    return {task.id: task.state for task in plan.tasks if task.id in names}


def test_petrol_of_a_machine_parked_on_premix_is_drained_once():
    plan, _ = after(
        {"on": "2026-03-01", "found": PREMIX},
        {"on": "2026-03-02", "done": ["photo_record"], "found": {"fuel_amount": "some", "fuel_state": "separated"}},
        {"on": "2026-03-03", "done": ["tank_drain", "carb_strip_clean"], "found": {"carb_state": "clean"}},
        {"on": "2026-03-20", "found": {"fuel_state": "fresh", "fuel_amount": "some"}},
    )

    assert states(plan, "tank_drain", "carb_strip_clean") == {"tank_drain": "done", "carb_strip_clean": "done"}


def test_petrol_of_a_machine_parked_on_premix_is_drained_again_where_new_petrol_separates():
    plan, _ = after(
        {"on": "2026-03-01", "found": PREMIX},
        {
            "on": "2026-03-02",
            "done": ["photo_record", "tank_drain", "carb_strip_clean"],
            "found": {"carb_state": "clean"},
        },
        {"on": "2026-09-20", "found": {"fuel_state": "separated", "fuel_amount": "some"}},
    )

    assert states(plan, "tank_drain") == {"tank_drain": "to_do"}


@pytest.mark.parametrize("tank", ["full", "dont_know"])
def test_pipes_that_were_renewed_because_of_an_unknown_oil_are_renewed_once(tank):
    plan, last = after(
        {"on": "2026-03-01", "found": UNKNOWN_OIL},
        {"on": "2026-03-02", "done": ["photo_record", "inj_lines_replace", "inj_pump_bleed"]},
        {"on": "2026-03-09", "found": {"inj_oil_tank": tank}},
    )
    judge = Judge(open_case(compile_base(shipped()), last.record, "2026-03-09"))

    assert "injection-oil-of-another-kind" not in {hold.rule for hold in judge.finding("fire").holds}
    if tank == "full":
        assert states(plan, "inj_lines_replace") == {"inj_lines_replace": "done"}


def test_petrol_that_may_be_leaded_is_drained_once():
    plan, _ = after(
        {"on": "2026-03-01", "found": LEADED},
        {"on": "2026-03-02", "done": ["photo_record"], "found": {"fuel_amount": "some", "fuel_state": "stale"}},
        {"on": "2026-03-03", "done": ["tank_drain"], "found": {"fuel_amount": "tank_away", "fuel_state": "no_fuel"}},
        {"on": "2026-03-20", "found": {"fuel_state": "fresh", "fuel_amount": "some"}},
    )

    assert states(plan, "tank_drain") == {"tank_drain": "done"}


@pytest.mark.parametrize("name", ["second_oil_look", "pressure_hot_bar", "charge_volts", "run_smoke"])
def test_what_only_a_hot_engine_shows_keeps_no_gate_shut_after_the_first_start(name):
    """It holds nothing before the work that shows it is done, and it does hold once that work is done."""
    _, last = after(
        {"on": "2026-03-01", "found": RUN_COLD},
        {"on": "2026-03-02", "done": ["photo_record", "hand_turn", "prime_starter", "first_start"]},
    )
    before = Judge(open_case(compile_base(shipped()), last.record, "2026-03-02"))
    opener = shipped().questions[name].opens_after
    _, last = after(
        {"on": "2026-03-01", "found": RUN_COLD},
        {"on": "2026-03-02", "done": ["photo_record", "hand_turn", "prime_starter", "first_start", "oil_gauge_fit"]},
        {"on": "2026-03-05", "done": ["heat_cycles", "ride_short", opener]},
    )
    afterwards = Judge(open_case(compile_base(shipped()), last.record, "2026-03-05"))

    for gate in GATES[1:4]:
        assert name in before.masked(gate)
    assert name not in afterwards.masked("fire")
    assert any(name in judge_questions(afterwards, gate) for gate in ("fire", "roll", "road"))


def judge_questions(judge, gate):
    return {
        question
        for rule in shipped().rules.values()
        if gate in rule.holds and judge.truth(rule.id, gate) is None
        for question in judge.unknown_behind(rule.id, gate)
    }


def test_good_compression_alone_satisfies_the_road_and_a_leak_down_that_was_measured_counts():
    steps = (
        {"on": "2026-03-01", "found": {**RUN_COLD, "workshop_level": "skilled_kit"}},
        {"on": "2026-03-02", "done": ["photo_record", "hand_turn", "prime_starter", "comp_test"]},
        {"on": "2026-03-03", "found": {"comp_low_bar": "9", "comp_high_bar": "9.5"}},
    )
    _, good = after(*steps)
    _, measured = after(*steps, {"on": "2026-03-04", "done": ["leakdown_test"]})
    _, poor = after(*steps, {"on": "2026-03-04", "done": ["leakdown_test"], "found": {"leakdown_pct": "60"}})

    truths = [
        Judge(open_case(compile_base(shipped()), last.record, "2026-03-04")).truth("leakdown-poor", "road")
        for last in (good, measured, poor)
    ]

    assert truths == [False, None, True]


def test_a_seep_that_was_looked_at_is_not_looked_for_again_until_it_is_seen_again():
    run = {"done": ["photo_record", "hand_turn", "prime_starter", "first_start"], "on": "2026-03-02"}
    _, last = after({"on": "2026-03-01", "found": RUN_COLD}, run, {"on": "2026-03-03", "done": ["leak_check"]})
    work = last.record.done["leak_check"]
    same = replace(last.record, answers={**last.record.answers, "run_leaks": Answer(("oil_seep",), work.on, "owner")})
    later = replace(same, answers={**same.answers, "run_leaks": Answer(("oil_seep",), "2026-03-05T10:00", "owner")})
    counts = [
        Judge(open_case(compile_base(shipped()), kept, "2026-03-05")).work_counts(
            shipped().rules["oil-seeps-hot"], "leak_check"
        )
        for kept in (same, later)
    ]

    assert counts == [True, False]


def test_a_vintage_engine_is_not_asked_how_deep_the_sludge_lies_on_a_floor_that_nobody_can_reach():
    steps = (
        {"on": "2026-03-01", "found": {"layout": "vintage_total_loss", "years_stored": "30", "fuel_system": "carb"}},
        {"on": "2026-03-02", "done": ["photo_record", "oil_tank_drain", "crankcase_drain"]},
    )
    plan, last = after(*steps)
    judge = Judge(open_case(compile_base(shipped()), last.record, "2026-03-02"))

    assert "sludge_mm" not in plan.to_ask
    assert not judge.reading("fire").applies(shipped().questions["sludge_mm"])
