"""Shopping, workshop and waste lists of whole plans and of small invented ones."""

from dataclasses import replace

import pytest

from revive.engine.lists import SIX_BOXES, shop_answer, shopping_list, waste_list, workshop_sheet
from revive.engine.parts import sum_parts
from revive.engine.planner import make_plan
from revive.engine.schedule import make_schedule
from revive.engine.study import study_case
from revive.model import Answer, Part, Work

TODAY = "2026-11-25"


def assumed_values(base, record):
    return study_case(base, record, TODAY).assumed.sight.rule


@pytest.fixture
def flat_twin(base, records):
    """A flat twin that holds 2.2 l, with its plan and values."""
    record = records["flat twin"]
    record = replace(record, answers={**record.answers, "oil_capacity_l": Answer(2.2), "cylinders": Answer(2.0)})
    return make_plan(base, record, TODAY), assumed_values(base, record)


def rows_of(listing):
    return {(row["item"], row["unit"]): row for row in listing}


def test_every_part_of_a_plan_is_on_the_list_once_with_the_plans_own_sum(base, records, plans):
    for machine, plan in plans.items():
        values = assumed_values(base, records[machine])
        found = shopping_list(base, plan.tasks, values)
        summed = {(p.item, p.unit, p.if_found): p.quantity for p in sum_parts(base, plan.tasks, values)}

        assert {(r["item"], r["unit"], False): r["quantity"] for r in found["buy_now"]} | {
            (r["item"], r["unit"], True): r["quantity"] for r in found["decide_after_look"]
        } == summed
        assert len(found["buy_now"]) + len(found["decide_after_look"]) == len(summed)


def test_oil_is_bought_for_both_fills_with_a_litre_to_spare(base, flat_twin):
    plan, values = flat_twin
    oil = rows_of(shopping_list(base, plan.tasks, values)["buy_now"])["engine oil of the maker's grade", "l"]

    shares = {share["task"]: share["quantity"] for share in oil["for"]}
    assert shares["oil_fill"] == pytest.approx(2.2 + 1)
    assert shares["oil_change_second"] == pytest.approx(2.2)
    assert oil["after_first_run"] == pytest.approx(
        2.2 + 0.5
    )  # the second fill, and half a litre to top up on the rides
    assert oil["quantity"] == pytest.approx(sum(shares.values()))


def test_what_hangs_on_an_unknown_stays_unknown(base, plans, records):
    values = assumed_values(base, records["flat twin"])
    oil = rows_of(shopping_list(base, plans["flat twin"].tasks, values)["buy_now"])[
        "engine oil of the maker's grade", "l"
    ]

    assert (oil["quantity"], oil["after_first_run"]) == (None, None)


def test_what_a_look_decides_is_not_bought_now(base, plans, records):
    machine = "flat twin, nothing known"
    listing = shopping_list(base, plans[machine].tasks, assumed_values(base, records[machine]))
    certain = {task.id for task in plans[machine].tasks if task.certainty == "certain"}

    assert all(share["task"] in certain for row in listing["buy_now"] for share in row["for"])
    assert listing["decide_after_look"] and all(row["decide_by"] for row in listing["decide_after_look"])


def test_done_work_needs_nothing_bought(base, records):
    record = records["flat twin"]
    values = assumed_values(base, record)
    done = replace(record, done={"oil_drain": Work(on=TODAY)})

    before = shopping_list(base, make_plan(base, record, TODAY).tasks, values)["buy_now"]
    after = shopping_list(base, make_plan(base, done, TODAY).tasks, values)["buy_now"]

    assert any(share["task"] == "oil_drain" for row in before for share in row["for"])
    assert not any(share["task"] == "oil_drain" for row in after for share in row["for"])


def test_things_are_needed_on_the_first_day_of_their_first_task(base, flat_twin):
    plan, values = flat_twin
    days = {row["task"]: row["starts"][:10] for row in make_schedule(base, plan.tasks, start=TODAY)["tasks"]}

    for row in shopping_list(base, plan.tasks, values, days)["buy_now"]:
        assert row["needed_on"] == min(days[share["task"]] for share in row["for"])


def test_a_machine_shop_is_asked_six_things_where_bearings_are_its_work(base, plans):
    sheet = workshop_sheet(base, plans["bearing flakes"].tasks)

    assert sheet is not None
    assert {"crank_bearing_shop", "shell_confirm"} & set(sheet["for"])
    assert len(sheet["boxes"]) == 6
    assert sheet["answers"] in base.questions
    assert sheet["cautions"]


def test_no_machine_shop_is_asked_where_none_is_planned(base, plans):
    assert workshop_sheet(base, plans["flat twin"].tasks) is None


@pytest.mark.parametrize("count", range(7))
def test_only_six_ticks_confirm_it_all(base, count):
    answer = shop_answer(list(SIX_BOXES)[:count])

    assert answer in base.questions["shop_answers"].choices
    assert (answer == "all_confirmed") == (count == 6)
    assert (answer == "none_confirmed") == (count == 0)


def test_a_tick_that_is_no_box_confirms_nothing():
    assert shop_answer(["promised on the telephone"]) == "none_confirmed"


def test_oil_to_hand_in_is_the_old_oil_the_rinse_and_the_early_second_fill(base, flat_twin):
    plan, values = flat_twin
    oil = next(row for row in waste_list(base, plan.tasks, values)["kinds"] if row["kind"] == "used engine oil")

    rinse = sum(part.quantity for part in base.tasks["oil_drain"].parts if "engine oil" in part.item)
    assert rinse > 0
    assert oil["litres"] == pytest.approx(2.2 + rinse + 2.2)


def test_what_was_drained_counts_before_what_the_engine_holds(base, flat_twin):
    plan, values = flat_twin

    def litres(known):
        return next(r for r in waste_list(base, plan.tasks, known)["kinds"] if r["kind"] == "used engine oil")["litres"]

    drained = {name: values[name] for name in base.questions} | {"drained_l": 3.4}
    assert litres(drained) == pytest.approx(litres(values) - 2.2 + 3.4)


def test_old_petrol_has_no_litres_before_it_is_drained(base, records):
    record = records["flat twin"]
    record = replace(record, answers={**record.answers, "years_stored": Answer(12.0)})
    kinds = waste_list(base, make_plan(base, record, TODAY).tasks, assumed_values(base, record))["kinds"]
    petrol = next(row for row in kinds if row["kind"] == "old petrol")

    assert (petrol["litres"], petrol["at_least"]) == (None, True)


def test_waste_of_done_work_counts_until_it_is_handed_in(base, records):
    record = records["flat twin"]
    values = assumed_values(base, record)

    def makers(*done):
        plan = make_plan(base, replace(record, done={task: Work(on=TODAY) for task in done}), TODAY)
        return {task for row in waste_list(base, plan.tasks, values)["kinds"] for task in row["for"]}

    assert "oil_drain" in makers("oil_drain")
    assert "oil_drain" not in makers("oil_drain", "dispose_waste")


def test_every_waste_list_carries_the_cautions_of_handing_in(base, plans):
    cautions = waste_list(base, plans["bare"].tasks, {})["cautions"]

    assert cautions == list(base.tasks["dispose_waste"].cautions) and cautions


def test_a_part_bought_only_after_a_look_pours_no_waste(base, flat_twin):
    plan, values = flat_twin
    drain = base.tasks["oil_drain"]
    looked_at = replace(drain, parts=tuple(replace(part, if_found=True) for part in drain.parts))
    other = replace(base, tasks={**base.tasks, "oil_drain": looked_at})
    task = next(task for task in plan.tasks if task.id == "oil_drain")

    def litres(rules):
        return next(r for r in waste_list(rules, [task], values)["kinds"] if r["kind"] == "used engine oil")["litres"]

    assert isinstance(drain.parts[0], Part)
    assert (litres(base), litres(other)) == (pytest.approx(3.1), pytest.approx(2.2))


def test_old_oil_that_several_tasks_let_out_is_counted_once(base, records, plans):
    machine = "dry sump twin, nothing known"
    values = {name: assumed_values(base, records[machine])[name] for name in base.questions}
    values |= {"drained_l": None, "oil_capacity_l": 3.0, "cylinders": 2.0}
    tasks = [task for task in plans[machine].tasks if task.id in ("oil_tank_drain", "crankcase_drain")]
    oil = next(row for row in waste_list(base, tasks, values)["kinds"] if row["kind"] == "used engine oil")

    assert (len(tasks), oil["litres"], oil["at_least"]) == (2, 3.0, False)
