"""Shopping and waste of three machines, worked by hand from the task files, and of whole plans read a second time."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import yaml
from render_machines import TODAY, rules

from revive.engine.lists import lists_for, shopping_list
from revive.engine.planner import make_plan
from revive.engine.study import study_case
from revive.engine.waste import waste_list
from revive.model import Answer, Record, Work
from revive.plan import PlanTask
from revive.record import read_record

SAMPLES = Path(__file__).parents[2] / "samples"
TASKS = Path(__file__).parents[2] / "rules" / "tasks"


def planned(name: str, certainty: str = "certain", decide_by: tuple[str, ...] = (), state: str = "to_do") -> PlanTask:
    """A task of the shipped rules as a plan would hold it, with the lines left out that are for two-strokes."""
    task = rules().tasks[name]
    minutes = dict(zip(("least", "likely", "most"), task.minutes, strict=True))
    place = list(rules().tasks).index(name)
    head = (name, task.title, task.gate, place, state, False, certainty, task.who, minutes, task.wait_h)
    return PlanTask(*head, (), task.records, (), decide_by=decide_by)


def bought(tasks, values, part: str = "buy_now") -> dict[str, tuple[float | None, str]]:
    return {row["item"]: (row["quantity"], row["unit"]) for row in shopping_list(rules(), tasks, values)[part]}


# Flat twin: two cylinders, one plug each, 2.25 l of engine oil.
# oil: 2.25 + 1 spare for the first fill, 2.25 for the second. washers: drain 1, fill 1, second change 2. jars: 3 and 2.
FLAT_TWIN = ("plugs_out", "oil_drain", "filter_replace", "oil_fill", "carb_strip_clean", "plugs_replace")
FLAT_TWIN_VALUES = {"cylinders": 2.0, "plug_count": 2.0, "oil_capacity_l": 2.25}
FLAT_TWIN_NOW = {
    "penetrating oil": (0.05, "l"),
    "clean bung that is bigger than the hole": (2, "piece"),
    "plug cap mark": (2, "piece"),
    "clear lidded glass jar 0.5 l": (5, "piece"),
    "drain plug washer": (4, "piece"),
    "rinsing oil, plain engine oil": (0.9, "l"),
    "paint filter": (2, "piece"),
    "oil filter in date (this one and one for the second oil)": (2, "piece"),
    "filter cover O-ring or gasket": (2, "piece"),
    "filter centre bolt ring": (2, "piece"),
    "engine oil of the maker's grade": (5.5, "l"),
    "gasket and O-ring set": (2, "set"),
    "float needle and seat": (2, "piece"),
    "inlet bung": (2, "piece"),
    "carburettor cleaner": (0.5, "l"),
    "spark plug of the maker's grade": (2, "piece"),
    "seals for what the oil change opens": (1, "set"),
}
FLAT_TWIN_LATER = {
    "filter washer or shim to the drawing": (1, "piece"),
    "diaphragm": (2, "piece"),
    "plug washer": (2, "piece"),
}

# Four: four cylinders with two plugs each, 3.5 l. A look decides about the oil above the bearings and the second change.
# oil: 3.5 + 1 now; 4 x 0.05 and 3.5 once the look has called for them.
FOUR_VALUES = {"cylinders": 4.0, "plug_count": 8.0, "oil_capacity_l": 3.5}
FOUR_NOW = {
    "engine oil of the maker's grade": (4.5, "l"),
    "drain plug washer": (1, "piece"),
    "crocodile lead": (8, "piece"),
    "spark plug of the maker's grade": (8, "piece"),
    "brake fluid of the kind on the cap, sealed bottles": (1, "l"),
    "bleed screw cap": (3, "piece"),
    "marked can for old brake fluid": (1, "piece"),
    "clear hose": (1, "m"),
}
FOUR_LATER = {
    "engine oil of the maker's grade": (3.7, "l"),
    "plug washer": (8, "piece"),
    "drain plug washer": (2, "piece"),
    "seals for what the oil change opens": (1, "set"),
    "clear lidded glass jar 0.5 l": (2, "piece"),
    "copper-core plug lead": (4.8, "m"),
    "plug cap of the maker's ohms": (8, "piece"),
    "lead and cap seal": (16, "piece"),
}

# Two-stroke single of 246 cc with an oil pump. oil: 0.1 flush, 0.015 into the case, 1 into the lines, 0.3 bleeding, 0.1
# into the tank. banjo washers: 2 at the lines, 2 at the pump. pipe clips: 2 + 4.
SINGLE = ("crankcase_flush_2t", "crankcase_oil_2t", "inj_lines_replace", "inj_pump_bleed", "premix_safety_fill")
SINGLE_VALUES = {"cylinders": 1.0, "plug_count": 1.0, "displacement_cc": 246.0}
SINGLE_NOW = {
    "thin mineral oil for the soak": (0.246, "l"),
    "two-stroke oil of the maker's kind": (1.515, "l"),
    "crankcase drain washer": (1, "piece"),
    "inlet and exhaust gasket": (1, "piece"),
    "two-stroke oil pipe": (1.5, "m"),
    "pipe clip": (6, "piece"),
    "check valve": (1, "piece"),
    "banjo washer": (4, "piece"),
    "tank gauze": (1, "piece"),
    "bleed screw washer": (1, "piece"),
    "fresh petrol": (2, "l"),
    "white paper": (5, "sheet"),
    "tag for the filler": (1, "piece"),
}


def test_a_flat_twin_is_bought_for_as_worked_by_hand():
    tasks = [planned(name) for name in (*FLAT_TWIN, "oil_change_second")]
    oil = next(
        row for row in shopping_list(rules(), tasks, FLAT_TWIN_VALUES)["buy_now"] if "engine oil of" in row["item"]
    )

    assert bought(tasks, FLAT_TWIN_VALUES) == FLAT_TWIN_NOW
    assert bought(tasks, FLAT_TWIN_VALUES, "decide_after_look") == FLAT_TWIN_LATER
    assert (oil["after_first_run"], oil["gate"]) == (2.25, "crank")
    assert [(share["task"], share["quantity"]) for share in oil["for"]] == [
        ("oil_fill", 3.25),
        ("oil_change_second", 2.25),
    ]


def test_oil_for_measuring_before_the_first_run_is_not_for_after_it():
    tasks = [planned("comp_test"), planned("oil_change_second")]
    oil = next(
        row for row in shopping_list(rules(), tasks, FLAT_TWIN_VALUES)["buy_now"] if "engine oil of" in row["item"]
    )

    assert (oil["quantity"], oil["after_first_run"]) == (2.26, 2.25)  # 2 x 0.005 into the bores, then the second fill


def test_a_four_is_bought_for_as_worked_by_hand_and_what_a_look_decides_stands_apart():
    sure = ("oil_fill", "earth_leads", "plugs_replace", "leads_caps_check", "brake_fluid_change")
    tasks = [planned(name) for name in sure]
    tasks += [planned("top_end_oil", "assumed", ("rocker_covers_off",)), planned("oil_change_second", "assumed")]
    later = shopping_list(rules(), tasks, FOUR_VALUES)["decide_after_look"]
    oil = next(row for row in later if "engine oil" in row["item"])

    assert bought(tasks, FOUR_VALUES) == FOUR_NOW
    assert bought(tasks, FOUR_VALUES, "decide_after_look") == FOUR_LATER
    assert oil["decide_by"] == ["rocker_covers_off", "oil_change_second"]


def test_a_two_stroke_single_is_bought_for_as_worked_by_hand():
    tasks = [planned(name) for name in SINGLE]

    assert bought(tasks, SINGLE_VALUES) == SINGLE_NOW
    assert bought(tasks, SINGLE_VALUES, "decide_after_look") == {}


def test_the_waste_of_the_flat_twin_is_as_worked_by_hand():
    tasks = [planned(name) for name in (*FLAT_TWIN, "oil_change_second", "tank_drain", "tyres_replace", "oil_sample")]
    waste = {row["kind"]: row for row in waste_list(rules(), tasks, {**FLAT_TWIN_VALUES, "drained_l": None})["kinds"]}

    assert waste["used engine oil"]["litres"] == pytest.approx(2.25 + 0.9 + 2.25)  # old oil, rinse, second change
    assert not waste["used engine oil"]["at_least"]  # the sample jars are part of the old oil
    assert (waste["spent solvent"]["litres"], waste["spent solvent"]["at_least"]) == (0.5, False)
    assert (waste["used oil filter"]["count"], waste["used oil filter"]["count_unit"]) == (2, "piece")
    assert (waste["old tyres"]["count"], waste["old tyres"]["usual"]) == (2, None)
    assert (waste["petrol-wet absorbent"]["count"], waste["petrol-wet absorbent"]["count_unit"]) == (1, "kg")
    assert (waste["old petrol"]["litres"], waste["old petrol"]["at_least"]) == (None, True)
    assert waste["old petrol"]["usual"] == {"least": 0, "most": 20, "unit": "l"}


def test_the_waste_of_the_two_stroke_is_as_worked_by_hand():
    waste = {row["kind"]: row for row in waste_list(rules(), [planned(n) for n in SINGLE], SINGLE_VALUES)["kinds"]}

    assert waste["used soak oil"]["litres"] == pytest.approx(0.246 + 0.1)
    assert waste["used two-stroke oil"]["litres"] == pytest.approx(1.3)
    assert waste["old petrol"]["litres"] == 2 and waste["old petrol"]["usual"]["most"] == 20
    assert waste["oily rags"]["usual"]["unit"] == "kg"


def test_every_kind_of_waste_in_the_rules_has_an_amount_or_a_usual_range():
    for task in rules().tasks.values():
        for row in waste_list(rules(), [planned(task.id)], dict.fromkeys(rules().questions) | {"plug_count": None})[
            "kinds"
        ]:
            assert row["litres"] is not None or row["count"] is not None or row["usual"], (task.id, row["kind"])


def record_with(**answers) -> Record:
    return Record(answers={name: Answer(value, on=TODAY) for name, value in answers.items()})


def test_oil_that_nobody_has_measured_is_given_between_what_the_layout_can_hold():
    record = record_with(layout="flat_twin_wet", plan_goal="ride", cylinders=2.0)
    plan = make_plan(rules(), record, TODAY)
    data = lists_for(
        rules(), record, replace(plan, tasks=tuple(t for t in plan.tasks if t.id in ("oil_fill", "oil_drain")))
    )
    oil = next(row for row in data["shopping"]["buy_now"] if "engine oil of" in row["item"])
    waste = next(row for row in data["waste"]["kinds"] if row["kind"] == "used engine oil")

    # rules/layouts.yaml: a wet flat twin holds 2.0 to 3.0 l; a litre is spare, 0.9 l is rinsing oil
    assert (oil["quantity"], oil["quantity_least"]) == (4.0, 3.0)
    assert oil["reckoned_with"] == {"oil_capacity_l": 3.0}
    assert (waste["litres"], waste["litres_least"]) == (pytest.approx(3.9), pytest.approx(2.9))


def test_what_was_drained_is_what_is_handed_in_and_not_the_worst_that_could_have_been():
    given = {"layout": "flat_twin_wet", "plan_goal": "ride", "oil_capacity_l": 2.2}
    record = record_with(**given)
    record = replace(record, done={"oil_drain": Work(on=TODAY)})
    measured = replace(record, answers={**record.answers, "drained_l": Answer(1.4, on=TODAY)})

    def litres(one: Record) -> float:
        plan = make_plan(rules(), one, TODAY)
        drain = replace(plan, tasks=tuple(task for task in plan.tasks if task.id == "oil_drain"))
        return next(row for row in lists_for(rules(), one, drain)["waste"]["kinds"] if "engine oil" in row["kind"])[
            "litres"
        ]

    assert litres(replace(record, done={"photo_record": Work(on=TODAY)})) == pytest.approx(2.2 + 0.9)
    assert litres(record) == pytest.approx(2.2 + 0.9)
    assert litres(measured) == pytest.approx(1.4 + 0.9)


def test_a_size_that_nobody_knows_leaves_the_quantity_open_and_says_what_it_hangs_on():
    record = record_with(plan_goal="ride")
    plan = make_plan(rules(), record, TODAY)
    rows = {row["item"]: row for row in lists_for(rules(), record, plan)["shopping"]["buy_now"]}

    assert rows["clean bung that is bigger than the hole"]["quantity"] is None
    assert "cylinders" in rows["clean bung that is bigger than the hole"]["reckoned_with"]
    assert rows["clean bung that is bigger than the hole"]["for"][0]["each"] == {
        "of": "plug_count",
        "times": 1,
        "plus": 0,
    }


@cache
def raw_tasks() -> dict[str, dict]:
    """The task files as any YAML reader sees them."""
    found: dict[str, dict] = {}
    for path in sorted(TASKS.glob("*.yaml")):
        found.update(yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.CSafeLoader)["tasks"])
    return found


@pytest.mark.parametrize("name", ["flat-twin/2-first-day", "seller-twin/2-first-look", "club-batch/red-soaking"])
def test_nothing_that_the_task_files_ask_for_is_missing_from_the_lists(name: str):
    """Read from the files a second time: every part and every waste of all work to do, and nothing else."""
    record = read_record(str(SAMPLES / f"{name}.yaml"), rules())
    plan = make_plan(rules(), record, TODAY)
    data = lists_for(rules(), record, plan)
    known = study_case(rules(), record, TODAY).recorded.sight.rule
    parts: dict[tuple[str, str, bool], list[float | None]] = {}
    kinds: dict[str, set[str]] = {}
    for task in (task for task in plan.tasks if task.state == "to_do"):
        raw = raw_tasks()[task.id]
        for part in raw.get("parts", ()):
            if part["item"] in task.left_out:
                continue
            size = part["quantity"]
            if isinstance(size, dict):
                base_size = known[size["of"]]
                size = None if base_size is None else base_size * size.get("times", 1) + size.get("plus", 0)
            key = (
                " ".join(part["item"].split()),
                part["unit"],
                part.get("if_found", False) or task.certainty == "assumed",
            )
            parts.setdefault(key, []).append(size)
        for kind in raw.get("waste", ()):
            words = kind["text"] if isinstance(kind, dict) else kind
            if words not in task.left_out:
                kinds.setdefault(words, set()).add(task.id)
    shopping = data["shopping"]
    listed = {(row["item"], row["unit"], False): row for row in shopping["buy_now"]}
    listed |= {(row["item"], row["unit"], True): row for row in shopping["decide_after_look"]}

    assert set(listed) == set(parts) and len(parts) > 20
    for key, sizes in parts.items():
        if None not in sizes:
            assert listed[key]["quantity"] == pytest.approx(sum(sizes)), key
    to_do = {task.id for task in plan.tasks if task.state == "to_do"}
    assert {row["kind"]: set(row["for"]) & to_do for row in data["waste"]["kinds"] if set(row["for"]) & to_do} == kinds
    assert sum(None not in sizes for sizes in parts.values()) > len(parts) / 2
