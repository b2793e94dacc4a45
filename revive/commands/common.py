"""What the commands share: the rule base in use, the day, a record in hand, saving it.

Imports wait until they are needed, so that the first question is on the screen at once.
"""

import argparse
import os
from typing import TYPE_CHECKING

from revive import __version__
from revive.model import Record, ReviveError, RuleBase

if TYPE_CHECKING:
    from revive.plan import Plan


def rule_base(arguments: argparse.Namespace) -> RuleBase:
    """The rule base that the arguments name; ReviveError with every problem where it cannot be used."""
    from revive.loading import default_rules_folder, load_rules

    base, problems = load_rules(
        _tidy(arguments.rules) if arguments.rules else default_rules_folder(), [*map(_tidy, arguments.extra)]
    )
    if base is None:
        from revive.problems import summary

        files = len({problem.file for problem in problems})
        raise ReviveError("\n".join([*map(str, problems), summary(problems, files)]))
    return base


def today(arguments: argparse.Namespace) -> str:
    """The day of the plan as ISO text: --today, or the machine's date."""
    if arguments.today:
        from revive.engine.dates import is_date
        from revive.problems import quoted

        if not is_date(arguments.today) or len(arguments.today) > 10:
            raise ReviveError(f"--today is {quoted(arguments.today)}; a date such as 2026-11-25 was expected")
        return str(arguments.today)
    from time import strftime  # lighter than the calendar of the standard library

    return strftime("%Y-%m-%d")


def moment(arguments: argparse.Namespace) -> str:
    """When something was seen or done: --on, or now to the second."""
    given = getattr(arguments, "on", None)
    if given:
        from revive.engine.dates import is_date
        from revive.problems import quoted

        if not is_date(given):
            raise ReviveError(f"--on is {quoted(given)}; a date such as 2026-11-21 or 2026-11-21T10:40 was expected")
        return str(given)
    from datetime import datetime

    now = datetime.now().replace(microsecond=0).isoformat()
    return f"{arguments.today}{now[10:]}" if arguments.today else now


class Held:
    """A record in hand. data: the bytes as read or last saved, None where there is no file yet."""

    def __init__(self, path: str, base: RuleBase, data: bytes | None, record: Record) -> None:
        self.path, self.base, self.data, self.record = path, base, data, record

    def write(self, new: bytes) -> None:
        """Check the new bytes, save them and hold the record they make."""
        from revive.record import parse_record
        from revive.record_save import save

        record = parse_record(new, self.path, self.base)
        save(self.path, new, self.data)
        self.data, self.record = new, record


def hold_record(arguments: argparse.Namespace, base: RuleBase, new_allowed: bool = False) -> Held:
    """Read the record that the arguments name."""
    path = _tidy(arguments.record)
    if new_allowed and _is_missing(path):
        return Held(path, base, None, Record())
    from revive.record_file import read_bytes

    data = read_bytes(path)
    if new_allowed and not data.strip():
        return Held(path, base, data, Record())
    from revive.loading import kept_record

    record = kept_record.load(data, base.digest)
    if record is None:
        from revive.record import parse_record

        record = parse_record(data, path, base)
        kept_record.store(data, base.digest, record)
    return Held(path, base, data, record)


def _is_missing(path: str) -> bool:
    """Whether there is certainly no such file; what may not be looked at is read, and the reading says why it cannot."""
    try:
        os.stat(path)
    except FileNotFoundError:
        return True
    except (OSError, ValueError):
        return False
    return False


def _tidy(path: str) -> str:
    """The path without needless dots and strokes, as it is shown."""
    parts = path.split("/")
    if os.name != "nt" and parts[0] != "." and not {"", "."} & set(parts[1:]):
        return path
    from pathlib import Path

    return str(Path(path))


def plan_for(arguments: argparse.Namespace, held: Held) -> "Plan":
    """The plan for a record in hand."""
    from revive.engine.planner import make_plan

    return make_plan(held.base, held.record, today(arguments), __version__)
