"""Draw the path of gates as a lane from top to bottom, with the machine where it stands. Decides no gate."""

from revive.model import GATES
from revive.plan import Plan, PlanGate
from revive.render.drawing import INK, PAPER, Drawing, Picture
from revive.render.page_one import DOING
from revive.render.wording import counted, gate_state

LEFT, RIGHT, TEXT = 12, 58, 74
WIDE = 262
KEY = (
    "A bar across the lane is a shut gate; two crossed bars, a stop on it. A broken bar with a question mark is a gate "
    "that nobody has proved. A bar swung aside is an open gate. A dotted lane has no gate in this plan."
)


def gates_picture(plan: Plan) -> Picture:
    """The lane with one gate a row."""
    sheet, told = Drawing(), []
    machine_before = plan.verdict.next_gate
    y = 4.0
    for gate in plan.gates:
        if gate.id == machine_before:
            y = _machine(sheet, y, "Your machine stands here")
            told.append("The machine stands here.")
        y, words = _gate(sheet, y, plan, gate)
        told.append(f"{words}.")
    if machine_before is None:
        y = _machine(sheet, y, "Your machine stands here")
        told.append("The machine stands here, past every gate of this plan.")
    return sheet.done("picture-gates", "The gates, and where the machine stands", " ".join(told), KEY, y + 4)


def _gate(sheet: Drawing, y: float, plan: Plan, gate: PlanGate) -> tuple[float, str]:
    due = sum(task.gate == gate.id and task.state == "to_do" for task in plan.tasks)
    state = gate_state(gate) + (f"; {counted(due, 'task')} to do" if due and gate.state != "not_needed" else "")
    title = f"{GATES.index(gate.id) + 1} {DOING[gate.id][:1].upper()}{DOING[gate.id][1:]}"
    below = sheet.lines(TEXT, y + 16, title, WIDE, 15, bold=True)
    below = sheet.lines(TEXT, below + 1, state, WIDE, 13)
    high = max(below - y + 2, 46)
    _bar(sheet, y, high, gate)
    return y + high, f"Gate {title}: {state}"


def _lane(sheet: Drawing, y: float, high: float, dotted: bool = False) -> None:
    for x in (LEFT, RIGHT):
        sheet.line(x, y, x, y + high, 2, "2 4" if dotted else "")


def _bar(sheet: Drawing, y: float, high: float, gate: PlanGate) -> None:
    _lane(sheet, y, high, gate.state == "not_needed")
    middle = y + high / 2
    if gate.state == "not_needed":
        return
    if gate.state == "open":
        sheet.shape([(LEFT + 3, middle), (LEFT + 9, middle), (LEFT + 9, middle - 20), (LEFT + 3, middle - 20)])
    elif gate.state == "unproven":
        sheet.line(LEFT, middle, RIGHT, middle, 5, "7 5")
        sheet.box((LEFT + RIGHT) / 2 - 8, middle - 10, 16, 20, PAPER, 0)
        sheet.words((LEFT + RIGHT) / 2, middle + 7, "?", 20, True, "middle")
    elif any(hold.kind == "stop" and hold.shut for hold in gate.held_by):
        sheet.line(LEFT, middle - 13, RIGHT, middle + 13, 5)
        sheet.line(LEFT, middle + 13, RIGHT, middle - 13, 5)
    else:
        sheet.line(LEFT, middle, RIGHT, middle, 7)
    for x in (LEFT, RIGHT):
        sheet.box(x - 4, middle - 8, 8, 16, INK, 0)


def _machine(sheet: Drawing, y: float, words: str) -> float:
    high = 40
    _lane(sheet, y, high)
    wheel, middle = y + 26, (LEFT + RIGHT) / 2
    for x in (middle - 11, middle + 11):
        sheet.ring(x, wheel, 6.5, PAPER, 2.5)
    sheet.shape(
        [
            (middle - 13, wheel - 13),
            (middle - 2, wheel - 11),
            (middle + 7, wheel - 15),
            (middle + 4, wheel - 3),
            (middle - 6, wheel - 3),
        ]
    )
    sheet.line(middle + 11, wheel, middle + 5, wheel - 19, 2.5)
    sheet.line(middle + 5, wheel - 19, middle, wheel - 20, 2.5)
    sheet.shape([(RIGHT + 6, y + 20), (RIGHT + 14, y + 14), (RIGHT + 14, y + 26)])
    sheet.words(TEXT + 4, y + 25, words, 14, True)
    return y + high
