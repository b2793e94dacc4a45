"""The order of work, in every journey and in the plan made from its first answers, against published practice.

Each check names its document. All but the starter times are written for aircraft engines and taken over by analogy.
"""

from itertools import pairwise

import pytest

from journeys.walk import HERE, moments, plan_at, read_yaml, shipped, steps_of

RECIRCULATING = [
    "flat_twin_wet",
    "four_wet_shared",
    "liquid_twin",
    "parallel_twin_dry",
    "rotary_piston",
    "single_dry",
    "single_slinger",
    "single_wet",
    "triple_wet",
    "v_four_wet",
    "v_twin_dry",
]
DRY_SUMP = ["parallel_twin_dry", "single_dry", "v_twin_dry"]


def orders(layout: str) -> list[list[str]]:
    """Tasks as they were done, and as the plan after the first day's answers puts them."""
    walked = list(moments(steps_of(read_yaml(HERE / f"{layout}.yaml")["steps"])))
    done = [task for moment in walked for task in moment.step.done]
    plan = plan_at(walked[0].record, walked[0].step.day)
    return [done, [task.id for task in plan.tasks]]


def comes_before(layout: str, *tasks: str) -> bool:
    return all(
        order.index(first) < order.index(second) for order in orders(layout) for first, second in pairwise(tasks)
    )


# Textron Lycoming, Service Instruction 1241C, 18 April 1997: pre-oiled before the first start after long inactivity.
@pytest.mark.parametrize("layout", RECIRCULATING)
def test_oil_is_seen_to_arrive_before_the_first_start(layout):
    assert comes_before(layout, "oil_fill", "prime_starter", "prime_check_arrival", "first_start")


# The same instruction: on dry-sump engines the inlet at the pump is opened until oil runs there without air.
@pytest.mark.parametrize("layout", DRY_SUMP)
def test_oil_is_run_off_at_the_pump_of_a_dry_sump_engine_before_the_starter_is_used(layout):
    assert comes_before(layout, "oil_fill", "prime_feed_bleed", "prime_starter")


# US Army TM 1-1500-204-23-1, page 104: turned by the starter, a plug out of each cylinder, ignition off, fuel off.
@pytest.mark.parametrize("layout", RECIRCULATING)
def test_plugs_are_out_the_ignition_is_safe_and_the_petrol_is_away_when_the_starter_primes(layout):
    assert comes_before(layout, "plugs_out", "prime_starter", "plugs_replace")
    assert comes_before(layout, "earth_leads", "prime_starter")
    walked = moments(steps_of(read_yaml(HERE / f"{layout}.yaml")["steps"]))
    priming = next(moment for moment in walked if "prime_starter" in moment.step.done)
    assert priming.before.answers["fuel_amount"].value in ("none", "tank_away")


# Textron Lycoming, Operator's Manual O-540 and IO-540, section 7, item 1: plugs out, turned by hand to drain, sump
# drained and refilled, and the oil changed again hot and early.
@pytest.mark.parametrize("layout", RECIRCULATING)
def test_it_is_turned_by_hand_without_plugs_the_oil_is_renewed_and_changed_again_early(layout):
    assert comes_before(layout, "plugs_out", "hand_turn", "prime_starter", "first_start", "oil_change_second")
    assert comes_before(layout, "oil_drain", "oil_fill", "prime_starter")


# Workshop manual of a small engine, chapters 11 to 16, page 8.11: ten seconds on the starter, sixty seconds of rest.
def test_bursts_are_no_longer_and_rests_no_shorter_than_published():
    limits = shipped().limits

    assert limits["prime_burst_s"].value <= 10
    assert limits["prime_rest_s"].value >= 60
    assert {ref.id for name in ("prime_burst_s", "prime_rest_s") for ref in limits[name].sources} == {
        "small-engine-manual-ch11-16"
    }
