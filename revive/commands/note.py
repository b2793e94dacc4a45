"""Put findings on record and show what they change in the plan."""

import argparse

from revive.commands.changed import show_changes
from revive.commands.common import hold_record, moment, plan_for, rule_base
from revive.model import Answer, ReviveError
from revive.problems import quoted
from revive.record_edit import RecordText
from revive.recording import put_answer, question_named, typed_value


def run(arguments: argparse.Namespace) -> int:
    """Save every finding or none; 0 when done."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    before = plan_for(arguments, held)
    text, on = RecordText(held.data or b""), moment(arguments)
    for pair in arguments.pairs:
        name, equals, value = pair.partition("=")
        if not equals:
            raise ReviveError(f"{quoted(pair)} has no '='\n    Write: question=value, for example oil_look=milky")
        question = question_named(base, name.strip())
        how = arguments.how or ("told" if question.stage == 1 else "seen")
        answer = Answer(
            typed_value(question, value),
            on,
            arguments.by or "",
            "" if how in ("told", "seen") and not arguments.how else how,
        )
        put_answer(text, held.record, question.id, answer)
    held.write(text.as_bytes())
    show_changes(before, plan_for(arguments, held))
    return 0
