"""Make a plan for every record in a folder, one overview and one order list. Changes no record.

Broken records are listed with their problems and do not stop the rest. What did not change is not made again.
"""

import argparse
import sys
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any

from revive import __version__
from revive.club_files import (
    MADE,
    SHEETS,
    MadeBefore,
    Whole,
    is_plain_file,
    label_of,
    made_line,
    out_folder,
    record_names,
    remove_sheets,
    rows_of,
    sheet_name,
    shown,
    still_there,
    write_whole,
)
from revive.commands.common import rule_base, today
from revive.model import Record, ReviveError, RuleBase
from revive.plan import Plan

if TYPE_CHECKING:
    from revive.render.club_pages import Rows


def run(arguments: argparse.Namespace) -> int:
    """Write the club's sheets; 0 when done, 1 where a record is to be mended."""
    folder = Path(arguments.folder)
    names = record_names(folder)
    base, day = rule_base(arguments), today(arguments)
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

        self.form, self.units = arguments.form, arguments.units
        self.base, self.day, self.folder, self.out = base, day, folder, out
        self.html = self.form in ("html", "both")
        self.totals = Totals()
        self.made = self.kept = 0

    def run(self, names: list[str]) -> int:
        """Every record in turn, then the lists."""
        before, talk = MadeBefore(self.out / MADE), _Progress(len(names))
        with Whole(self.out / MADE) as made:
            for name in names:
                line, row = self._one(name, before.find(name))
                made.write(line)
                self.totals.add(row)
                talk.step(label_of(name))
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

    def _one(self, name: str, before: Any) -> tuple[str, dict[str, Any]]:
        """One record's line for the list of what was made, and its row."""
        path = self.folder / name
        try:
            if not is_plain_file(path):
                raise ReviveError(f"{shown(name)}: this is not a file that can be read\n    Put a record in its place.")
            from revive.record import parse_record, read_bytes

            data = read_bytes(path)
            key = self._key(data)
            if before and before["key"] == key and still_there(self.out, before["sizes"]):
                self.kept += 1
                return made_line(name, key, before["sizes"], before["row"]), before["row"]
            record = parse_record(data, shown(name), self.base)
        except ReviveError as error:
            remove_sheets(self.out, name)
            row = {"label": label_of(name), "problems": _problems(error, self.folder)}
            return made_line(name, "", {}, row), row
        self.made += 1
        row, sizes = self._plan(name, record)
        return made_line(name, key, sizes, row), row

    def _key(self, data: bytes) -> str:
        parts = (sha256(data).hexdigest(), self.base.digest, __version__, self.day, str(self.html), self.units)
        return sha256("\n".join(parts).encode()).hexdigest()

    def _plan(self, name: str, record: Record) -> tuple[dict[str, Any], dict[str, int]]:
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

    def _sheets(self, sheet: str, plan: Plan, record: Record, row: dict[str, Any]) -> dict[str, int]:
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
                with Whole(self.out / name) as file:
                    club_csv.write_rows(file, head, lines)

    def _write(self, name: str, pieces: Iterator[str]) -> None:
        with Whole(self.out / name) as file:
            for piece in pieces:
                file.write(piece)


def _each(rows_of_one: Callable[[Any], Iterator[list[Any]]], rows: "Rows") -> Iterator[list[Any]]:
    """The lines of every machine that has a plan."""
    for row in rows():
        if not row["problems"]:
            yield from rows_of_one(row)


def _problems(error: ReviveError, folder: Path) -> list[str]:
    """The problems of a record, each on one line, without the path of the folder."""
    text = str(error).replace(f"{folder}/", "")
    return [" ".join(part.split()) for part in text.replace("\n    ", " ").split("\n") if part.strip()]


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
