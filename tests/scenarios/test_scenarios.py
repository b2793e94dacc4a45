"""Short records with what must follow: the rule fires, its stop stands, and the work and findings named clear it."""

from pathlib import Path

import coverage_figures as coverage
import pytest
from journeys.walk import moments, plan_at, read_yaml, shipped, steps_of

HERE = Path(__file__).parent
SCENARIOS = [scenario for path in sorted(HERE.glob("*.yaml")) for scenario in read_yaml(path)["scenarios"]]


def standing(plan) -> set[tuple[str, str]]:
    return {(stop.id, rule) for stop in plan.stops if stop.state == "standing" for rule in stop.raised_by}


@pytest.mark.parametrize("scenario", SCENARIOS, ids=lambda scenario: scenario["fires"])
def test_the_rule_fires_its_stop_stands_and_the_evidence_clears_it(scenario):
    plans = [plan_at(moment.record, moment.step.day) for moment in moments(steps_of(scenario["steps"]))]
    rule, stop = scenario["fires"], scenario.get("stop", "")

    assert "certain" in {plan.rule_states[rule] for plan in plans}
    assert shipped().rules[rule].stop == stop
    if stop:
        assert (stop, rule) in standing(plans[0])
        assert (stop, rule) not in standing(plans[-1])


def test_every_rule_fires_and_every_stop_is_raised_and_cleared_in_the_tests():
    missing = coverage.missing_of(coverage.whole_of(coverage.reached()))

    assert missing["rules never fired"] == []
    assert missing["stops never raised"] == []
    assert missing["stops never cleared"] == []
