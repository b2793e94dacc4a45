"""Make one machine's sheets for a club, here or in helper processes. Touches no record and no file but its own sheets."""

import argparse
import os
import signal
import sys
from collections import deque
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from revive import __version__
from revive.club_files import SHEETS, label_of, remove_sheets, sheet_name, shown, write_whole
from revive.model import Record, ReviveError, RuleBase

if TYPE_CHECKING:
    from concurrent.futures import Future, ProcessPoolExecutor

    from revive.plan import Plan

Made = tuple[dict[str, Any], dict[str, int]]
"""A machine's row, and its sheets with their sizes in bytes."""
HELPERS_FROM = 40
"""So many records are worth the start of helper processes."""
MOST_HELPERS, AHEAD = 8, 4


class Maker:
    """Makes the sheets of one machine after another. html: whether sheets are written, or rows only."""

    def __init__(self, base: RuleBase, day: str, html: bool, units: str, folder: Path, out: Path) -> None:
        self.base, self.day, self.html, self.units, self.folder, self.out = base, day, html, units, folder, out

    def key(self, data: bytes) -> str:
        """What the sheets of a record hang on: its bytes, the rules, the program, the day and the reader's units."""
        parts = (sha256(data).hexdigest(), self.base.digest, __version__, self.day, str(self.html), self.units)
        return sha256("\n".join(parts).encode()).hexdigest()

    def make(self, name: str, data: bytes) -> Made:
        """The row and the sheets of one record; a record that cannot be used gives a row with its problems."""
        from revive.record import parse_record

        try:
            return self._plan(name, parse_record(data, shown(name), self.base))
        except ReviveError as error:
            return self.broken(name, error), {}
        except OSError:
            raise
        except Exception as error:  # one record must not stop the rest; the plan command reports the fault in full
            kind = type(error).__name__
            return self.broken(
                name,
                ReviveError(f"{shown(name)}: the program failed on it ({kind}); send us what revive plan says of it"),
            ), {}

    def broken(self, name: str, error: ReviveError) -> dict[str, Any]:
        """The row of a record to mend; an old plan of it must not pass for a new one and is taken away."""
        remove_sheets(self.out, name)
        text = str(error).replace(f"{self.folder}/", "").replace("\n    ", " ")
        problems = [" ".join(part.split()) for part in text.split("\n") if part.strip()]
        return {"label": label_of(name), "problems": problems}

    def _plan(self, name: str, record: Record) -> Made:
        from revive.engine.club import machine_row
        from revive.engine.planner import make_plan

        plan = make_plan(self.base, record, self.day, __version__)
        sheet = sheet_name(name)
        row = {
            "label": label_of(name),
            "problems": [],
            "sheet": f"{SHEETS}/{sheet}.html" if self.html else "",
            **machine_row(self.base, record, plan),
        }
        return row, self._sheets(sheet, plan, record, row) if self.html else {}

    def _sheets(self, sheet: str, plan: "Plan", record: Record, row: dict[str, Any]) -> dict[str, int]:
        from revive.render.club_sheet import club_page
        from revive.render.markdown import pages_markdown
        from revive.render.measures import in_units
        from revive.render.page import pages_html
        from revive.render.pages import arrange

        first, *rest = arrange(plan, self.base, "club_officer")
        pages = in_units((first, club_page(plan, self.base, row, row["label"]), *rest), self.units, plan.machine)
        texts = {
            f"{sheet}.html": pages_html(pages, plan, self.base, record, self.units),
            f"{sheet}.md": pages_markdown(pages),
        }
        return {name: write_whole(self.out / SHEETS / name, text) for name, text in texts.items()}


class Helpers:
    """Makes machines in the order in which they were asked for, a few ahead of it in helper processes.

    Use with `with`. ask() takes a record or something made already; ready() gives what may be taken in now.
    """

    def __init__(self, maker: Maker, arguments: argparse.Namespace, records: int) -> None:
        count = min(os.cpu_count() or 1, MOST_HELPERS) if records >= HELPERS_FROM else 1
        self.maker, self.arguments, self.count = maker, arguments, count
        self.most = count * AHEAD
        self.waiting: deque[tuple[Any, Made | Future[Made]]] = deque()
        self.pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> "Helpers":
        return self

    def __exit__(self, *_: object) -> None:
        if self.pool is not None:
            self.pool.shutdown(cancel_futures=True)

    def ask(self, what: Any, name: str, data: bytes) -> None:
        """Have a record made. what: is given back beside it."""
        if self.count == 1:
            self.waiting.append((what, self.maker.make(name, data)))
            return
        if self.pool is None:
            from concurrent.futures import ProcessPoolExecutor
            from multiprocessing import get_context

            alike = get_context("fork" if sys.platform == "linux" else None)  # else 3.14 starts them through a socket
            given = (self.arguments, self.maker.day, self.maker.html, self.maker.folder, self.maker.out)
            self.pool = ProcessPoolExecutor(self.count, alike, initializer=_begin, initargs=given)
        self.waiting.append((what, self.pool.submit(_make, name, data)))

    def have(self, what: Any, made: Made) -> None:
        """Put something that is made already in its place."""
        self.waiting.append((what, made))

    def ready(self, all_of_it: bool = False) -> Iterator[tuple[Any, Made]]:
        """What comes next in order; all_of_it: wait until nothing is left."""
        while self.waiting and (all_of_it or len(self.waiting) > self.most):
            what, made = self.waiting.popleft()
            yield what, made if isinstance(made, tuple) else made.result()


_maker: Maker | None = None


def _begin(arguments: argparse.Namespace, day: str, html: bool, folder: Path, out: Path) -> None:
    """Start a helper process: the rules come from the cache that the first process has just filled."""
    from revive.commands.common import rule_base

    global _maker
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the first process is told, and ends its helpers
    _maker = Maker(rule_base(arguments), day, html, arguments.units, folder, out)


def _make(name: str, data: bytes) -> Made:
    assert _maker is not None
    return _maker.make(name, data)
