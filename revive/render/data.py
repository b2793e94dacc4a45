"""A plan as JSON for other programs. Names and shapes are those of schema revive-plan/1; nothing is worded here."""

from typing import Any

from revive.json_text import json_text
from revive.plan import Plan

SCHEMA = "revive-plan/1"


def plan_data(plan: Plan) -> dict[str, Any]:
    """The plan field by field, ready for JSON."""
    return {
        "schema": SCHEMA,
        "made_on": plan.made_on,
        "rules": {"version": plan.rules_version, "digest": plan.rules_digest},
        "machine": plan.machine,
        "verdict": plan.verdict,
        "gates": plan.gates,
        "stops": plan.stops,
        "tasks": plan.tasks,
        "possible": plan.possible,
        "schedule": plan.schedule,
        "parts": [
            {
                "item": part.item,
                "quantity": part.quantity,
                "unit": part.unit,
                "for": part.tasks,
                "if_found": part.if_found,
            }
            for part in plan.parts
        ],
        "assumed": plan.assumed,
        "to_ask": plan.to_ask,
        "skipped": plan.skipped,
        "contradictions": plan.contradictions,
        "figures": plan.figures,
        "fallbacks": plan.fallbacks,
        "overrides": plan.overrides,
        "sources": plan.sources,
    }


def plan_json(plan: Plan) -> str:
    """The plan as JSON text."""
    return json_text(plan_data(plan)) + "\n"
