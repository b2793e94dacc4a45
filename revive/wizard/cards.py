"""Ask what finished work showed: one short card for each task, all of it dated as the work is."""

from typing import Any

from revive.engine.interview import waiting_after_work
from revive.model import Work
from revive.plan import Plan
from revive.record_edit import RecordText
from revive.recording import put_work
from revive.text import spoken
from revive.units import parse
from revive.wizard.answering import Pen
from revive.wizard.asking import ask_one, in_words
from revive.wizard.screen import Option


def cards_due(pen: Pen) -> dict[str, tuple[str, ...]]:
    """Finished tasks whose findings are not on record -> the questions that wait, newest work first."""
    study = pen.study()
    newest = sorted(pen.held.record.done.items(), key=lambda pair: pair[1].on, reverse=True)
    found = {task: waiting_after_work(study, task, older_too=False) for task, _ in newest}
    return {task: names for task, names in found.items() if names}


def fill_card(pen: Pen, task_id: str, plan: Plan) -> Plan:
    """Ask what one finished task answers, then the details worth keeping; the plan as it then stands."""
    base, screen = pen.held.base, pen.screen
    task, work = base.tasks[task_id], pen.held.record.done[task_id]
    names = list(waiting_after_work(pen.study(), task_id))
    details = [name for name in task.details if name not in work.details]
    count = len(names) + len(details)
    if not count:
        return plan
    screen.say()
    screen.say(f"CARD: {task.title}. Done {work.on[:10] or 'on a day not noted'}; {count} to write down.")
    place = 0
    while place < count:
        head = f"Card, {place + 1} of {count}"
        if place < len(names):
            plan, step = _one_finding(pen, names[place], work.on, plan, head)
        else:
            plan, step = _one_detail(pen, task_id, details[place - len(names)], plan, head)
        place = max(0, place + step)
    screen.say()
    screen.say(f"Written down, dated {work.on or 'without a day'}:")
    for name in names:
        answer = pen.held.record.answers.get(name)
        said = in_words(base.questions[name], answer.value) if answer else "not looked yet"
        screen.say(f"{base.questions[name].ask} {said}", 2)
    for name, said in pen.held.record.done[task_id].details.items():
        screen.say(f"{spoken(name)}: {spoken(said)}", 2)
    return plan


def put_work_on_record(pen: Pen, plan: Plan) -> Plan:
    """Ask which of the work that may be done now is finished, and when; then a card for each."""
    screen = pen.screen
    may = [task for task in plan.tasks if task.allowed_now and task.state == "to_do"]
    if not may:
        screen.say("No work is open just now. The plan says what each piece waits for.", 2)
        return plan
    screen.say()
    screen.say("What has been done? Listed is what may be done as the plan stands.")
    reply = screen.tick([*(Option(task.id, task.title) for task in may), Option("", "nothing yet", "n")], (), ())
    if reply.kind != "value" or not reply.value:
        return plan
    on = _when(pen)

    def edit(text: RecordText) -> None:
        for name in reply.value:
            put_work(text, pen.held.record, name, Work(on, pen.by))

    plan = pen.write(edit, plan, tell=True)
    for name in reply.value:
        plan = fill_card(pen, name, plan)
    return plan


def _when(pen: Pen) -> str:
    from revive.engine.dates import is_date

    while True:
        reply = pen.screen.line("Done when? Enter for now, or a day such as 2026-11-21")
        typed = str(reply.value or "") if reply.kind == "value" else ""
        if not typed:
            return pen.now()
        if is_date(typed):
            return typed
        pen.screen.say(f"'{typed}' is not a date. Write year, month, day: 2026-11-21", 2)


def _one_finding(pen: Pen, name: str, on: str, plan: Plan, head: str) -> tuple[Plan, int]:
    """One question of a card: the plan after it, and how far to go on the card."""
    base = pen.held.base
    question, given = base.questions[name], pen.held.record.answers.get(name)
    outcome = ask_one(pen.screen, base, question, given, pen.day, head)
    if outcome.kind == "answer":
        after = pen.put(question, outcome.value, plan, on or pen.now())
        pen.revisit.clear()
        return (after, 1) if after else (plan, 0)
    if outcome.kind == "other":
        pen.screen.say("Change that answer with: revive ask, see or change an answer.", 2)
        return plan, 0
    return plan, -1 if outcome.kind == "back" else 1


def _one_detail(pen: Pen, task_id: str, name: str, plan: Plan, head: str) -> tuple[Plan, int]:
    kind = pen.held.base.tasks[task_id].details[name]
    pen.screen.say()
    pen.screen.say(head)
    pen.screen.say(f"Worth keeping: {spoken(name)}")
    reply = pen.screen.line(
        "A number, or Enter to leave it out" if kind == "number" else "Some words, or Enter to leave it out", free=True
    )
    if reply.kind == "back":
        return plan, -1
    if reply.kind != "value" or not reply.value:
        return plan, 1
    value: Any = str(reply.value)
    if kind == "number":
        from revive.model import ReviveError

        try:
            value = parse(value, "")
        except ReviveError:
            pen.screen.say(f"'{value}' is not a plain number. Leave the unit away.", 2)
            return plan, 0
    work = pen.held.record.done[task_id]
    rest = {"on": work.on, "by": work.by, "note": work.note, **work.details, name: value}
    entry = {key: said for key, said in rest.items() if said != ""}
    return pen.write(lambda text: text.put("done", task_id, entry), plan, tell=False), 1
