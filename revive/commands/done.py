"""Put finished work on record, show what it changes in the plan, and ask on a terminal what the work showed."""

import argparse
import sys

from revive.commands.changed import show_changes
from revive.commands.common import Held, hold_record, moment, plan_for, rule_base, today
from revive.model import ReviveError, RuleBase, Work
from revive.problems import nearest, quoted
from revive.record_edit import RecordText
from revive.recording import put_work


def run(arguments: argparse.Namespace) -> int:
    """Save all the work named or none of it; then a card for each on a terminal; 0 when done."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    before = plan_for(arguments, held)
    text, on = RecordText(held.data or b""), moment(arguments)
    for name in arguments.tasks:
        put_work(text, held.record, task_named(base, name), Work(on, arguments.by or "", arguments.note))
    held.write(text.as_bytes())
    show_changes(before, plan_for(arguments, held))
    if arguments.plain or (sys.stdin.isatty() and sys.stdout.isatty() and not arguments.no_card):
        return _cards(arguments, held)
    return 0


def _cards(arguments: argparse.Namespace, held: Held) -> int:
    from revive.commands.ask import screen_for
    from revive.wizard.answering import Pen
    from revive.wizard.cards import fill_card

    pen = Pen(screen_for(arguments), held, today(arguments), lambda: moment(arguments), arguments.by or "")
    plan = pen.plan()
    try:
        for name in arguments.tasks:
            plan = fill_card(pen, name, plan)
    except EOFError:
        print("\nStopped. What was answered so far is saved.", file=sys.stderr)
        return 130
    return 0


def task_named(base: RuleBase, name: str) -> str:
    """The id of a task; ReviveError names the nearest one where there is none."""
    if name not in base.tasks:
        close = nearest(name, base.tasks)
        raise ReviveError(
            f"no task is called {quoted(name)}\n    " + (f"Did you mean '{close}'?" if close else "See the plan.")
        )
    return name
