"""The shipped rule base, and plans of invented machines that are as far along as their answers say."""

import pytest

from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.model import DONT_KNOW, Answer, Record, RuleBase, Work

TODAY = "2026-11-25"


@pytest.fixture(scope="session")
def base() -> RuleBase:
    found, problems = load_rules(default_rules_folder(), use_cache=False)
    assert found is not None, "\n".join(map(str, problems))
    return found


@pytest.fixture(scope="session")
def records(base) -> dict[str, Record]:
    """Invented machines: a few answers, every desk question unknown, every early question unknown, and one half done."""

    def record(unknown_to_stage: int = 0, done: tuple[str, ...] = (), **answers) -> Record:
        unknown = {name: DONT_KNOW for name, question in base.questions.items() if question.stage <= unknown_to_stage}
        given = {name: Answer(value, on=TODAY) for name, value in {**unknown, **answers}.items()}
        return Record(answers=given, done={task: Work(on=TODAY) for task in done})

    return {
        "bare": record(),
        "flat twin": record(layout="flat_twin_wet", plan_goal="ride"),
        "flat twin, nothing known": record(2, layout="flat_twin_wet", plan_goal="ride"),
        "four, desk unknown": record(1, layout="four_wet_shared", plan_goal="sell_running"),
        "dry sump twin, nothing known": record(2, layout="parallel_twin_dry", plan_goal="ride"),
        "two-stroke, nothing known": record(2, layout="two_stroke_premix", plan_goal="ride"),
        "liquid twin, run once": record(1, layout="liquid_twin", plan_goal="run_once"),
        "single, begun": record(
            1, ("site_prepare", "photo_record", "secure_machine"), layout="single_wet", plan_goal="ride"
        ),
        "bearing flakes": record(
            0,
            ("site_prepare", "photo_record", "secure_machine", "oil_drain"),
            layout="flat_twin_wet",
            plan_goal="ride",
            cylinders=2.0,
            oil_capacity_l=2.2,
            drained_debris=("bright_flakes",),
        ),
    }


@pytest.fixture(scope="session")
def plans(base, records):
    return {name: make_plan(base, record, TODAY) for name, record in records.items()}
