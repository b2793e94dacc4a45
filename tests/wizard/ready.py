"""Records on which everything asked was answered with good news and the work done, until a gate is open."""

from dataclasses import replace
from typing import Any

from revive.engine.planner import make_plan
from revive.model import GATES, Answer, Question, Record, RuleBase, Work
from revive.record_edit import RecordText
from revive.recording import put_answer, put_work

TODAY = "2026-11-25"
GIVEN: dict[str, Any] = {
    "start_tried": "none",
    "petrol_smell": "none",
    "years_stored": 14.0,
    "storage_place": "dry_shed",
    "last_run_state": "ran_well",
    "plan_goal": "ride",
    "workshop_level": "shop",
    "year_made": 1975.0,
    "displacement_cc": 600.0,
    "valves_per_cylinder": 2.0,
    "system_voltage": "v12",
    "battery_look": "clean",
    "battery_volts": 12.7,
    "oil_capacity_l": 2.2,
    "drained_l": 2.0,
    "drained_water_ml": 0.0,
    "spare_filter_age_y": 1.0,
    "sealant_marks": "none",
    "fuel_amount": "none",
    "short_ohms": 900.0,
    "sediment_mm": 1.0,
    "drain_lip_mm": 0.0,
}


def good_answer(question: Question, given: dict[str, Any]) -> Any:
    """The answer given for a question, else the first one that is neither the worst nor blind."""
    if question.id in given:
        return given[question.id]
    if question.kind == "many":
        return (question.none[0],) if question.none else (next(iter(question.choices)),)
    if question.kind == "number":
        worst = question.worst if isinstance(question.worst, int | float) else question.high
        return question.low if worst > (question.low + question.high) / 2 else question.high
    choices = list(question.choices or ("yes", "no"))
    fine = [choice for choice in choices if choice not in question.blind and choice != question.worst]
    return (fine or choices)[0]


def record_open_to(base: RuleBase, gate: str, **given: Any) -> bytes:
    """The bytes of a record whose gate is open; given: answers that are fixed, layout among them."""
    fixed = {**GIVEN, **given}
    answers: dict[str, Answer] = {"layout": Answer(fixed["layout"], "2026-11-21T09:00:00")}
    done: dict[str, Work] = {}
    state = ""
    for minute in range(58):
        clock = f"2026-11-21T10:{minute:02d}"
        plan = make_plan(base, Record(answers=answers, done=done), TODAY)
        gates = [found for found in plan.gates if GATES.index(found.id) <= GATES.index(gate)]
        state = gates[-1].state
        if state == "open":
            break
        called = {task.id for task in plan.tasks}
        if plan.to_ask:
            for name in plan.to_ask:
                answers[name] = Answer(good_answer(base.questions[name], fixed), f"{clock}:00")
            continue
        due = [task for task in plan.tasks if task.state == "to_do" and task.gate in {found.id for found in gates}]
        ready = [task for task in due if task.allowed_now] or due[:1]
        if ready:
            done.update({task.id: Work(f"{clock}:30") for task in ready})
            continue
        for name in [name for found in gates for hold in found.held_by for name in hold.waits_for]:
            if name in answers:
                answers[name] = replace(answers[name], on=f"{clock}:40")
            elif name in called and name not in done:
                done[name] = Work(f"{clock}:40")
    assert state == "open", f"gate {gate} is {state}: {[hold.text for hold in gates[-1].held_by]}"
    text = RecordText(b"")
    for name, answer in answers.items():
        put_answer(text, Record(), name, answer)
    for name, work in done.items():
        put_work(text, Record(), name, work)
    return text.as_bytes()
