"""Short records with what must follow: the rule fires, its stop stands, and the work and findings named clear it."""

from pathlib import Path

import coverage_figures as coverage
import pytest
from journeys.walk import moments, plan_at, read_yaml, shipped, steps_of

HERE = Path(__file__).parent
SCENARIOS = [scenario for path in sorted(HERE.glob("*.yaml")) for scenario in read_yaml(path)["scenarios"]]
SAYS = ("plan", "not_in_plan", "in_order", "holds", "releases")
"""What a step may say of the plan after it: work still to do, work it must not have, work in this order, rules that hold
a gate, rules that do not."""
TOLD = [one for one in SCENARIOS if any(name in step for step in one["steps"] for name in SAYS)]


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


@pytest.mark.parametrize("scenario", TOLD, ids=lambda scenario: scenario["fires"])
def test_the_plan_is_what_the_steps_say(scenario):
    for raw, moment in zip(scenario["steps"], moments(steps_of(scenario["steps"])), strict=True):
        plan = plan_at(moment.record, moment.step.day)
        to_do = [task.id for task in plan.tasks if task.state == "to_do"]
        named = {name: list(raw.get(name, ())) for name in ("plan", "not_in_plan", "in_order")}
        held = {gate.id: {hold.id for hold in gate.held_by} for gate in plan.gates}

        assert {task for tasks in named.values() for task in tasks} <= set(shipped().tasks)
        assert [task for task in named["plan"] if task not in to_do] == []
        assert [task.id for task in plan.tasks if task.id in named["not_in_plan"]] == []
        assert [task for task in to_do if task in named["in_order"]] == named["in_order"]
        for gate, rules in raw.get("holds", {}).items():
            assert [rule for rule in rules if rule not in held[gate]] == []
        for gate, rules in raw.get("releases", {}).items():
            assert set(rules) <= set(shipped().rules) and not set(rules) & held[gate]


def test_every_rule_fires_and_every_stop_is_raised_and_cleared_in_the_tests():
    missing = coverage.missing_of(coverage.whole_of(coverage.reached()))

    assert missing["rules never fired"] == []
    assert missing["stops never raised"] == []
    assert missing["stops never cleared"] == []
