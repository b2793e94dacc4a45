"""Rank what is not known yet by what it decides for the least effort."""

import argparse
import json
import sys
from collections.abc import Mapping, Sequence
from typing import Any

from revive.commands.common import hold_record, rule_base, today
from revive.engine.worth import Look, rank_looks, worth_data
from revive.model import RuleBase
from revive.text import hours_words, inert, span


def run(arguments: argparse.Namespace) -> int:
    """Print the ranking; 0 when done."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    looks = rank_looks(base, held.record, today(arguments))
    if arguments.form == "json":
        sys.stdout.write(json.dumps([look_data(look) for look in looks], ensure_ascii=False, indent=2) + "\n")
        return 0
    now = [look for look in looks if look.allowed_now]
    later = [look for look in looks if not look.allowed_now]
    most = len(now) if arguments.all else 12
    print(f"{len(looks)} unknowns still decide something. Most telling first, for the least effort:\n")
    _print(base, now[:most], first=1)
    if len(now) > most:
        print(f"\nand {len(now) - most} more (--all shows them)")
    if later:
        print("\nNot before the gates on the way are open:")
        _print(base, later if arguments.all else later[:5], first=len(now) + 1)
    return 0


def _print(base: RuleBase, looks: Sequence[Look], first: int) -> None:
    for number, look in enumerate(looks, start=first):
        print(f"{number:3}. {inert(base.questions[look.question].ask)} ({look.question})")
        if look.together_with:
            print(f"     only together with: {inert(base.questions[look.together_with].ask)} ({look.together_with})")
        print(f"     {worth_words(look)}")


def worth_words(look: Look) -> str:
    """The worth of a look in one line: effort, hours, gates and stops that it decides."""
    who = "" if look.who == "owner" else f", {look.who.replace('_', ' ')}"
    said = [f"{span(look.minutes)}{who}: decides {hours_words(look.hours_least, look.hours_most)}"]
    if look.gates:
        said.append(f"gates {', '.join(look.gates)}")
    if look.stops:
        said.append(f"stops {', '.join(look.stops)}")
    return "; ".join(said)


def look_data(look: Look) -> Mapping[str, Any]:
    """One look as plain values for JSON."""
    return {
        "question": look.question,
        "together_with": look.together_with or None,
        "settled_by": look.task or None,
        "minutes": look.minutes,
        "who": look.who,
        "allowed_now": look.allowed_now,
        "worth": worth_data(look),
        "answers": [
            {
                "value": list(one.value) if isinstance(one.value, tuple) else one.value,
                "hours": one.hours,
                "tasks": list(one.tasks),
                "gates": list(one.gates),
                "stops": list(one.stops),
            }
            for one in look.outcomes
        ],
    }
