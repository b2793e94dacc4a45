"""Ask the questions that matter, one at a time, and end with the plan. Saves after each answer."""

import argparse
import os
import sys

from revive.commands.common import hold_record, moment, rule_base, today
from revive.model import ReviveError, RuleBase
from revive.problems import one_line
from revive.wizard.asking import Outcome, ask_one
from revive.wizard.saying import FIRST_HEAD, say_question, say_record, say_stage
from revive.wizard.screen import Screen

NO_TERMINAL = """revive ask needs a terminal to ask on, and there is none here.
    Put answers on record with:   revive note RECORD question=value
    Put finished work on record:  revive done RECORD task
    Print the plan with:          revive plan RECORD
    Or pipe the answers, one a line:  revive ask --plain RECORD"""


def run(arguments: argparse.Namespace) -> int:
    """Ask until the reader has enough; 0 when done, 2 where there is nobody to ask."""
    if not arguments.plain and not (sys.stdin.isatty() and sys.stdout.isatty()):
        print(NO_TERMINAL, file=sys.stderr)
        return 2
    base = rule_base(arguments)
    held = hold_record(arguments, base, new_allowed=True)
    folder = os.path.dirname(os.path.realpath(held.path))
    if not os.path.isdir(folder):
        raise ReviveError(
            f"{one_line(held.path)}: there is no folder {one_line(folder)}.\n    Make it first, or name another place."
        )
    screen = screen_for(arguments)
    try:
        say_record(screen, held.record)
        early = None if held.data else ask_first(screen, base, today(arguments))
        from revive.wizard.answering import Pen
        from revive.wizard.sitting import sit_down

        pen = Pen(screen, held, today(arguments), lambda: moment(arguments), arguments.by or "")
        plan = sit_down(pen, early)
    except EOFError:
        print(f"\nStopped. The answers given so far are saved in {one_line(held.path)}.", file=sys.stderr)
        return 130
    from revive.render.terminal import plan_terminal

    role = held.record.answers.get("user_role")
    reader = str(role.value) if role and role.value in ("owner", "seller", "club_officer") else "owner"
    sys.stdout.write("\n" + plan_terminal(plan, base, reader=reader, full=False))
    screen.say()
    screen.say(plan.verdict.sentence)
    following = next((task.title for task in plan.tasks if task.allowed_now and task.state == "to_do"), "")
    if following:
        screen.say(f"Next: {following}")
    screen.say(f"The plan again: revive plan {held.path}   Go on asking: revive ask {held.path}")
    return 0


def ask_first(screen: Screen, base: RuleBase, day: str) -> tuple[str, Outcome]:
    """Ask the first question of a new record before the engine is needed; its id and what became of it."""
    firsts = sorted((question for question in base.questions.values() if question.first), key=lambda q: q.first)
    first, stage = firsts[0], base.stages[firsts[0].stage]
    screen.say("Every answer is saved as it is given. Ctrl-C stops at any time; nothing is lost.")
    say_stage(screen, stage)
    say_question(screen, first, FIRST_HEAD.format(stage=stage.number, stages=len(base.stages), left=len(firsts)))
    return first.id, ask_one(screen, base, first, None, day, "")


def screen_for(arguments: argparse.Namespace) -> Screen:
    """Keys, or lines where that was asked for or the terminal can do no more."""
    if (
        getattr(arguments, "plain", False)
        or os.environ.get("TERM", "") in ("dumb", "unknown")
        or not sys.stdin.isatty()
    ):
        from revive.wizard.plain_prompts import PlainScreen

        return PlainScreen()
    from revive.prompts import KeyScreen

    return KeyScreen()
