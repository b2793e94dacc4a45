"""Show what changed between two plans, shortest first, each thing once."""

from revive.engine.changes import Change, changes
from revive.plan import Plan
from revive.render.page_one import DOING
from revive.text import inert

HEADS = {
    "gate_opened": "Opened",
    "gate_shut": "Shut",
    "gate_now": "Changed",
    "stop_new": "New stop",
    "stop_gone": "Stop gone",
    "hold_new": "Now also holds shut",
    "hold_gone": "No longer holds shut",
    "task_again": "Due again",
    "task_new": "New work",
    "task_gone": "No longer called for",
    "task_done": "Done",
}
SAID_TWICE = {
    "gate_opened": ": open",
    "task_again": ": due again",
    "task_gone": ": no longer called for",
    "task_done": ": done",
}


def show_changes(before: Plan, after: Plan) -> None:
    """Print the differences, one line each, and where the machine stands now."""
    found = changes(before, after)
    reasons: set[str] = set()
    for change in found:
        print(_line(change, reasons))
    if not found:
        print("Nothing in the plan changes.")
    print(f"\n{after.verdict.sentence}")


def said(change: Change) -> str:
    """A change as one line, without its reason; gates by what they are for, with the id that is typed."""
    text = inert(change.text).removesuffix(SAID_TWICE.get(change.kind, "\n"))
    if change.kind in ("hold_new", "hold_gone"):
        gates, _, rest = text.partition(": ")
        named = [f"{DOING[gate]} ({gate})" if gate in DOING else gate for gate in gates.split(", ")]
        text = f"{', '.join(named)}: {rest}"
    return f"{HEADS[change.kind]}: {text}"


def _line(change: Change, told: set[str]) -> str:
    """One change with its reason, where that was not told before. told: grows."""
    words, why = said(change), inert(change.why)
    new = why and why not in told
    told.update((why, words.rpartition("): ")[2]))
    return f"{words}  ({why})" if new else words
