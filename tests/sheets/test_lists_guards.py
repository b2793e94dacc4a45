"""Lines that are not meant for a machine stay out of every list, hand and page; and what stands still is laid up again."""

from dataclasses import replace

import pytest
from render_machines import TODAY, plan_of, rules

from revive.engine.lists import lists_for, shopping_list, workshop_sheet
from revive.engine.meant import left_out
from revive.engine.planner import make_plan
from revive.engine.schedule import make_schedule
from revive.engine.study import study_case
from revive.engine.waste import waste_list
from revive.model import Answer, Part, Record, Work
from revive.render.markdown import plan_markdown
from revive.render.page import plan_html
from revive.render.pages import arrange
from revive.render.terminal import plan_terminal
from revive.wizard.priming import TASK, set_up

LIVES = ("flat_twin_wet", "parallel_twin_dry", "four_wet_shared", "two_stroke_premix")


def record_with(**answers) -> Record:
    return Record(answers={name: Answer(value, on=TODAY) for name, value in answers.items()})


def guarded(name: str, **fields):
    """The shipped rules with one task changed, and a plan that holds it with `not here` left out."""
    task = replace(rules().tasks[name], **fields)
    base = replace(rules(), tasks={**rules().tasks, name: task})
    plan = plan_of("half")
    one = replace(plan.tasks[0], id=name, title=task.title, who=task.who, state="to_do", left_out=("not here",))
    return base, replace(one, certainty="certain", records=task.records)


def test_a_part_and_a_waste_that_are_not_meant_for_the_machine_are_on_no_list():
    parts = (Part("not here", 1, "piece"), Part("wanted", 2, "piece"))
    base, task = guarded("oil_drain", parts=parts, waste=("not here", "used engine oil"))

    assert [row["item"] for row in shopping_list(base, [task], {})["buy_now"]] == ["wanted"]
    assert [row["kind"] for row in waste_list(base, [task], {})["kinds"]] == ["used engine oil"]
    assert len(shopping_list(base, [replace(task, left_out=())], {})["buy_now"]) == 2


def test_cautions_that_are_not_meant_for_the_machine_are_on_no_sheet():
    base, task = guarded("crank_bearing_shop", cautions=("not here", "hot carriers burn"))
    hand_base, hand_in = guarded("dispose_waste", cautions=("not here", "no drain"), method=("ring", "not here"))
    waste = waste_list(hand_base, [hand_in], {})

    assert workshop_sheet(base, [task])["cautions"] == ["hot carriers burn"]
    assert (waste["cautions"], waste["steps"]) == (["no drain"], ["ring"])


@pytest.mark.parametrize("layout", LIVES)
def test_handing_in_names_only_what_the_machine_has(layout: str):
    record = record_with(layout=layout, plan_goal="ride", cooling="air", front_brake="drum", rear_brake="drum")
    waste = lists_for(rules(), record, make_plan(rules(), record, TODAY))["waste"]
    air = " ".join([*waste["cautions"], *waste["steps"]])
    wet = replace(record, answers={**record.answers, "cooling": Answer("liquid", on=TODAY)})
    liquid = lists_for(rules(), wet, make_plan(rules(), wet, TODAY))["waste"]

    assert "oolant" not in air
    assert "oolant" in " ".join([*liquid["cautions"], *liquid["steps"]])


def test_an_unknown_machine_is_told_everything():
    waste = lists_for(rules(), Record(), make_plan(rules(), Record(), TODAY))["waste"]

    assert waste["cautions"] == list(rules().tasks["dispose_waste"].cautions)
    assert waste["steps"] == list(rules().tasks["dispose_waste"].method)


def test_a_tool_that_is_left_out_of_the_days_work_is_not_laid_out():
    plan = plan_of("touch")
    base = rules()
    day = next(task for task in plan.tasks if task.allowed_now and base.tasks[task.id].tools)
    tools = ("a tool for other machines", *base.tasks[day.id].tools)
    base = replace(base, tasks={**base.tasks, day.id: replace(base.tasks[day.id], tools=tools)})
    tasks = tuple(replace(task, left_out=tools[:1]) if task.id == day.id else task for task in plan.tasks)

    def laid_out(one) -> str:
        blocks = [block for page in arrange(one, base, "owner") for block in page.blocks]
        return next(" ".join(block.items) for block in blocks if block.label == "Tools to have at hand")

    assert "a tool for other machines" in laid_out(plan)
    assert "a tool for other machines" not in laid_out(replace(plan, tasks=tasks))


@pytest.mark.parametrize(("starter", "gone"), [("electric", True), ("none", False)])
def test_who_stands_by_while_priming_hears_only_what_is_meant_for_the_machine(starter: str, gone: bool):
    study = study_case(rules(), record_with(layout="flat_twin_wet", starter_kind=starter), TODAY)
    task, out = set_up(study).task, left_out(study, rules().tasks[TASK])
    texts = (*task.method, *task.cautions, *task.changes_plan_if, *task.tools)
    without_starter = next(text for text in rules().tasks[TASK].method if text.startswith("No starter and no kick"))

    assert out and not set(out) & set(texts)
    assert (without_starter in out) is gone
    assert len(texts) + len(out) == sum(
        len(told) for told in (rules().tasks[TASK].method, rules().tasks[TASK].cautions)
    ) + len(rules().tasks[TASK].changes_plan_if) + len(rules().tasks[TASK].tools)


def test_who_stands_by_for_an_unknown_machine_hears_all_of_it():
    assert set_up(study_case(rules(), Record(), TODAY)).task == rules().tasks[TASK]


STOPPED = {"layout": "flat_twin_wet", "plan_goal": "ride", "drained_debris": ("bright_flakes",)}


def stopped(on: str) -> Record:
    answers = {name: Answer(value, on=on) for name, value in STOPPED.items()}
    return Record(answers=answers, done={"photo_record": Work(on=on), "oil_drain": Work(on=on)})


def forms(record: Record) -> dict[str, str]:
    plan = make_plan(rules(), record, TODAY)
    plan = replace(plan, schedule=make_schedule(rules(), plan.tasks, start=TODAY))
    made = {
        "terminal": plan_terminal(plan, rules(), "owner", width=100, colour=False),
        "markdown": plan_markdown(plan, rules(), "owner"),
        "html": plan_html(plan, rules(), "owner"),
    }
    return {form: " ".join(text.split()) for form, text in made.items()}


def test_a_machine_that_stood_over_thirty_days_behind_a_stop_is_laid_up_again_with_its_reason():
    why = "A stripped, wetted and aired engine rusts faster than an untouched one."
    over, on_the_limit = forms(stopped("2026-10-25")), forms(stopped("2026-10-26"))  # 31 and 30 days before TODAY

    for form, text in over.items():
        assert "It has stood behind a stop for over a month, so preserve it again" in text, form
        assert why in text and "lay it up so that what was won is not lost" in text, form
    for form, text in on_the_limit.items():
        assert "stood behind a stop for over a month" not in text, form


def test_a_calendar_that_waits_over_thirty_days_says_that_the_machine_is_laid_up_meanwhile():
    plan = plan_of("half")
    days = [{"date": "2026-11-25", "tasks": [], "hands_on_h": 0, "work": []}]
    days.append({**days[0], "date": "2026-12-26"})
    schedule = {**make_schedule(rules(), plan.tasks, start=TODAY), "days": days, "ends": "2026-12-26"}
    short = {**schedule, "days": [days[0], {**days[0], "date": "2026-12-25"}], "ends": "2026-12-25"}
    told = [str(arrange(replace(plan, schedule=one), rules(), "owner")) for one in (schedule, short)]

    assert "Nobody works on it for 31 days, from 25 November 2026 to 26 December 2026, while it waits." in told[0]
    assert "Lay it up for that time." in told[0]
    assert "Nobody works on it for" not in told[1]
