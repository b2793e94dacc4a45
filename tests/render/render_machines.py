"""Machines that the render tests print: records of several owners, invented, and their plans over the shipped rules."""

from dataclasses import replace
from functools import cache

from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.model import Answer, Record, RuleBase, Work
from revive.plan import Plan

TODAY = "2026-11-25"
DESK = {
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
}
WALKED = {
    "user_role": "owner",
    "system_voltage": "v12",
    "petrol_smell": "none",
    "work_space": "open_air",
    "helper_available": "yes",
    "manual_available": "yes",
    "rodent_signs": "none",
    "wasp_or_snake": "no",
    "stand_sound": "yes",
    "standing_on": "main_stand",
    "battery_look": "clean",
    "leak_marks": ("no_leak",),
    "earth_polarity": "negative",
    "flood_level": "none",
    "cooling": "air",
    "front_brake": "disc",
}
BAD = {
    "oil_look": "gritty",
    "drained_debris": ("bright_flakes",),
    "bore_look": "haze",
    "hand_turn": "free",
    "rocker_look": "dont_know",
}
PLACE = ("site_prepare", "photo_record", "secure_machine", "battery_isolate")
ENGINE = ("external_clean", "tank_drain", "oil_sample", "plugs_out", "bore_scope", "bore_oil", "hand_turn")
ANSWERS: dict[str, dict[str, object]] = {
    "desk": DESK,
    "bare": {},
    "touch": {**DESK, **WALKED},
    "half": {**DESK, **WALKED, **BAD},
    "nobody knows": {**dict.fromkeys(DESK, "dont_know"), "layout": "parallel_twin_dry", "plan_goal": "ride"},
    "seller": {**DESK, "plan_goal": "sell_as_is", "user_role": "seller"},
    "club": {**DESK, "user_role": "club_officer", "batch_size": 6.0},
    "look only": {**DESK, "plan_goal": "inspect_only", "user_role": "owner"},
    "two-stroke": {**DESK, "layout": "two_stroke_premix", "starter_kind": "kick"},
    "liquid": {**DESK, "layout": "liquid_twin", "storage_place": "flooded", "start_tried": "ran"},
}
DONE = {"touch": PLACE, "half": (*PLACE, *ENGINE)}
READERS = {"seller": "seller", "club": "club_officer"}
NAMES = tuple(ANSWERS)


@cache
def rules() -> RuleBase:
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems[:3]
    return base


@cache
def plan_of(name: str) -> Plan:
    answers = {question: Answer(value) for question, value in ANSWERS[name].items()}  # type: ignore[arg-type]
    done = {task: Work("2026-11-20") for task in DONE.get(name, ())}
    return make_plan(rules(), Record({"name": "Grey twin"}, answers, done), TODAY, "0.1")


def reader_of(name: str) -> str:
    return READERS.get(name, "owner")


def with_open_gates(name: str, last: str) -> Plan:
    """A plan whose gates are taken as open up to and with one of them."""
    plan, passed, gates = plan_of(name), False, []
    for gate in plan.gates:
        gates.append(gate if passed else replace(gate, state="open", held_by=(), opened_on="2026-11-21"))
        passed = passed or gate.id == last
    after = next((gate.id for gate in gates if gate.state not in ("open", "not_needed")), None)
    return replace(plan, gates=tuple(gates), verdict=replace(plan.verdict, open_to=last, next_gate=after))
