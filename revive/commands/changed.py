"""Show what changed between two plans, shortest first."""

from revive.engine.changes import Change, changes
from revive.plan import Plan
from revive.text import inert

HEADS = {
    "gate_opened": "Opened",
    "gate_shut": "Shut",
    "gate_now": "Changed",
    "stop_new": "New stop",
    "stop_gone": "Stop gone",
    "hold_new": "Now also holds",
    "hold_gone": "No longer holds",
    "task_again": "Due again",
    "task_new": "New work",
    "task_gone": "Gone",
    "task_done": "Done",
}


def show_changes(before: Plan, after: Plan) -> None:
    """Print the differences, one line each, and where the machine stands now."""
    found = changes(before, after)
    for change in found:
        print(_line(change))
    if not found:
        print("Nothing in the plan changes.")
    print(f"\n{after.verdict.sentence}")


def _line(change: Change) -> str:
    why = f"  ({inert(change.why)})" if change.why else ""
    return f"{HEADS[change.kind]}: {inert(change.text)}{why}"
