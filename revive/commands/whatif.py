"""Show what answers would change in the plan, without writing anything."""

import argparse

from revive import __version__
from revive.commands.changed import show_changes
from revive.commands.common import hold_record, moment, plan_for, rule_base, today
from revive.engine.planner import make_plan
from revive.frozen import replace
from revive.model import Answer, ReviveError
from revive.problems import quoted
from revive.recording import question_named, typed_value


def run(arguments: argparse.Namespace) -> int:
    """Print what would be new, gone, opened and shut; 0 when done."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    before = plan_for(arguments, held)
    answers = dict(held.record.answers)
    for pair in arguments.pairs:
        name, equals, value = pair.partition("=")
        if not equals:
            raise ReviveError(f"{quoted(pair)} has no '='\n    Write: question=value, for example oil_look=milky")
        question = question_named(base, name.strip())
        answers[question.id] = Answer(typed_value(question, value), moment(arguments))
    record = replace(held.record, answers=answers)
    show_changes(before, make_plan(base, record, today(arguments), __version__))
    return 0
