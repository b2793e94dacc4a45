"""`revive rules show ID`: one entry of the rule base as a page of plain words, with its source and who uses it."""

import argparse
import textwrap
from pathlib import Path

from revive.commands.common import rule_base, today
from revive.describing import describe, kinds_of
from revive.model import ReviveError, RuleBase
from revive.problems import nearest, quoted

WIDTH = 100


def run(arguments: argparse.Namespace) -> int:
    """Print the page of every entry with this id; ReviveError where there is none."""
    base = rule_base(arguments)
    name = arguments.name
    kinds = kinds_of(base, name)
    if not kinds:
        close = nearest(
            name, [*base.rules, *base.tasks, *base.questions, *base.gates, *base.stops, *base.limits, *base.facts]
        )
        raise ReviveError(
            f"nothing in the rule base is called {quoted(name)}\n    "
            + (f"Did you mean '{close}'?" if close else "Name a rule, task, question, gate, stop, limit or fact.")
        )
    pages = []
    for kind in kinds:
        lines = describe(base, kind, name)
        if kind == "rule":
            lines += sample_lines(base, name, samples_folder(arguments), today(arguments))
        pages.append("\n".join(folded(lines)))
    print("\n\n".join(pages))
    return 0


def samples_folder(arguments: argparse.Namespace) -> Path:
    """Where records are looked for: --samples, or the folder samples beside the rules in use."""
    from revive.loading import default_rules_folder

    if arguments.samples:
        return Path(arguments.samples)
    return Path(arguments.rules or default_rules_folder()).resolve().parent / "samples"


def sample_lines(base: RuleBase, rule: str, folder: Path, day: str) -> list[str]:
    """Which records make the rule fire."""
    from revive.readers import firing_records

    if not folder.is_dir():
        return ["Samples that fire it: there is no folder of samples here; name one with --samples."]
    fired, read = firing_records(base, base.rules[rule], folder, day)
    if not fired:
        return [f"Samples that fire it: none of {read}"]
    return [f"Samples that fire it, of {read}:", *(f"  {name} ({state})" for name, state in fired)]


def folded(lines: list[str]) -> list[str]:
    """The lines folded to WIDTH; a folded line goes on two spaces further in."""
    made = []
    for line in lines:
        indent = " " * (len(line) - len(line.lstrip()))
        wrapped = textwrap.wrap(
            line.strip(),
            WIDTH,
            initial_indent=indent,
            subsequent_indent=indent + "  ",
            break_long_words=False,
            break_on_hyphens=False,
        )
        made += wrapped or [""]
    return made
