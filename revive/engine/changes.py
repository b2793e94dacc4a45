"""Say what differs between two plans of one machine. Pure."""

from revive.frozen import Frozen
from revive.plan import Plan, PlanTask

GRAVITY = {"possible": 0, "cleared": 1, "assumed": 2, "standing": 3}


class Change(Frozen):
    """One difference. kind: gate_opened, gate_shut, gate_now, stop_new, stop_gone, hold_new, hold_gone, task_again,
    task_new, task_gone or task_done.

    why: what led to it, in the words of the rule base.
    """

    kind: str
    id: str
    text: str
    why: str = ""


def changes(before: Plan, after: Plan) -> list[Change]:
    """Gates, then stops, what else holds a gate, then tasks; within each what is graver first. Empty where nothing differs."""
    return [*_gates(before, after), *_stops(before, after), *_holds(before, after), *_tasks(before, after)]


def _gates(before: Plan, after: Plan) -> list[Change]:
    found = []
    states = {gate.id: gate.state for gate in before.gates}
    for gate in after.gates:
        old = states.get(gate.id)
        if old == gate.state:
            continue
        own = [hold for hold in gate.held_by if hold.kind != "gate"] or list(gate.held_by)
        why = next((hold.text for hold in own if hold.shut), own[0].text if own else "")
        if gate.state == "open":
            found.append(Change("gate_opened", gate.id, f"{gate.title}: open"))
        elif old == "open":
            found.append(Change("gate_shut", gate.id, f"{gate.title}: {gate.state}, was open", why))
        else:
            was = (old or "unknown").replace("_", " ")
            found.append(Change("gate_now", gate.id, f"{gate.title}: {gate.state.replace('_', ' ')}, was {was}", why))
    return sorted(found, key=lambda change: change.kind == "gate_now")


def _stops(before: Plan, after: Plan) -> list[Change]:
    old = {stop.id: stop for stop in before.stops}
    new = {stop.id: stop for stop in after.stops}
    found = []
    for stop in after.stops:
        was = old[stop.id].state if stop.id in old else ""
        if stop.state != was and GRAVITY[stop.state] > GRAVITY.get(was, 0):
            found.append(Change("stop_new", stop.id, f"{stop.title} ({stop.state})", stop.text))
        elif stop.state == "cleared" and was != "cleared":
            found.append(Change("stop_gone", stop.id, f"{stop.title}: cleared", stop.clears))
    for stop_id, stop in old.items():
        if stop_id not in new and stop.state != "possible":
            found.append(Change("stop_gone", stop_id, f"{stop.title}: no longer raised"))
    return found


def _holds(before: Plan, after: Plan) -> list[Change]:
    """Rules that hold a gate shut in one plan and not in the other."""
    old, new = _rule_holds(before), _rule_holds(after)
    found = [
        Change("hold_new", rule, f"{', '.join(gates)}: {text}")
        for rule, (gates, text) in new.items()
        if rule not in old
    ]
    return found + [
        Change("hold_gone", rule, f"{', '.join(gates)}: {text}")
        for rule, (gates, text) in old.items()
        if rule not in new
    ]


def _rule_holds(plan: Plan) -> dict[str, tuple[list[str], str]]:
    found: dict[str, tuple[list[str], str]] = {}
    for gate in plan.gates:
        for hold in gate.held_by:
            if hold.rule and hold.shut:
                found.setdefault(hold.rule, ([], hold.text))[0].append(gate.id)
    return found


def _tasks(before: Plan, after: Plan) -> list[Change]:
    old = {task.id: task for task in before.tasks}
    new = {task.id: task for task in after.tasks}
    found = []
    for task in after.tasks:
        was = old.get(task.id)
        if task.again and not (was and was.again):
            found.append(Change("task_again", task.id, f"{task.title}: due again", _why(task)))
        elif task.state == "to_do" and was is None:
            found.append(Change("task_new", task.id, task.title, _why(task)))
        elif task.state == "done" and was is not None and was.state == "to_do":
            found.append(Change("task_done", task.id, f"{task.title}: done"))
    for task in before.tasks:
        if task.id not in new and task.state == "to_do":
            found.append(Change("task_gone", task.id, f"{task.title}: no longer called for"))
    order = ("task_again", "task_new", "task_gone", "task_done")
    return sorted(found, key=lambda change: order.index(change.kind))


def _why(task: PlanTask) -> str:
    return task.reasons[0].finding if task.reasons else ""
