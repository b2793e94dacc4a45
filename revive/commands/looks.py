"""Rank what is not known yet by what it decides for the least effort."""

import argparse
from collections.abc import Iterator, Mapping, Sequence
from textwrap import fill
from typing import Any

from revive.commands.common import hold_record, rule_base, today
from revive.commands.output import give_out
from revive.engine.worth import Look, rank_looks, worth_data
from revive.engine.worth_days import HOURS_PER_DAY, with_days
from revive.json_text import json_text
from revive.model import RuleBase
from revive.render.measures import NOTE, in_prose
from revive.render.terminal import columns
from revive.text import hours_words, inert, span

WITH_DAYS = 5
"""For so many looks the days are reckoned too, unless all are wanted: each answer's work is laid out over days anew."""
SHOWN, SHOWN_LATER = 12, 5


def run(arguments: argparse.Namespace) -> int:
    """Print the ranking; 0 when done."""
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    looks = rank_looks(base, held.record, today(arguments))
    with_them = len(looks) if arguments.all else WITH_DAYS
    looks[:with_them] = with_days(base, held.record, today(arguments), looks[:with_them])
    if arguments.form == "json":
        give_out(json_text([look_data(look) for look in looks]) + "\n", "json", None, arguments.record)
        return 0
    text = ranking(base, looks, arguments.all, arguments.units, columns())
    give_out(text, "terminal", None, arguments.record)
    return 0


def ranking(
    base: RuleBase, looks: Sequence[Look], everything: bool = False, units: str = "metric", width: int = 80
) -> str:
    """The ranking as text. everything: every look, not only the first ones. units: of figures in the questions."""
    now = [look for look in looks if look.allowed_now]
    later = [look for look in looks if not look.allowed_now]
    most = len(now) if everything else SHOWN
    head = f"{len(looks)} unknowns still decide something. Most telling first, for the least effort."
    said = [head, *_about(looks), "", *_lines(base, now[:most], first=1)]
    if len(now) > most:
        said += ["", f"and {len(now) - most} more (--all shows them)"]
    if later:
        said += ["", "Not before the gates on the way are open:"]
        said += _lines(base, later if everything else later[:SHOWN_LATER], first=len(now) + 1)
    shown = [in_prose(text, units) for text in said]
    shown += ["", NOTE] if shown != said else []
    return "\n".join([*(_wrapped(row, width) for row in shown), ""])


def _wrapped(row: str, width: int) -> str:
    hanging = " " * 5 if row.startswith(" ") else ""
    return fill(row, width, subsequent_indent=hanging, break_long_words=False, break_on_hyphens=False)


def _about(looks: Sequence[Look]) -> list[str]:
    reckoned = sum(look.days_between is not None for look in looks)
    which = f", reckoned for the first {reckoned} (--all: for every one)" if reckoned < len(looks) else ""
    words = f"Days are those of the whole plan, one person {HOURS_PER_DAY} hours a day{which}."
    return [words] if reckoned else []


def _lines(base: RuleBase, looks: Sequence[Look], first: int) -> Iterator[str]:
    for number, look in enumerate(looks, start=first):
        yield f"{number:3}. {inert(base.questions[look.question].ask)} ({look.question})"
        if look.together_with:
            yield f"     only together with: {inert(base.questions[look.together_with].ask)} ({look.together_with})"
        yield f"     {worth_words(look)}"


def worth_words(look: Look) -> str:
    """The worth of a look in one line: effort, and the hours, parts, days, gates and stops that it decides."""
    who = "" if look.who == "owner" else f", {look.who.replace('_', ' ')}"
    said = [f"{span(look.minutes)}{who}: decides {hours_words(look.hours_least, look.hours_most)}"]
    least, most = look.parts_between
    if most:
        said.append(f"{'up to ' if not least else '' if least == most else f'{least} to '}{most} kinds of parts")
    if look.days_between:
        least, most = look.days_between
        said.append(f"a plan of {least} to {most} days" if least < most else "no day more or less")
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
                "also": list(one.also) if isinstance(one.also, tuple) else one.also,
                "hours": one.hours,
                "days": one.days,
                "parts": list(one.parts),
                "tasks": list(one.tasks),
                "gates": list(one.gates),
                "stops": list(one.stops),
            }
            for one in look.outcomes
        ],
    }
