"""A plan, and what it asks next, never speak of a part that the machine is known not to have.

Fifteen invented machines, one for each layout, each with the words that a mechanic would not use beside it. Each is
planned twice: while only its description is known, when nearly all work is assumed, and with every answer good.
"""

import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.model import Answer, Question, Record, RuleBase
from revive.plan import Plan
from revive.render.wording import Names

TODAY = "2026-11-25"
SHOWN = ("tools", "method", "cautions", "changes_plan_if")

WORDS: dict[str, tuple[str, ...]] = {
    "sump and oil filter": ("sump", "oil filter", "oil pressure", "relief valve", "second oil", "oil lamp"),
    "valves": (
        "rocker",
        "valve gap",
        "valve stem",
        "tappet",
        "pushrod",
        "(?<!relief )valve spring",
        "cam chain",
        "cam cover",
    ),
    "pushrods": ("pushrod",),
    "cam chain": ("cam chain",),
    "cam belt": ("toothed belt", "toothed cam belt", "cam belt"),
    "hydraulic tappets": ("hydraulic lifter", "lifter screen", "hydraulic tappet"),
    "two-stroke": ("two-stroke", "check valve", "reed"),
    "rotary piston": ("rotary piston", "side seals"),
    "two-stroke oil pump": ("injection pipe", "oil injection", "check valve", "pump lever"),
    "disc valve": ("disc: side cover", "disc face"),
    "dry sump": ("dry sump", "dry-sump", "scavenge", "return in the tank"),
    "spinning cup": ("spinning cup",),
    "oil filter": ("oil filter", "filter cover"),
    "oil cooler": ("oil cooler", "cooler"),
    "coolant": ("coolant", "radiator", "thermostat", "water pump", "liquid-cooled", "water jacket"),
    "drive chain": ("drive chain", "chain slack", "chain oil", "rear sprocket", "pull the chain"),
    "drive shaft": ("shaft drive", "bevel"),
    "drive belt": ("drive belt", "belt tension"),
    "disc brake": ("caliper(?! gauge)", "disc holes", "pads", "brake disc"),
    "drum brake": ("wheel cylinder", "the drum", "hydraulic drum", "drum hub", "torque arm"),
    "brake fluid": ("brake fluid", "master cylinder", "brake hose", "anti-lock", "return port"),
    "linked brakes": ("linked", "anti-lock"),
    "battery": ("frame post", "live post", "battery acid", "battery post", "lithium", "hydrometer", "charging battery"),
    "lithium": ("lithium",),
    "6 V": ("(?<![0-9.])6 V",),
    "12 V": ("12 V(?! on (?:a )?6 V)",),
    "positive earth": ("positive earth",),
    "kick start": ("kick lever", "kick start", "kick by foot", "kick-start"),
    "starter motor": ("starter motor", "one-way clutch", "starter relay", "starter button", "rest for the starter"),
    "points": ("contact breaker", "condenser", "points cover", "points wire"),
    "magneto": ("magneto",),
    "ignition box": ("stick coil", "an electronic box", "computer"),
    "carburettor": ("carburettor", "float bowl", "float level", "fuel tap"),
    "petrol injection": ("injector", "pump fuse"),
    "hydraulic clutch": ("slave", "clutch fluid"),
    "wet clutch": ("wet-clutch", "wet clutch"),
    "dry clutch": ("dry clutch",),
    "primary case": ("primary case",),
}
"""What a machine may lack -> words, as patterns, that then have no place in what it is told."""
ASKED_OF_ALL = ("chain_state", "breather_state", "lining_known_asbestos_free")
"""Questions whose own wording names several kinds at once, so that each owner finds his."""

MACHINES: dict[str, dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("machines.yaml").read_text("utf-8"))
"""Layout -> what the machine is, and what it lacks."""

COMMON: dict[str, Any] = {
    "start_tried": "none",
    "years_stored": 14.0,
    "storage_place": "damp_shed",
    "plan_goal": "ride",
    "workshop_level": "owner_kit",
    "user_role": "owner",
    "work_space": "ventilated_garage",
    "helper_available": "yes",
    "manual_available": "yes",
    "displacement_cc": 500.0,
    "plugs_per_cylinder": 1,
    "valves_per_cylinder": 2,
    "year_made": 1976,
    "oil_capacity_l": 2.5,
    "oil_cooler_fitted": "no",
    "cooling": "air",
    "fuel_system": "carb",
    "clutch_actuation": "cable",
    "linked_or_abs": "no",
    "earth_polarity": "negative",
    "battery_kind": "flooded",
    "battery_look": "clean",
    "battery_volts": 12.7,
}


@cache
def shipped() -> RuleBase:
    found, problems = load_rules(default_rules_folder(), use_cache=False)
    assert found is not None, "\n".join(map(str, problems))
    return found


def good(question: Question) -> Any:
    """An answer that is neither the worst nor blind."""
    if question.kind == "many":
        return (question.none or tuple(question.choices))[:1]
    if question.kind == "number":
        return question.low if question.worst == question.high else question.high
    fine = [name for name in question.choices or ("yes", "no") if name not in (*question.blind, question.worst)]
    return fine[0]


def described(layout: str, in_full: bool) -> Record:
    """The machine's record: its description alone, or every question of the rule base answered, mostly with good news."""
    given = {**COMMON, **MACHINES[layout]["is"], "layout": layout}
    if given["system_voltage"] == "none":
        given["battery_look"] = "absent"
    if in_full:
        given = {question.id: good(question) for question in shipped().questions.values()} | given
    return Record(answers={name: Answer(value, on=TODAY) for name, value in given.items()})


@cache
def planned(layout: str, in_full: bool) -> Plan:
    return make_plan(shipped(), described(layout, in_full), TODAY)


def told(plan: Plan) -> list[tuple[str, str]]:
    """Where and what the owner of this plan reads: of work still to do, and of the questions put to him."""
    base, found = shipped(), []
    names = Names(plan, base)
    for planned_task in plan.tasks:
        task = base.tasks[planned_task.id]
        if planned_task.state == "to_do":
            texts = [text for name in SHOWN for text in getattr(task, name)]
            texts += [*(part.item for part in task.parts), *task.waste]
            meant = [text for text in texts if text not in planned_task.left_out]
            found += [(task.id, names.prose(text)) for text in (task.title, *meant)]
    for name in (name for name in plan.to_ask if name not in ASKED_OF_ALL):
        question = base.questions[name]
        found += [(name, names.prose(text)) for text in (question.ask, question.how, question.caution) if text]
    return found


def seen(*words: str) -> Callable[[str], re.Match[str] | None]:
    """Looks in a text for one of these words, each a pattern that begins at the beginning of a word."""
    return re.compile(rf"(?<![\w-])(?:{'|'.join(words)})", re.IGNORECASE).search


def strange(layout: str, texts: list[tuple[str, str]]) -> list[str]:
    """What is read there about parts that this machine lacks."""
    lookers = [(lack, seen(*WORDS[lack])) for lack in dict.fromkeys(MACHINES[layout]["lacks"])]
    return [f"{place}: {lack}: {text}" for lack, look in lookers for place, text in texts if look(text)]


def test_every_layout_has_its_machine() -> None:
    assert set(MACHINES) == set(shipped().layouts)


def test_every_lack_is_some_machines_and_every_word_stands_in_the_rule_base() -> None:
    """A word that no task and no question ever uses would prove nothing."""
    base = shipped()
    texts = [text for task in base.tasks.values() for name in SHOWN for text in getattr(task, name)]
    texts += [task.title for task in base.tasks.values()] + [question.how for question in base.questions.values()]
    dead = [word for words in WORDS.values() for word in words if not any(map(seen(word), texts))]
    assert {lack for machine in MACHINES.values() for lack in machine["lacks"]} == set(WORDS)
    assert not dead


@pytest.mark.parametrize("in_full", [False, True], ids=["described", "all good"])
@pytest.mark.parametrize("layout", MACHINES)
def test_no_plan_speaks_of_a_part_that_the_machine_lacks(layout: str, in_full: bool) -> None:
    texts = told(planned(layout, in_full))
    assert len(texts) > 100, "too little work in this plan to prove anything"
    found = strange(layout, texts)
    assert not found, "\n".join(found)


@pytest.mark.parametrize("layout", MACHINES)
def test_a_text_about_such_a_part_would_be_noticed(layout: str) -> None:
    """With the guards forgotten each of these machines is told of strange parts."""
    plan, base = planned(layout, False), shipped()
    names = Names(plan, base)
    unguarded = [(one.id, names.prose(text)) for one in plan.tasks for text in one.left_out]
    assert strange(layout, unguarded)


def test_an_unknown_machine_loses_nothing() -> None:
    """Where nothing is on record every guarded text stays, a caution above all."""
    plan = make_plan(shipped(), Record(), TODAY)
    assert any(shipped().tasks[task.id].guards for task in plan.tasks)
    assert not [text for task in plan.tasks for text in task.left_out]


def bought(layout: str, item: str, **answers: Any) -> dict[str, float | None]:
    """Task -> how much of an item the plan buys for it."""
    record = described(layout, False)
    given = {**record.answers, **{name: Answer(value, on=TODAY) for name, value in answers.items()}}
    plan = make_plan(shipped(), Record(answers=given), TODAY)
    return {
        planned_task.id: part.quantity
        for planned_task in plan.tasks
        for part in shipped().tasks[planned_task.id].parts
        if part.item == item and item not in planned_task.left_out
    }


@pytest.mark.parametrize("layout", [layout for layout in MACHINES if layout.startswith("two_stroke")])
def test_the_first_petrol_of_a_two_stroke_is_bought_once_with_the_oil_for_it(layout: str) -> None:
    assert bought(layout, "fresh petrol") == {"float_leak_test": 0.5, "premix_safety_fill": 2}
    assert bought(layout, "two-stroke oil of the maker's kind")["premix_safety_fill"] == 0.1
    assert bought(layout, "engine oil of the maker's grade") == {}


@pytest.mark.parametrize("layout", [layout for layout in MACHINES if not layout.startswith("two_stroke")])
def test_the_first_petrol_of_a_four_stroke_is_bought_once_and_no_two_stroke_oil(layout: str) -> None:
    assert bought(layout, "fresh petrol", fuel_system="carb") == {"float_leak_test": 0.5, "first_start_ready": 2}
    assert bought(layout, "fresh petrol", fuel_system="injection") == {"injection_service": 2, "first_start_ready": 2}
    assert bought(layout, "two-stroke oil of the maker's kind") == {}


def test_oil_for_the_primary_case_is_bought_where_there_is_one_and_a_sump_plate_gasket_where_there_is_a_plate() -> None:
    assert bought("parallel_twin_dry", "primary oil of the maker's grade")["gearbox_oil_change"] == 1
    assert bought("flat_twin_wet", "primary oil of the maker's grade") == {}
    assert bought("single_dry", "sump plate gasket") == {"crankcase_drain": 2}
    assert bought("vintage_total_loss", "sump plate gasket") == {}
