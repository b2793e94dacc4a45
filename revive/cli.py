"""Arguments in, exit code out. Each command's work is in revive/commands; its imports wait until it is called."""

import argparse
import os
import sys
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, TypeAlias

from revive import __version__
from revive.model import ReviveError

if TYPE_CHECKING:
    from _typeshed import SupportsWrite

Commands: TypeAlias = "argparse._SubParsersAction[_Parser]"
DONE, TO_MEND, WRONG_ARGUMENTS, OUR_BUG, INTERRUPTED = 0, 1, 2, 3, 130
CLOSED = """Standard output is closed, and what was to be printed is lost.
    What was to be saved is saved. Open it, then print again."""


def main(argv: Sequence[str]) -> int:
    """Run one command and return its exit code: 0 done, 1 to mend, 2 wrong arguments, 3 our bug, 130 interrupted."""
    from revive import streams

    streams.steady()
    try:
        code = _run(argv)
        sys.stdout.flush()
        if code == DONE and streams.output_lost():
            streams.complain(CLOSED)
            return TO_MEND
        return code
    except ReviveError as error:
        streams.complain(str(error))
        return TO_MEND
    except KeyboardInterrupt:
        streams.complain("\nStopped. The answers given so far are saved.")
        return INTERRUPTED
    except BrokenPipeError:
        streams.drop_output()
        return DONE
    except (OSError, MemoryError) as error:
        streams.drop_output()
        streams.complain(_trouble(error))
        return TO_MEND
    except Exception:  # the last resort: whatever gets here is our bug, and the user is told so
        from revive.commands.bug import report_bug

        return report_bug(argv)


def _run(argv: Sequence[str]) -> int:
    import importlib

    parser = _parser(argv)
    try:
        arguments = parser.parse_args(argv)
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else WRONG_ARGUMENTS
    if not hasattr(arguments, "module"):
        _parser(()).print_help()
        return DONE
    module = importlib.import_module(f"revive.commands.{arguments.module}")
    return int(module.run(arguments))


def _trouble(error: OSError | MemoryError) -> str:
    """What the machine could not do, and what helps."""
    if isinstance(error, MemoryError):
        return "There is not enough memory for this.\n    End other programs, or take a smaller file."
    if error.filename is None:
        return f"The output cannot be written ({error.strerror or error}).\n    Look at the disk, or print to another place."
    return f"{error.filename}: {error.strerror or error}\n    Check the name, the disk and the permissions."


class _Parser(argparse.ArgumentParser):
    """Says back what was typed as nothing but words."""

    def __init__(self, **given: Any) -> None:
        super().__init__(formatter_class=_help, **given)
        self.color = False  # since Python 3.14 help is coloured, and what is left of colours would be printed

    def _print_message(self, message: str, file: "SupportsWrite[str] | None" = None) -> None:
        from revive.text import inert

        super()._print_message(inert(message), file)


def _help(prog: str) -> argparse.HelpFormatter:
    """As wide as the terminal, which argparse itself would ask for every argument anew, and by a heavier way."""
    return argparse.HelpFormatter(prog, width=_columns() - 2)


def _columns() -> int:
    """Of the terminal, or what COLUMNS says."""
    told = os.environ.get("COLUMNS", "")
    if told.isdecimal() and int(told):
        return int(told)
    try:
        return os.get_terminal_size(1).columns or 80
    except (OSError, ValueError):
        return 80


def _parser(argv: Sequence[str]) -> "_Parser":
    """The parser for these arguments: of the command that they name, or of every command where they name none."""
    parser = _Parser(
        prog="revive",
        description="Advice on bringing a motorcycle back to service after long storage.",
        epilog="Begin with: revive ask my-machine.yaml",
    )
    parser.add_argument("--version", action="version", version=f"revive {__version__}")
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", prog="revive")
    named = argv[0] if argv and argv[0] in COMMANDS else ""
    for add in [COMMANDS[named]] if named else COMMANDS.values():
        add(commands)
    return parser


def _plan(commands: "Commands") -> None:
    plan = _command(commands, "plan", "plan", "print the plan; no questions asked")
    plan.add_argument("--as", dest="form", choices=("terminal", "markdown", "html", "json"), default="terminal")
    _units(plan)
    plan.add_argument("--for", dest="reader", choices=("owner", "seller", "club_officer"))
    plan.add_argument("--full", action="store_true", help="every card, reason, part and source, not only the next")
    plan.add_argument(
        "--card", action="append", default=[], metavar="TASK", help="only this card, whole; may be repeated"
    )
    plan.add_argument("--out", metavar="FILE", help="write to a file instead of the screen")
    _days(plan)


def _ask(commands: "Commands") -> None:
    ask = _command(commands, "ask", "ask", "ask the questions that matter, one at a time; saves after each answer")
    ask.add_argument("--by", metavar="NAME", help="who answers")
    ask.add_argument("--plain", action="store_true", help="numbered lines instead of keys, also by pipe")


def _prime(commands: "Commands") -> None:
    prime = _command(commands, "prime", "prime", "stand by while oilways are primed: count bursts and rests, log them")
    prime.add_argument("--by", metavar="NAME", help="who stands by")
    prime.add_argument("--plain", action="store_true", help="numbered lines instead of keys")


def _note(commands: "Commands") -> None:
    note = _command(commands, "note", "note", "put findings on record and show what changed")
    note.add_argument("pairs", nargs="+", metavar="question=value")
    note.add_argument("--on", metavar="DATE", help="when it was seen; now if left out")
    note.add_argument("--by", metavar="NAME")
    note.add_argument("--how", choices=("told", "papers", "seen", "measured"))


def _done(commands: "Commands") -> None:
    done = _command(commands, "done", "done", "put finished work on record and show what changed")
    done.add_argument("tasks", nargs="+", metavar="task")
    done.add_argument("--on", metavar="DATE", help="when it was done; now if left out")
    done.add_argument("--by", metavar="NAME")
    done.add_argument("--note", default="", metavar="TEXT")
    done.add_argument("--no-card", action="store_true", help="do not ask what the work showed")
    done.add_argument("--plain", action="store_true", help="ask what the work showed by numbered lines, also by pipe")


def _why(commands: "Commands") -> None:
    why = _command(commands, "why", "why", "the reasons behind a task, gate, stop, rule or question")
    why.add_argument("name", metavar="NAME")


def _whatif(commands: "Commands") -> None:
    whatif = _command(commands, "whatif", "whatif", "show what answers would change, without writing anything")
    whatif.add_argument("pairs", nargs="+", metavar="question=value")


def _looks(commands: "Commands") -> None:
    looks = _command(commands, "looks", "looks", "rank the unknowns by what a look at each would decide")
    looks.add_argument("--as", dest="form", choices=("terminal", "json"), default="terminal")
    looks.add_argument("--all", action="store_true", help="show every one, with its days")
    _units(looks)


def _reckon(commands: "Commands") -> None:
    reckon = commands.add_parser(
        "reckon", help="any figure on its own, with method and source; lists them without a name"
    )
    reckon.add_argument("figure", nargs="?", metavar="FIGURE")
    reckon.add_argument("pairs", nargs="*", metavar="name=value")
    reckon.add_argument("--as", dest="form", choices=("terminal", "json"), default="terminal")
    reckon.add_argument("--today", metavar="DATE", help="reckon as of this day")
    reckon.set_defaults(module="reckon")


def _rules(commands: "Commands") -> None:
    rules = commands.add_parser("rules", help="for people who edit the rule base").add_subparsers(metavar="ACTION")
    check = rules.add_parser("check", help="report every problem in the rule base")
    check.add_argument("folder", nargs="?", metavar="DIR", help="a rule base; the one in use if left out")
    check.add_argument("--as", dest="form", choices=("text", "json", "annotations"), default="text")
    _shared(check, "rules_check")
    _rules_parsers(rules)


def _listing(commands: "Commands") -> None:
    sale = _command(commands, "listing", "listing", "a sale description that says no more than the record proves")
    sale.add_argument("--as", dest="form", choices=("text", "markdown", "html"), default="text")
    sale.add_argument("--out", metavar="FILE", help="write to a file instead of the screen")
    _units(sale)


def _lists(commands: "Commands") -> None:
    lists = _command(
        commands, "lists", "lists", "what to buy, what to ask a workshop in writing, what waste to hand in"
    )
    lists.add_argument("--as", dest="form", choices=("terminal", "markdown", "html", "json", "csv"), default="terminal")
    lists.add_argument("--only", choices=("shopping", "workshop", "waste"), help="one of the three lists")
    lists.add_argument("--out", metavar="FILE", help="write to a file instead of the screen")
    _units(lists)
    _days(lists)


def _club(commands: "Commands") -> None:
    club = commands.add_parser(
        "club",
        help="every record in a folder: plans, one overview, one order list",
        description="A plan for every record in a folder, one overview and one order list. Runs again only what changed.",
    )
    club.add_argument("folder", metavar="FOLDER", help="holds one record (.yaml or .yml) for each machine")
    club.add_argument("--out", metavar="DIR", help="where to write; FOLDER/club-sheets if left out")
    club.add_argument("--as", dest="form", choices=("html", "csv", "both"), default="both")
    _units(club)
    _shared(club, "club")


def _rules_parsers(rules: "Commands") -> None:
    show = rules.add_parser("show", help="one rule, task, question, gate, stop, limit or fact in plain words")
    show.add_argument("name", metavar="ID")
    show.add_argument("--samples", metavar="DIR", help="look here for records that make a rule fire")
    _shared(show, "rules_show")

    new = rules.add_parser("new", help="write a complete skeleton of a rule, question or task, to be filled in")
    new.add_argument("kind", choices=("rule", "question", "task"))
    new.add_argument("id", metavar="ID", help="its name: small letters, words joined by - or _")
    new.add_argument(
        "subject", metavar="SUBJECT", help="rule: SYSTEM/SUBJECT; task: SUBJECT; question: the stage, 1 to 5"
    )
    new.add_argument("--in", dest="folder", metavar="DIR", required=True, help="the rules folder to write into")
    _shared(new, "rules_new")

    schema = rules.add_parser("schema", help="write JSON Schemas for editors that check rule files and records")
    schema.add_argument("folder", nargs="?", metavar="DIR", help="where to write them; lists them if left out")
    schema.add_argument("--club", action="store_true", help="for a club's own folder that is laid over the rules")
    _shared(schema, "rules_schema")


def _command(commands: "Commands", name: str, module: str, text: str) -> argparse.ArgumentParser:
    parser = commands.add_parser(name, help=text, description=f"{text[0].upper()}{text[1:]}.")
    parser.add_argument("record", metavar="RECORD", help="the machine's record, a YAML file")
    _shared(parser, module)
    return parser


def _days(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--hours-per-day", default="4", metavar="H", help="hours of work a day: 4, or by weekday: 3,sat=6"
    )
    parser.add_argument("--start", metavar="DATE", help="first day of work; the day of the plan if left out")
    parser.add_argument("--people", type=int, choices=(1, 2), default=1, help="how many work on it")


def _units(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--units", choices=("metric", "imperial"), default="metric", help="measures as shown; the record stays metric"
    )


def _shared(parser: argparse.ArgumentParser, module: str) -> None:
    parser.add_argument("--rules", metavar="DIR", help="read another rule base")
    parser.add_argument("--extra", metavar="DIR", action="append", default=[], help="lay a club's own rules over it")
    parser.add_argument("--today", metavar="DATE", help="make the plan as of this day")
    parser.set_defaults(module=module)


COMMANDS: "dict[str, Callable[[Commands], None]]" = {
    "plan": _plan,
    "ask": _ask,
    "prime": _prime,
    "note": _note,
    "done": _done,
    "why": _why,
    "whatif": _whatif,
    "looks": _looks,
    "listing": _listing,
    "lists": _lists,
    "club": _club,
    "reckon": _reckon,
    "rules": _rules,
}
"""Every command, in the order of the help. Only the parser of the one that is called is made."""
