"""The figures of a plan: there when a decision hangs on them, absent else, honest about where inputs come from."""

import json
from datetime import date
from functools import cache
from math import exp, log, log10
from typing import Any

import pytest

from revive.engine.figuring import plan_figures
from revive.engine.planner import make_plan
from revive.engine.study import study_case
from revive.figures import FIGURES, reckon
from revive.loading import default_rules_folder, load_rules
from revive.model import Answer, MakerFigure, Record, RuleBase, Work
from revive.plan import Plan
from revive.render.data import plan_json
from revive.render.markdown import plan_markdown
from revive.render.terminal import plan_terminal

TODAY = "2026-11-25"
ASKED = ("oil_grade_new", "air_c", "air_rh_pct", "altitude_m", "battery_ah", "brake_fluid_grade")
TWIN: dict[str, Any] = {
    "start_tried": "none",
    "layout": "flat_twin_wet",
    "years_stored": 14.0,
    "storage_place": "damp_shed",
    "last_run_state": "ran_well",
    "turned_in_storage": "never",
    "openings_covered": "as_ridden",
    "engine_opened_before": "never",
    "starter_kind": "electric",
    "plan_goal": "ride",
    "workshop_level": "owner_kit",
    "system_voltage": "v12",
    "battery_look": "clean",
    "battery_kind": "flooded",
    "battery_volts": 12.5,
    "work_space": "closed_garage",
    "front_brake": "disc",
    "displacement_cc": 600.0,
    "cylinders": 2.0,
    "climate": "temperate",
}
TWO_STROKE = {"layout": "two_stroke_premix", "cylinders": 1.0, "displacement_cc": 250.0, "starter_kind": "kick"}
LOOKED = {"tyres_look": Work(TODAY, details={"codes": "front 4819, rear 274"})}
CHAIN = {"chain_service": Work(TODAY, details={"length_20_pitches_mm": 325.0})}
COMPRESSION = tuple(
    {"what": "compression_bar", "cylinder": cylinder, "value": bar} for cylinder, bar in ((1, 8.6), (2, 8.0), (2, 6.3))
)
EVEN = tuple({**reading, "value": 8.5} for reading in COMPRESSION)
FLAT = {"answers": {"battery_volts": 12.3}}
LEAK = ({"what": "leakdown_pct", "cylinder": 2, "value": 25.0, "feed_bar": 5.6, "held_bar": 4.2},)


@cache
def rules() -> RuleBase:
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems[:3]
    return base


def record_of(
    answers: dict[str, Any] | None = None,
    done: dict[str, Work] | None = None,
    readings: tuple[dict[str, Any], ...] = (),
    maker: dict[str, MakerFigure] | None = None,
) -> Record:
    """The invented flat twin with some answers changed; None takes one out."""
    told = {name: value for name, value in {**TWIN, **(answers or {})}.items() if value is not None}
    return Record({"name": "Grey twin"}, {q: Answer(v) for q, v in told.items()}, done or {}, maker or {}, readings)


def plan_of(*args: Any, **kwargs: Any) -> Plan:
    return make_plan(rules(), record_of(*args, **kwargs), TODAY)


def figures_of(*args: Any, **kwargs: Any) -> dict[str, Any]:
    return {row["id"]: row for row in plan_of(*args, **kwargs).figures}


def done(*tasks: str) -> dict[str, Work]:
    return {task: Work(TODAY) for task in tasks}


WHEN: list[tuple[str, dict[str, Any], dict[str, Any]]] = [
    # figure, what brings it, what takes it away
    ("settling", {}, {"done": done("oil_sample", "oil_drain", "oil_tank_drain")}),
    ("settling", {}, {"answers": {"storage_place": "flooded"}}),
    ("settling", {}, {"answers": TWO_STROKE}),
    ("oil_viscosity", {}, {"answers": TWO_STROKE}),
    ("residue", {}, {"done": done("oil_fill", "oil_change_second")}),
    ("residue", {}, {"answers": {"plan_goal": "inspect_only"}}),
    ("soak_volumes", {}, {"done": done("bore_oil")}),
    ("soak_volumes", {}, {"answers": {"displacement_cc": None}}),
    ("oil_grade", {"answers": {"oil_grade_new": "w20_50"}}, {}),
    ("oil_grade", {"answers": {"air_c": -8.0}}, {"answers": {"air_c": 8.0}}),
    ("oil_grade", {"answers": {"oil_grade_new": "w20_50"}}, {"answers": {"oil_grade_new": "w20_50", **TWO_STROKE}}),
    ("prime_time", {}, {"done": done("prime_starter")}),
    ("prime_time", {}, {"answers": TWO_STROKE}),
    ("prime_time", {}, {"answers": {"starter_kind": "none"}}),
    ("prime_time", {}, {"answers": {"layout": "vintage_total_loss"}}),
    ("prime_charge", {}, {"answers": {"starter_kind": "kick"}}),
    ("prime_charge", {}, {"answers": {"battery_kind": "lithium"}}),
    ("prime_charge", {}, {"done": done("prime_starter")}),
    ("battery_charge", {}, {"answers": {"battery_volts": None}}),
    ("battery_charge", {}, {"answers": {"battery_volts": "dont_know"}}),
    ("battery_charge", {}, {"answers": {"battery_volts": 13.6}}),
    ("battery_charge", {}, {"answers": {"battery_kind": "lithium"}}),
    ("battery_charge", {}, {"answers": {"starter_kind": "kick"}}),
    (
        "battery_charge",
        {"answers": {"starter_kind": "kick", "battery_volts": 12.3}},
        {"answers": {"battery_look": "split"}},
    ),
    ("battery_freezing", {"answers": {"battery_volts": 11.9}}, {"answers": {"battery_volts": 12.6}}),
    (
        "battery_freezing",
        {"answers": {"battery_volts": 11.9}},
        {"answers": {"battery_volts": 12.1, "battery_kind": "sealed"}},
    ),
    ("charging_ventilation", FLAT, {"answers": {"battery_volts": 12.3, "work_space": "open_air"}}),
    ("charging_ventilation", FLAT, {"answers": {"battery_volts": 12.3, "battery_kind": "lithium"}}),
    ("charging_ventilation", FLAT, {}),
    ("compression_expected", {}, {"done": done("comp_test")}),
    ("compression_expected", {}, {"answers": {"layout": "rotary_piston"}}),
    ("compression_spread", {"readings": COMPRESSION}, {}),
    ("compression_spread", {"readings": COMPRESSION}, {"readings": COMPRESSION[:1]}),
    ("compression_spread", {"readings": EVEN}, {"readings": EVEN, "done": done("first_start")}),
    ("leakdown", {"readings": LEAK}, {"readings": COMPRESSION}),
    ("fuel_water", {"answers": {"last_fuel": "e10"}}, {"answers": {"last_fuel": "plain"}}),
    ("fuel_water", {"answers": {"last_fuel": "e10"}}, {"answers": {"last_fuel": "e10", "fuel_amount": "none"}}),
    (
        "fuel_water",
        {"answers": {"last_fuel": "dont_know"}},
        {"done": done("tank_drain"), "answers": {"last_fuel": "e10"}},
    ),
    ("premix", {"answers": TWO_STROKE}, {}),
    ("brake_fluid", {}, {"answers": {"front_brake": "drum_cable", "rear_brake": "drum_rod"}}),
    ("brake_fluid", {}, {"answers": {"brake_fluid_kind": "mineral"}}),
    ("brake_fluid", {}, {"done": done("brake_fluid_change")}),
    ("tyre_age", {"done": LOOKED}, {}),
    ("chain_wear", {"done": CHAIN}, {}),
    ("chain_wear", {"done": CHAIN}, {"done": {"chain_service": Work(TODAY)}}),
    ("dew_point", {"answers": {"air_c": 9.0, "air_rh_pct": 85.0}}, {"answers": {"air_c": 9.0}}),
    (
        "dew_point",
        {"answers": {"air_c": 9.0, "air_rh_pct": 85.0}},
        {"answers": {"air_c": 9.0, "air_rh_pct": "dont_know"}},
    ),
    ("corrosion", {"answers": {"storage_place": "outdoors_open"}}, {"answers": {"storage_place": "heated"}}),
    ("corrosion", {}, {"answers": {"storage_place": "flooded"}}),
    ("corrosion", {}, {"answers": {"years_stored": 0.5}}),
]


@pytest.mark.parametrize(("figure", "brings", "takes"), WHEN)
def test_a_figure_is_there_when_it_helps_and_only_then(figure: str, brings: dict[str, Any], takes: dict[str, Any]):
    assert figure in figures_of(**brings)
    assert figure not in figures_of(**takes)


def test_an_empty_record_has_no_figures():
    assert make_plan(rules(), Record(), TODAY).figures == ()


def test_every_figure_names_a_task_to_do_and_says_what_follows():
    plan = plan_of(
        {"last_fuel": "e10", "air_c": 3.0, "air_rh_pct": 80.0, "oil_grade_new": "w20_50"}, LOOKED, COMPRESSION
    )
    to_do = {task.id for task in plan.tasks if task.state == "to_do"}

    assert len(plan.figures) > 12
    for row in plan.figures:
        assert set(row["tasks"]) <= to_do
        assert row["tasks"] or row["id"] == "oil_viscosity"  # it only feeds the settling
        assert row["says"].endswith(".") and row["method"] and row["source"]
        assert set(row["inputs_from"]) == set(row["inputs"])
        assert set(row["inputs_from"].values()) <= {"record", "maker", "layout", "plan", "figure", "fallback"}


EVERYTHING: dict[str, Any] = {
    "last_fuel": "e10",
    "air_c": 3.0,
    "air_rh_pct": 80.0,
    "oil_grade_new": "w20_50",
    "altitude_m": 1500.0,
    "battery_ah": 28.0,
    "brake_fluid_grade": "dot4",
    "battery_volts": 12.1,
}


def test_each_value_is_what_the_figure_gives_by_itself_for_the_inputs_that_are_printed():
    plan = plan_of(EVERYTHING, {**LOOKED, **CHAIN}, COMPRESSION + LEAK)

    missing = set(FIGURES) - {row["id"] for row in plan.figures}
    assert missing == {"oil_mix", "premix", "tyre_tread", "rubber_ageing"}
    for row in plan.figures:
        alone = reckon(row["id"], row["inputs"])
        assert row["value"] == alone.value
        assert row["also"] == alone.also


@pytest.mark.parametrize(
    ("figure", "given", "wanted"),
    [
        ("settling", {}, {"viscosity_mpa_s": "figure", "depth_mm": "fallback"}),
        ("oil_viscosity", {}, {"at_c": "fallback"}),
        ("oil_viscosity", {"answers": {"air_c": 8.0}}, {"at_c": "record", "kv40_mm2_s": "fallback"}),
        ("oil_viscosity", {"answers": {"air_c": "dont_know"}}, {"at_c": "fallback"}),
        ("prime_time", {}, {"pump_ml_per_crank_rev": "layout", "volume_ml": "layout", "efficiency": "fallback"}),
        ("prime_time", {"maker": {"pump_ml_per_crank_rev": MakerFigure(2.0)}}, {"pump_ml_per_crank_rev": "maker"}),
        ("prime_charge", {}, {"battery_ah": "fallback", "state_of_charge_pct": "figure", "cranking_s": "figure"}),
        ("prime_charge", {"answers": {"battery_ah": 14.0}}, {"battery_ah": "record"}),
        ("prime_charge", {"answers": {"battery_volts": None}}, {"state_of_charge_pct": "fallback"}),
        ("prime_charge", {"answers": {"battery_look": "split"}}, {"state_of_charge_pct": "plan"}),
        ("battery_charge", {}, {"volts_rest": "record", "kind": "record", "system_voltage": "record"}),
        ("battery_charge", {"answers": {"battery_kind": "unknown_kind"}}, {"kind": "fallback"}),
        ("battery_charge", {"answers": {"battery_kind": "dont_know"}}, {"kind": "fallback"}),
        ("soak_volumes", {"answers": {"cylinders": None}}, {"cylinders": "layout", "displacement_cc": "record"}),
        ("brake_fluid", {}, {"grade": "fallback", "years": "record"}),
        ("brake_fluid", {"answers": {"years_stored": "dont_know"}}, {"years": "fallback"}),
        ("brake_fluid", {"answers": {"brake_fluid_kind": "silicone"}}, {"grade": "record"}),
        ("fuel_water", {"answers": {"last_fuel": "dont_know"}}, {"ethanol_pct": "fallback"}),
        ("fuel_water", {"answers": {"last_fuel": "e5"}}, {"ethanol_pct": "record"}),
        ("compression_expected", {"maker": {"compression_ratio": MakerFigure(7.5)}}, {"ratio": "maker"}),
        ("residue", {}, {"drains": "plan", "fraction_left": "fallback"}),
    ],
)
def test_where_each_input_comes_from(figure: str, given: dict[str, Any], wanted: dict[str, str]):
    row = figures_of(**given)[figure]

    assert {name: row["inputs_from"][name] for name in wanted} == wanted


def test_the_maker_beats_fallback_and_layout_and_is_no_longer_asked_for():
    plain = figures_of()["prime_time"]
    maker = figures_of(maker={"pump_ml_per_crank_rev": MakerFigure(2.0, "ml", "p. 4")})["prime_time"]

    assert plain["maker_may_give"] == {"pump_ml_per_crank_rev": "pump_ml_per_crank_rev"}
    assert maker["maker_may_give"] == {}
    assert maker["value"] == plain["value"] / 2


def test_the_range_of_priming_comes_from_the_pump_sizes_of_the_layout():
    row = figures_of()["prime_time"]
    facts = rules().layouts["flat_twin_wet"].facts
    by_hand = [facts["prime_dry_ml"] / (facts[pump] * 300 / 60 * 0.5) for pump in ("pump_high_ml", "pump_low_ml")]

    assert [row["range"]["low"], row["range"]["high"]] == pytest.approx(by_hand)
    assert f"{by_hand[0]:.0f} to {by_hand[1]:.0f} s" in row["says"]
    assert "over the budget" not in row["says"]
    kicked = figures_of({"starter_kind": "kick", "layout": "parallel_twin_dry"})["prime_time"]["says"]
    assert "over the budget of 120 s" in kicked and "kicks" in kicked and "rests of 120 s" in kicked


@pytest.mark.parametrize(
    ("answers", "words"),
    [
        ({"battery_volts": 12.6, "battery_ah": 14.0}, "This battery of 14 Ah can do it"),
        ({"battery_volts": 12.1, "battery_ah": 14.0}, "charge it first"),
        ({"battery_volts": 12.3, "battery_ah": 1.0}, "cannot do it"),
        ({"battery_volts": None}, "A battery 75 % charged of 10 Ah can do it"),
        ({"battery_look": "split"}, "A new, charged battery"),
    ],
)
def test_whether_this_battery_can_prime_it(answers: dict[str, Any], words: str):
    assert words in figures_of(answers)["prime_charge"]["says"]


def test_too_cold_for_this_oil():
    cold = {"air_c": -16.0, "oil_grade_new": "w20_50"}

    assert figures_of(cold)["oil_grade"]["says"].startswith("TOO COLD: 20W-50 may be cranked down to -15 C")
    assert "does not forbid" in figures_of({**cold, "air_c": -15.0})["oil_grade"]["says"]
    assert "does not forbid" in figures_of({**cold, "oil_grade_new": "w15_50"})["oil_grade"]["says"]
    assert "promises nothing in the cold" in figures_of({**cold, "oil_grade_new": "sae_50"})["oil_grade"]["says"]


def test_a_shed_is_not_outdoors():
    assert "A shed is not outdoors" in figures_of()["corrosion"]["says"]
    assert "A shed is not outdoors" not in figures_of({"storage_place": "outdoors_open"})["corrosion"]["says"]


def test_work_that_outdates_an_answer_takes_it_out_of_the_figures():
    answered = record_of({"battery_look": "clean"})
    answers = {**answered.answers, "battery_volts": Answer(12.1, "2026-11-20")}
    before = make_plan(rules(), Record({}, answers), TODAY)
    after = make_plan(rules(), Record({}, answers, {"battery_charge": Work("2026-11-22")}), TODAY)

    assert "battery_charge" in {row["id"] for row in before.figures}
    assert "battery_charge" not in {row["id"] for row in after.figures}


# Published values, not this program's


def test_published_least_boiling_points_of_dot_4():
    """49 CFR 571.116, S5.1.1 (230 C) and S5.1.2 (155 C)."""
    row = figures_of({"brake_fluid_grade": "dot4"})["brake_fluid"]

    assert (row["value"], row["also"]["least_dry_c"]) == (155, 230)


def test_published_pressure_of_the_standard_atmosphere():
    """ISO 2533: 845.56 hPa at 1500 m against 1013.25 hPa at sea level."""
    row = figures_of({"altitude_m": 1500.0})["compression_expected"]

    assert row["also"]["of_sea_level"] == pytest.approx(845.56 / 1013.25, abs=2e-4)
    assert "83 % of one at sea level" in row["says"]


def test_published_state_of_charge():
    """Battery Council International, open circuit table: 12.24 V is half charged, 12.06 V a quarter."""
    assert figures_of({"battery_volts": 12.24})["battery_charge"]["value"] == pytest.approx(50)
    assert figures_of({"battery_volts": 12.06})["battery_charge"]["value"] == pytest.approx(25)


def test_published_week_of_a_tyre_code():
    """49 CFR 574.5(b)(3): week 01 is the first full week, Sunday to Saturday; 1 December 2019 begins week 48."""
    assert date(2019, 12, 1).weekday() == 6
    rows = [row for row in plan_of(done=LOOKED).figures if row["id"] == "tyre_age"]

    assert rows[0]["value"] == pytest.approx((date(2026, 11, 25) - date(2019, 12, 1)).days / 365.25)
    assert [one["year"] for one in rows[1]["also"]["readings"]] == [1994, 1984, 1974]
    assert "renewed whatever its tread" in rows[1]["says"]


def test_settling_by_hand():
    """Stokes' law and ASTM D341 written out once more, for the oil and the grain that the plan prints."""
    row, oil = figures_of({"air_c": 12.0})["settling"], figures_of({"air_c": 12.0})["oil_viscosity"]["inputs"]

    def y(mm2_s: float) -> float:
        return log10(log10(mm2_s + 0.7))

    slope = (y(oil["kv40_mm2_s"]) - y(oil["kv100_mm2_s"])) / (log(373.15) - log(313.15))
    mm2_s = 10 ** (10 ** (y(oil["kv40_mm2_s"]) - slope * (log(285.15) - log(313.15)))) - 0.7
    pa_s = mm2_s * 1e-6 * 870
    m_s = 9.80665 * (row["inputs"]["particle_um"] * 1e-6) ** 2 * (2600 - 870) / (18 * pa_s)

    assert row["value"] == pytest.approx(row["inputs"]["depth_mm"] / 1000 / m_s / 3600, rel=1e-6)


def test_corrosion_by_hand():
    """ISO 9223:2012, carbon steel up to 10 C, written out once more."""
    row = figures_of()["corrosion"]
    t, rh, so2, cl = (row["inputs"][name] for name in ("air_c", "rh_pct", "so2_mg_m2_d", "cl_mg_m2_d"))

    assert t <= 10
    first = 1.77 * so2**0.52 * exp(0.020 * rh + 0.150 * (t - 10)) + 0.102 * cl**0.62 * exp(0.033 * rh + 0.040 * t)
    assert row["value"] == pytest.approx(first)


# Questions that feed the figures


def test_the_questions_come_last_and_not_before_the_first_plan():
    assert not set(ASKED) & set(plan_of().to_ask)
    to_ask = plan_of(done=done("photo_record")).to_ask

    assert set(to_ask[-len(ASKED) :]) == set(ASKED)


@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("altitude_m", {"done": done("photo_record", "comp_test", "first_start")}),
        ("altitude_m", {"answers": {"altitude_m": "dont_know"}, "done": done("photo_record")}),
        ("battery_ah", {"answers": {"system_voltage": "none", "starter_kind": "kick"}, "done": done("photo_record")}),
        ("oil_grade_new", {"answers": TWO_STROKE, "done": done("photo_record")}),
        ("brake_fluid_grade", {"done": done("photo_record", "brake_fluid_change")}),
        ("air_c", {"answers": {"air_c": 4.0}, "done": done("photo_record")}),
        ("air_rh_pct", {"done": done("photo_record", "rocker_covers_off", "sump_drop", "preserve_again")}),
    ],
)
def test_a_question_that_can_change_no_figure_is_not_asked(name: str, given: dict[str, Any]):
    assert name not in plan_of(**given).to_ask


# What people and programs see


def test_the_plan_prints_the_figures_and_where_their_inputs_come_from():
    plan, base = plan_of(EVERYTHING), rules()
    page = plan_markdown(plan, base, "owner", full=True)
    section = page.split("## Figures used in this plan")[1].split("\n## ")[0]

    for row in plan.figures:
        assert FIGURES[row["id"]].text[1:] in section
        assert row["says"].replace("~", "\\~") in section
    assert "maker's manual overrides every fallback" in section
    for words in ("fallback, from memory", "by the engine layout", "from the record", "reckoned here", "by this plan"):
        assert words in section
    assert "starter_12v_a" in section


@pytest.mark.parametrize("task", ["prime_starter", "oil_drain", "battery_charge", "brake_fluid_change"])
def test_what_a_figure_decides_stands_beside_its_task(task: str):
    plan, base = plan_of(EVERYTHING), rules()
    says = [row["says"] for row in plan.figures if task in row["tasks"]]
    order = next(one.order for one in plan.tasks if one.id == task)
    block = plan_markdown(plan, base, "owner", full=True).split(f"#### {order}\\. ")[1].split("\n#### ")[0]
    printed = " ".join(plan_terminal(plan, base, "owner", full=True, width=80, colour=False).split())

    assert says
    for words in says:
        assert words in block
        assert printed.count(words) >= 2


def test_the_json_has_them_with_the_promised_keys():
    found = json.loads(plan_json(plan_of(EVERYTHING, LOOKED, COMPRESSION)))["figures"]

    assert found
    for row in found:
        assert list(row)[:7] == ["id", "value", "unit", "inputs", "method", "source", "note"]


def test_the_same_record_gives_the_same_figures_and_the_plan_is_where_they_come_from():
    record = record_of(EVERYTHING)
    plan = make_plan(rules(), record, TODAY)

    assert plan_figures(study_case(rules(), record, TODAY), plan.tasks) == plan.figures
