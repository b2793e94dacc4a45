"""Print the plan for a record. Asks nothing and changes nothing."""

import argparse
import sys

from revive.commands.common import hold_record, plan_for, rule_base


def run(arguments: argparse.Namespace) -> int:
    """Show the plan as asked; 0 when done."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    plan = plan_for(arguments, held)
    if arguments.form == "json":
        from revive.render.data import plan_json

        text = plan_json(plan)
    elif arguments.form == "markdown":
        from revive.render.markdown import plan_markdown

        text = plan_markdown(plan, base, reader=reader_of(arguments, held.record.answers), full=arguments.full)
    else:
        from revive.render.terminal import plan_terminal

        text = plan_terminal(plan, base, reader=reader_of(arguments, held.record.answers), full=arguments.full)
    if arguments.out:
        from revive.commands.output import write_text

        write_text(arguments.out, text)
    else:
        sys.stdout.write(text)
    return 0


def reader_of(arguments: argparse.Namespace, answers: object) -> str:
    """Who reads: as asked for, else who the record says, else the owner."""
    if arguments.reader:
        return str(arguments.reader)
    role = answers.get("user_role") if isinstance(answers, dict) else None
    return role.value if role and role.value in ("owner", "seller", "club_officer") else "owner"
