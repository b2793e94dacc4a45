"""A stop is cleared by what was seen after the finding that raised it, not by what was good before."""

from dataclasses import replace

import pytest
from journeys.walk import HERE, moments, plan_at, read_yaml, shipped, steps_of

from revive.engine.opening import walk_to
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


@pytest.mark.parametrize(
    ("felt", "state"), [(BEFORE, "standing"), (RUN, "cleared"), (AFTER, "cleared"), (DAY, "cleared")]
)
def test_a_hose_that_felt_supple_before_the_run_says_nothing_of_the_leak_that_the_run_showed(felt, state):
    """A look without a time of day may have been after the run: only what is certainly older is no evidence."""
    answers = {
        "run_leaks": (("petrol_leak",), RUN),
        "fuel_tight": ("dry", AFTER),
        "fuel_hose_state": ("supple", felt),
    }

    assert stop_state("petrol-vapour", "petrol-leaks-running", answers, {"first_start": RUN}) == state


@pytest.mark.parametrize(("look", "good"), [("intake_rubbers", "supple"), ("switches_state", "works")])
def test_rubbers_and_switches_are_looked_at_again_after_it_ran_away(look, good):
    fine = {"throttle_return": "snaps", "intake_rubbers": "supple", "switches_state": "works"}
    run = {"start_result": ("ran_away", RUN), **{name: (value, AFTER) for name, value in fine.items()}}
    done = {"first_start": RUN, "throttle_check": AFTER}

    assert "ran-away" in holds({**run, look: (good, BEFORE)}, done)
    assert "ran-away" not in holds({**run, look: (good, AFTER)}, done)


def test_wheels_that_ran_free_before_the_ride_say_nothing_of_a_brake_that_stayed_on():
    ride = {"brake_test_state": ("drags_hot", RUN), "rear_wheel_spin": ("free", AFTER)}
    done = {"brake_hose_replace": AFTER, "master_cylinder_rebuild": AFTER, "ride_short": RUN}

    assert "brake-drags-hot" in holds({**ride, "front_wheel_spin": ("free", BEFORE)}, done, "roll")
    assert "brake-drags-hot" not in holds({**ride, "front_wheel_spin": ("free", AFTER)}, done, "roll")


def test_a_rigid_frame_need_not_be_looked_at_again_but_a_pivot_is_gone_over():
    ride = {"shakedown_findings": (("wobble",), RUN)}
    done = {"ride_short": RUN, **dict.fromkeys(("steering_head_service", "wheel_check", "tyres_look"), AFTER)}

    assert "wobble-riding" not in holds({**ride, "swingarm_feel": ("rigid_frame", BEFORE)}, done, "roll")
    assert "wobble-riding" in holds({**ride, "swingarm_feel": ("none_play", BEFORE)}, done, "roll")
    assert "wobble-riding" not in holds(ride, {**done, "swingarm_service": AFTER}, "roll")


def holds(answers: dict, done: dict, gate: str = "fire") -> set[str]:
    told = {"layout": ("four_wet_shared", ""), "plan_goal": ("ride", ""), **answers}
    record = Record(
        answers={name: Answer(value, on) for name, (value, on) in told.items()},
        done={task: Work(on, "owner") for task, on in done.items()},
    )
    found = next(found for found in plan_at(record, DAY).gates if found.id == gate)
    return {hold.rule for hold in found.held_by if hold.kind == "stop" and hold.shut}


def test_the_cause_of_an_older_fault_is_not_the_cause_of_this_knock():
    done = {"first_start": RUN, "engine_partial_strip": AFTER}
    knock = {"run_noise": ("knock", RUN)}

    assert "knock-running" in holds({**knock, "cause_found": ("found_mended", BEFORE)}, done)
    assert "knock-running" not in holds({**knock, "cause_found": ("found_mended", AFTER)}, done)


def test_what_a_machine_is_need_not_be_said_again():
    """Kinds and parts are no finding: a two-stroke stays one, and so does what was answered at the desk."""
    run = {"start_result": ("ran_away", RUN), "layout": ("two_stroke_premix", "2026-04-01")}
    mended = {
        "throttle_return": ("snaps", AFTER),
        "intake_rubbers": ("supple", AFTER),
        "switches_state": ("works", AFTER),
    }
    done = {"first_start": RUN, "throttle_check": AFTER, "crank_seal_test": AFTER}

    assert "ran-away" in holds({**run, **mended, "crankcase_leak_bar": (0.03, BEFORE)}, done)
    assert "ran-away" not in holds({**run, **mended, "crankcase_leak_bar": (0.03, AFTER)}, done)


@pytest.mark.parametrize(
    ("journey", "question", "fault", "looked_at_again"),
    [
        ("four_wet_shared", "run_leaks", ("petrol_leak",), {"fuel_hose_state"}),
        ("four_wet_shared", "brake_test_state", "drags_hot", {"front_wheel_spin", "rear_wheel_spin"}),
        ("two_stroke_premix", "start_result", "ran_away", {"intake_rubbers", "switches_state"}),
        ("single_dry", "return_s", 90.0, {"feed_flow"}),
        ("v_four_wet", "pipe_temps", "one_glows", {"intake_rubbers"}),
        ("single_dry", "shakedown_findings", ("wobble",), set()),
    ],
)
def test_after_a_fault_on_the_road_there_is_a_way_back_to_it_by_looking_again(
    journey, question, fault, looked_at_again
):
    ridden = list(moments(steps_of(read_yaml(HERE / f"{journey}.yaml")["steps"])))[-1].record
    day = "2026-06-01"
    record = replace(ridden, answers={**ridden.answers, question: Answer(fault, f"{day}T09:00", "owner")})

    way = walk_to(shipped(), record, day, "road")

    assert way.stuck == "" and way.steps
    assert looked_at_again <= {step.id for step in way.steps}
