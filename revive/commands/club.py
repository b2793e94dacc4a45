"""Make a plan for every record in a folder, one overview and one order list. Changes no record.

Broken records are listed with their problems and do not stop the rest. What did not change is not made again.
"""

import argparse
import gc
import sys
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TextIO

from revive import __version__
from revive.club_files import (
    MADE,
    MadeBefore,
    is_plain_file,
    label_of,
    made_line,
    out_folder,
    record_names,
    remove_sheets,
    rows_of,
    shown,
    still_there,
    whole,
)
from revive.club_work import Helpers, Made, Maker
from revive.commands.common import rule_base, today
from revive.model import ReviveError, RuleBase

if TYPE_CHECKING:
    from revive.render.club_pages import Rows


def run(arguments: argparse.Namespace) -> int:
    """Write the club's sheets; 0 when done, 1 where a record is to be mended."""
    folder = Path(arguments.folder)
    names = record_names(folder)
    base, day = rule_base(arguments), today(arguments)
    gc.set_threshold(10_000, 10, 10)  # one plan after another: what the last one leaves behind goes soon
    out = out_folder(arguments.out, folder)
    try:
        return _Club(arguments, base, day, folder, out).run(names)
    except OSError as error:
        raise ReviveError(
            f"{shown(str(out))}: the sheets cannot be written ({error.strerror or error})\n"
            "    Check the disk and the permissions, or name another folder with --out."
        ) from None


class _Club:
    def __init__(self, arguments: argparse.Namespace, base: RuleBase, day: str, folder: Path, out: Path) -> None:
        from revive.render.club_pages import Totals

        self.arguments, self.form = arguments, arguments.form
        self.base, self.day, self.folder, self.out = base, day, folder, out
        self.html = self.form in ("html", "both")
        self.maker = Maker(base, day, self.html, arguments.units, folder, out)
        self.totals = Totals()
        self.made = self.kept = 0

    def run(self, names: list[str]) -> int:
        """Every record in turn, then the lists."""
        before, talk = MadeBefore(self.out / MADE), _Progress(len(names))
        with whole(self.out / MADE) as made, Helpers(self.maker, self.arguments, len(names)) as helpers:
            for name in names:
                self._begin(name, before.find(name), helpers)
                for item in helpers.ready():
                    self._take(item, made, talk)
            for item in helpers.ready(all_of_it=True):
                self._take(item, made, talk)
        before.rest()
        for name in before.gone:
            remove_sheets(self.out, name)
        self._lists()
        broken = self.totals.broken
        talk.end(
            f"{len(names)} records: {self.made} plans made, {self.kept} unchanged"
            + (f", {broken} to mend" if broken else "")
            + f". See {shown(str(self.out))}"
        )
        return 1 if broken else 0

    def _begin(self, name: str, before: Mapping[str, Any] | None, helpers: Helpers) -> None:
        """Read a record; have it made unless its sheets are there and would be the same."""
        from revive.record import read_bytes

        path = self.folder / name
        try:
            if not is_plain_file(path):
                raise ReviveError(f"{shown(name)}: this is not a file that can be read\n    Put a record in its place.")
            data = read_bytes(path)
        except ReviveError as error:
            helpers.have((name, "", False), (self.maker.broken(name, error), {}))
            return
        key = self.maker.key(data)
        if before and before["key"] == key and still_there(self.out, before["sizes"]):
            helpers.have((name, key, True), (before["row"], before["sizes"]))
        else:
            helpers.ask((name, key, False), name, data)

    def _take(self, item: tuple[tuple[str, str, bool], Made], made: TextIO, talk: "_Progress") -> None:
        (name, key, kept), (row, sizes) = item
        self.kept += kept
        self.made += not kept and not row["problems"]
        made.write(made_line(name, "" if row["problems"] else key, sizes, row))
        self.totals.add(row)
        talk.step(label_of(name))

    def _lists(self) -> None:
        """The overview and the order list, streamed from the list of what was made."""
        from revive.render import club_csv
        from revive.render.club_pages import orders_html, overview_html

        rows = rows_of(self.out / MADE)
        basis = f"Made with version {__version__}, rule base {self.base.digest[:12]}."
        if self.html:
            folder = shown(self.folder.resolve().name) or "this folder"
            self._write("overview.html", overview_html(rows, self.totals, self.day, basis, folder))
            self._write("order-list.html", orders_html(rows, self.totals, self.day, basis))
        if self.form in ("csv", "both"):
            lists = {
                "overview.csv": (club_csv.OVERVIEW, map(club_csv.overview_row, rows())),
                "order-list.csv": (club_csv.ORDERS, _each(club_csv.order_rows, rows)),
                "not-alone.csv": (club_csv.ALONE, _each(club_csv.alone_rows, rows)),
                "order-totals.csv": (club_csv.TOTALS, club_csv.total_rows(self.totals)),
            }
            for name, (head, lines) in lists.items():
                with whole(self.out / name) as file:
                    club_csv.write_rows(file, head, lines)

    def _write(self, name: str, pieces: Iterator[str]) -> None:
        with whole(self.out / name) as file:
            for piece in pieces:
                file.write(piece)


def _each(rows_of_one: Callable[[Any], Iterator[list[Any]]], rows: "Rows") -> Iterator[list[Any]]:
    """The lines of every machine that has a plan."""
    for row in rows():
        if not row["problems"]:
            yield from rows_of_one(row)


class _Progress:
    """Says on standard error how far it is: on one line at a terminal, else now and then."""

    def __init__(self, total: int) -> None:
        self.total, self.at, self.live = total, 0, sys.stderr.isatty()

    def step(self, label: str) -> None:
        self.at += 1
        if self.live:
            sys.stderr.write(f"\r\x1b[K{self.at} of {self.total}: {label[:50]}")
            sys.stderr.flush()
        elif self.at % 50 == 0 or self.at == self.total:
            print(f"{self.at} of {self.total}", file=sys.stderr)

    def end(self, words: str) -> None:
        print(f"\r\x1b[K{words}" if self.live else words, file=sys.stderr)
