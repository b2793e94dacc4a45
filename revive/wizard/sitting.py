"""One sitting with a record: work done since, then the questions, then any answer to change. Hands back the plan."""

from revive.plan import Plan
from revive.wizard.answering import Pen
from revive.wizard.asking import Outcome
from revive.wizard.cards import cards_due, fill_card, put_work_on_record
from revive.wizard.dialogue import Interview
from revive.wizard.screen import Option


def sit_down(pen: Pen, early: tuple[str, Outcome] | None = None) -> Plan:
    """Ask what there is to ask; the plan as it stands when the reader has enough. early: a question asked before.

    What is on record was said before, so that it need not wait for the plan.
    """
    plan, interview = pen.plan(), Interview(pen, early=early)
    record = pen.held.record
    if not record.answers and not record.done:
        return interview.run(plan)
    pen.screen.say(plan.verdict.sentence)
    plan = _cards(pen, plan)
    while True:
        wanted = _menu(pen, plan)
        if wanted == "work":
            plan = put_work_on_record(pen, plan)
        elif wanted == "change":
            plan = interview.revise(plan)
        elif wanted == "on":
            return interview.run(plan)
        else:
            return plan


def _cards(pen: Pen, plan: Plan) -> Plan:
    """Offer the cards of work whose findings are not on record."""
    due = cards_due(pen)
    if not due:
        return plan
    tasks = pen.held.base.tasks
    pen.screen.say()
    pen.screen.say("Work is on record, but not what it showed:")
    for task, names in list(due.items())[:6]:
        pen.screen.say(f"{tasks[task].title}: {len(names)} to write down", 2)
    if len(due) > 6:
        pen.screen.say(f"and {len(due) - 6} more", 2)
    reply = pen.screen.choose([Option("now", "write it down now"), Option("later", "another time")])
    if reply.kind == "value" and reply.value == "now":
        for task in due:
            plan = fill_card(pen, task, plan)
    return plan


def _menu(pen: Pen, plan: Plan) -> str:
    following = pen.held.base.questions[plan.to_ask[0]] if plan.to_ask else None
    options = [Option("on", f"go on with the questions, next: {following.ask}")] if following else []
    options += [
        Option("work", "put finished work on record"),
        Option("change", "see or change an answer"),
        Option("print", "print the plan and stop"),
    ]
    if not following:
        pen.screen.say("No question is open that could change the plan as it stands.")
    while True:
        pen.screen.say()
        reply = pen.screen.choose(options)
        if reply.kind == "value":
            return str(reply.value)
        if reply.kind == "back":
            return "print"
        pen.screen.say("Everything is saved as it is given. Ctrl-C stops at any time.", 2)
