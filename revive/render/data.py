"""A plan as JSON for other programs. Names and shapes are those of schema revive-plan/1; nothing is worded here."""

from collections.abc import Mapping
from typing import Any

from revive.frozen import Frozen
from revive.json_text import json_text
from revive.plan import Plan, PlanGate, PlanTask
from revive.text import inert_json

_SIMPLE = (str, int, float, bool, type(None))
SCHEMA = "revive-plan/1"


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan as plain values, ready for JSON."""
    return {
        "schema": SCHEMA,
        "made_on": plan.made_on,
        "rules": {"version": plan.rules_version, "digest": plan.rules_digest},
        "machine": dict(plan.machine),
        "verdict": _fields(plan.verdict),
        "gates": [_gate(gate) for gate in plan.gates],
        "stops": [_fields(stop) for stop in plan.stops],
        "tasks": [_task(task) for task in plan.tasks],
        "possible": [_fields(item) for item in plan.possible],
        "schedule": plan.schedule,
        "parts": [
            {
                "item": part.item,
                "quantity": part.quantity,
                "unit": part.unit,
                "for": list(part.tasks),
                "if_found": part.if_found,
            }
            for part in plan.parts
        ],
        "assumed": [_fields(item) for item in plan.assumed],
        "to_ask": list(plan.to_ask),
        "skipped": list(plan.skipped),
        "contradictions": [_fields(clash) for clash in plan.contradictions],
        "figures": list(plan.figures),
        "fallbacks": list(plan.fallbacks),
        "overrides": list(plan.overrides),
        "sources": list(plan.sources),
    }


def plan_json(plan: Plan) -> str:
    """The plan as JSON text, two spaces a level."""
    return inert_json(json_text(plan_data(plan))) + "\n"


def _fields(item: Any) -> dict[str, Any]:
    return {name: _plain(getattr(item, name)) for name in item.FIELDS}


def _plain(value: Any) -> Any:
    if type(value) in _SIMPLE:
        return value
    if isinstance(value, Frozen):
        return _fields(value)
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    return [_plain(item) for item in value] if isinstance(value, list | tuple) else value


def _gate(gate: PlanGate) -> dict[str, Any]:
    fields = _fields(gate)
    fields["least_to_open"] = [
        {"kind": step.kind, "id": step.id, "value": _plain(step.value)} for step in gate.least_to_open
    ]
    return fields


def _task(task: PlanTask) -> dict[str, Any]:
    return _fields(task)
