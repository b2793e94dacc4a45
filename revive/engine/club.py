"""Sum up one plan for a club's officer: where it stands, who may do what, what is overdue, what to order. Pure.

Gives plain values only, so that a summary can be kept and read again without making the plan again. It refuses to pool
what must be the same in every measure and is not known to be.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from revive.engine.conditions import names_in
from revive.engine.dates import day_number
from revive.model import DONT_KNOW, GATES, Record, RuleBase
from revive.plan import Plan

SILENT_DAYS = 90
"""A plan without a new entry for so long is asked for again (from memory)."""
NOT_ALONE: tuple[tuple[str, str, str, tuple[str, ...]], ...] = (
    (
        "it may fall",
        "a second person, and a lift rated for the weight",
        "any",
        (
            *("secure_machine", "stand_check", "swingarm_service", "steering_head_service"),
            *("wheel_bearings_replace", "tyres_replace"),
        ),
    ),
    (
        "fire",
        "a second person with an extinguisher, outdoors",
        "any",
        (
            *("tank_drain", "tank_derust", "float_leak_test", "injection_service", "first_power"),
            *("first_start_ready", "first_start", "spark_test"),
        ),
    ),
    (
        "a crank or kick lever that moves",
        "a second person, clear of the machine",
        "any",
        ("stuck_rock", "prime_starter", "prime_check_arrival", "leakdown_test", "kickback_guard", "timing_check"),
    ),
    (
        "stopping and steering",
        "skilled hands; on first rides an observer",
        "any",
        ("brake_static_test", "ride_short", "ride_progressive", "road_ready_check"),
    ),
    (
        "safety-critical assembly with home tools",
        "skilled hands check it before it rolls",
        "home",
        (
            *("master_cylinder_rebuild", "caliper_rebuild", "brake_hose_replace", "drum_service"),
            *("fork_tube_repair", "wheel_check", "cables_service"),
        ),
    ),
    (
        "dust and disease",
        "the officer confirms mask, wetting and bags; a licensed firm where the law asks",
        "any",
        ("asbestos_control", "drum_service", "clutch_free_dry", "rodent_clean"),
    ),
    (
        "heat, press, machining or welding",
        "a workshop or skilled hands only",
        "any",
        (
            *("crank_bearing_shop", "shell_confirm", "engine_partial_strip", "gearbox_strip"),
            *("crank_seals_replace", "tank_repair", "frame_inspect"),
        ),
    ),
    (
        "high voltage or gas charge",
        "skilled hands; gas dampers by a specialist only",
        "any",
        ("magneto_service", "charging_check", "battery_charge", "shock_check"),
    ),
    ("flood", "skilled hands; after salt water a workshop", "any", ("flood_strip",)),
)
"""Reason, who must be there, for which tools, tasks. Trade practice."""
BY_WHO = {
    "with_helper": ("one person is not enough", "a second person"),
    "skilled": ("it takes skill", "skilled hands that do it"),
    "shop": ("it takes a workshop", "a workshop that does it"),
}
SAME_FOR_ALL = re.compile(
    r"^(?:nitrile gloves|disposable (?:gloves|wipe|coverall)|goggles|mask|rag$|paper towel|lint-free cloth|lens cloth|"
    r"white paper|coffee filter|paint filter|cotton bud|oil absorbent|baking soda|bicarbonate|washing soda|citric acid|"
    r"chalk powder|talc$|paraffin|white spirit|household|washing-up liquid|water-based degreaser|solvent for degreasing|"
    r"carburettor cleaner|contact cleaner|brake solvent|plate cleaner|penetrating oil$|clean water|distilled water$|"
    r"fresh water|clear hose 6 mm|tube 4 mm|wire 2\.5 mm2|fuse 2 A|fuse 5 A|crocodile lead|cable tie|loom tape|tape$|"
    r"heat-shrink|corrosion-stopping paper|desiccant bag|breathable cover|red tag|tag |warning|label$|clean card|"
    r"clear bag|refuse bag|thick bag|clear jar|clean lidded|clear lidded|marked can|approved can|marked petrol can|"
    r"drained-tank label|printed|terminal tag|plug cap mark|copper wire|rinsing oil|thin oil$|assembly oil)"
)
"""Consumables that are the same for every machine; only these are summed, and what carries one grade."""
BY_MANUAL = re.compile(
    r"\b(?:maker's|manual|drawing|on the cap|as found|of the old|battery voltage|of its own|hose size)\b"
)
GRADES: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("brake fluid", ("brake_fluid_kind", "brake_fluid_grade")),
    ("engine oil of the maker's grade", ("oil_grade_new", "clutch_kind")),
)
"""Words in an item -> the answers that make it one grade; all must be known before it is summed."""
BATCH_TASK = "club_pack"


def machine_row(base: RuleBase, record: Record, plan: Plan) -> dict[str, Any]:
    """What the overview says of one machine, as plain values.

    Keys: name, member, layout, goal, verdict, open_to, next_gate, gates, stops, next, may (counts: owner, alone;
    watched, an owner's task with somebody there; with_helper, skilled, shop), alone,
    overdue, orders, hours (hands-on, likely, certain work).
    """
    to_do = [task for task in plan.tasks if task.state == "to_do"]
    alone = list(not_alone(plan, _answer(record, "workshop_level")))
    watched = {one["order"] for one in alone}
    now = [task for task in to_do if task.allowed_now and not task.optional] or to_do[:1]
    return {
        "name": str(record.machine.get("name", "")),
        "member": str(record.machine.get("owner", "")),
        "layout": base.layouts[layout].title if (layout := _answer(record, "layout")) in base.layouts else "",
        "goal": base.questions["plan_goal"].choices.get(_answer(record, "plan_goal"), "")
        if "plan_goal" in base.questions
        else "",
        "verdict": plan.verdict.sentence,
        "open_to": plan.verdict.open_to or "",
        "next_gate": plan.verdict.next_gate or "",
        "gates": {gate.id: gate.state for gate in plan.gates},
        "stops": [
            {
                "title": stop.title,
                "state": stop.state,
                "text": stop.text,
                "clears": stop.clears,
                "who": base.stops[stop.id].who,
            }
            for stop in plan.stops
            if stop.state in ("standing", "assumed")
        ],
        "next": [{"order": task.order, "title": task.title, "who": task.who} for task in now[:3]],
        "may": {
            "owner": sum(task.who == "owner" and task.order not in watched for task in to_do),
            "watched": sum(task.who == "owner" and task.order in watched for task in to_do),
            **{who: sum(task.who == who for task in to_do) for who in BY_WHO},
        },
        "alone": alone,
        "overdue": list(overdue(base, record, plan)),
        "orders": list(order_lines(base, record, plan)),
        "hours": round(sum(task.minutes["likely"] for task in to_do if task.certainty == "certain") / 60, 1),
    }


def not_alone(plan: Plan, level: str) -> Iterator[dict[str, Any]]:
    """Tasks to do that a member must not do alone: order, title, reasons and who must be there.

    level: the member's tools; unknown ones count as home tools.
    """
    home = level not in ("skilled_kit", "shop")
    for task in plan.tasks:
        if task.state != "to_do":
            continue
        found = [BY_WHO[task.who]] if task.who in BY_WHO else []
        found += [(why, who) for why, who, tools, tasks in NOT_ALONE if task.id in tasks and (home or tools == "any")]
        if found:
            yield {
                "order": task.order,
                "title": task.title,
                "why": "; ".join(dict.fromkeys(why for why, _ in found)),
                "there": "; ".join(_shortest([who for _, who in found])),
            }


def _shortest(words: list[str]) -> list[str]:
    """Each demand once, without those that a longer one begins with."""
    once = list(dict.fromkeys(words))
    return [one for one in once if not any(other != one and other.startswith(one) for other in once)]


def overdue(base: RuleBase, record: Record, plan: Plan) -> Iterator[str]:
    """What has waited too long: a stop that stands, work due again, a record that nobody has written in."""
    for rule in base.rules.values():
        if plan.rule_states.get(rule.id) == "certain" and "oldest_stop_days" in names_in(rule.when):
            yield f"{rule.finding}."
    for task in plan.tasks:
        if task.again:
            yield f"Due again, a newer finding asks for it: {task.title}."
    dates = [answer.on for answer in record.answers.values() if answer.on]
    dates += [work.on for work in record.done.values() if work.on]
    dates += [str(reading["on"]) for reading in record.readings if str(reading.get("on", ""))[:4].isdigit()]
    if not dates:
        yield "No entry of the record carries a date."
    elif (days := day_number(plan.made_on) - day_number(max(dates))) > SILENT_DAYS:
        yield f"Nothing was put on record for {days} days: ask the member, and make the plan afresh."


def order_lines(base: RuleBase, record: Record, plan: Plan) -> Iterator[dict[str, Any]]:
    """Parts of the work to do: item, grade, quantity (None if unknown), unit, gate (the first that needs it), when, pooled.

    when: now, or look (buy only after the look). pooled: may be summed with the same item and grade of other machines.
    """
    batch = record.answers.get("batch_size")
    for part in plan.parts:
        quantity = part.quantity
        if BATCH_TASK in part.tasks and batch is not None and isinstance(batch.value, float) and quantity is not None:
            quantity -= sum(_batch_share(base, part.item, part.unit)) * (batch.value - 1)
        grade, known = _grade(base, record, part.item)
        gates = [base.tasks[task].gate for task in part.tasks]
        yield {
            "item": part.item,
            "grade": grade,
            "quantity": quantity if quantity is None else round(quantity, 3),
            "unit": part.unit,
            "gate": min(gates, key=GATES.index),
            "when": "look" if part.if_found else "now",
            "pooled": known and not part.if_found and quantity is not None and may_pool(part.item, bool(grade)),
        }


def may_pool(item: str, graded: bool = False) -> bool:
    """Whether an item may be ordered together for several machines. graded: its grade is known.

    >>> may_pool("nitrile gloves"), may_pool("oil filter in date"), may_pool("bleed screw"), may_pool("brake hose")
    (True, False, False, False)
    """
    return graded or (bool(SAME_FOR_ALL.search(item)) and not BY_MANUAL.search(item))


def _grade(base: RuleBase, record: Record, item: str) -> tuple[str, bool]:
    """The grade of an item by the record, and whether it is known or needs none."""
    for words, questions in GRADES:
        if words in item:
            given = [(base.questions.get(name), _answer(record, name)) for name in questions]
            said = [question.choices.get(value, "") for question, value in given if question is not None]
            known = all(said) and len(said) == len(questions)
            return "; ".join(said) if known else "", known
    return "", True


def _batch_share(base: RuleBase, item: str, unit: str) -> Iterator[float]:
    """How much of an item the hand-out asks for each machine of a batch."""
    for part in base.tasks[BATCH_TASK].parts:
        by_batch = isinstance(part.quantity, Mapping) and part.quantity.get("of") == "batch_size"
        if by_batch and part.item == item and part.unit == unit:
            yield float(part.quantity.get("times", 1))


def _answer(record: Record, name: str) -> str:
    answer = record.answers.get(name)
    return answer.value if answer is not None and isinstance(answer.value, str) and answer.value != DONT_KNOW else ""
