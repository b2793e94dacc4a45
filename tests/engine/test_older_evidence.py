"""A stop is cleared by what was seen after the finding that raised it, not by what was good before."""

import pytest
from journeys.walk import plan_at, shipped

from revive.model import Answer, Record, Work

DAY = "2026-05-03"
BEFORE, RUN, AFTER = f"{DAY}T09:00", f"{DAY}T10:00", f"{DAY}T11:00"


def stop_state(stop: str, rule: str, answers: dict, done: dict) -> str:
    told = {"layout": ("four_wet_shared", ""), "plan_goal": ("ride", ""), "fuel_system": ("carb", "")}
    record = Record(
        answers={name: Answer(value, on) for name, (value, on) in {**told, **answers}.items()},
        done={task: Work(on, "owner") for task, on in done.items()},
    )
    assert rule in shipped().rules
    states = [one.state for one in plan_at(record, DAY).stops if one.id == stop and rule in one.raised_by]
    return states[0] if states else ""


@pytest.mark.parametrize(("tested", "state"), [(BEFORE, "standing"), (AFTER, "cleared")])
def test_half_an_hour_without_a_drip_before_the_run_says_nothing_of_the_leak_that_the_run_showed(tested, state):
    answers = {
        "run_leaks": (("petrol_leak",), RUN),
        "fuel_tight": ("dry", tested),
        "fuel_hose_state": ("supple", tested),
    }
    done = {"first_start": RUN, "fuel_hose_replace": min(tested, AFTER)}

    assert stop_state("petrol-vapour", "petrol-leaks-running", answers, done) == state


def holds_fire(answers: dict, done: dict) -> set[str]:
    told = {"layout": ("four_wet_shared", ""), "plan_goal": ("ride", ""), **answers}
    record = Record(
        answers={name: Answer(value, on) for name, (value, on) in told.items()},
        done={task: Work(on, "owner") for task, on in done.items()},
    )
    fire = next(gate for gate in plan_at(record, DAY).gates if gate.id == "fire")
    return {hold.rule for hold in fire.held_by if hold.kind == "stop" and hold.shut}


def test_the_cause_of_an_older_fault_is_not_the_cause_of_this_knock():
    done = {"first_start": RUN, "engine_partial_strip": AFTER}
    knock = {"run_noise": ("knock", RUN)}

    assert "knock-running" in holds_fire({**knock, "cause_found": ("found_mended", BEFORE)}, done)
    assert "knock-running" not in holds_fire({**knock, "cause_found": ("found_mended", AFTER)}, done)


def test_what_a_machine_is_need_not_be_said_again():
    """Kinds and parts are no finding: a two-stroke stays one, and so does what was answered at the desk."""
    run = {"start_result": ("ran_away", RUN), "layout": ("two_stroke_premix", "2026-04-01")}
    mended = {
        "throttle_return": ("snaps", AFTER),
        "intake_rubbers": ("supple", AFTER),
        "switches_state": ("works", AFTER),
    }
    done = {"first_start": RUN, "throttle_check": AFTER, "crank_seal_test": AFTER}

    assert "ran-away" in holds_fire({**run, **mended, "crankcase_leak_bar": (0.03, BEFORE)}, done)
    assert "ran-away" not in holds_fire({**run, **mended, "crankcase_leak_bar": (0.03, AFTER)}, done)
