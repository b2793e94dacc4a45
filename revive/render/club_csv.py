"""The club's lists as CSV. A cell that a spreadsheet would take as a formula begins with an apostrophe."""

import csv
from collections.abc import Iterator, Mapping
from typing import Any, Protocol

from revive.model import GATES
from revive.render.club_pages import MAY, Totals
from revive.render.wording import WHO, flat

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
OVERVIEW = (
    *("machine", "name", "member", "layout", "goal", "stands", "next_gate"),
    *(f"gate_{gate}" for gate in GATES),
    *("next_step", "stops", "member_alone", "member_watched", "with_a_helper", "skilled_hands", "a_workshop"),
    *("not_alone", "overdue"),
    *("hours", "sheet", "problems"),
)
ORDERS = ("machine", "item", "grade", "quantity", "unit", "needed_by_gate", "buy", "sum_with_others")
TOTALS = ("item", "grade", "quantity", "unit", "needed_by_gate", "machines")
ALONE = ("machine", "task", "title", "why", "there_must_be")


class Target(Protocol):
    """Anything that takes text."""

    def write(self, text: str, /) -> object:
        """Take a piece of text."""


def write_rows(target: Target, head: tuple[str, ...], rows: Iterator[list[Any]]) -> None:
    """Write a list with its head, row by row."""
    writer = csv.writer(target, lineterminator="\n")
    writer.writerow(head)
    for row in rows:
        writer.writerow([cell(value) for value in row])


def cell(value: object) -> object:
    """A value as a cell: numbers as they are, text on one line and never a formula.

    >>> cell(2.5), cell("=1+1"), cell("\\t@x"), cell(None), cell("plain"), cell(" -2")
    (2.5, "'=1+1", "'@x", '', 'plain', "'-2")
    """
    if value is None:
        return ""
    if isinstance(value, int | float):
        return f"{value:g}" if isinstance(value, float) and value == int(value) else value
    raw, text = str(value), flat(value)
    return f"'{text}" if raw.startswith(_FORMULA) or text.startswith(_FORMULA) else text


def overview_row(row: Mapping[str, Any]) -> list[Any]:
    """One machine of the overview, broken records with their problems."""
    if row["problems"]:
        return [row["label"], *[""] * (len(OVERVIEW) - 2), " / ".join(row["problems"])]
    return [
        *(row[key] for key in ("label", "name", "member", "layout", "goal", "verdict", "next_gate")),
        *(row["gates"].get(gate, "") for gate in GATES),
        " / ".join(f"{one['order']}. {one['title']} ({WHO[one['who']]})" for one in row["next"]),
        " / ".join(f"{one['title']} ({one['state']}): {one['text']}" for one in row["stops"]),
        *(row["may"].get(who, 0) for who, _ in MAY),
        len(row["alone"]),
        " / ".join(row["overdue"]),
        row["hours"],
        row["sheet"],
        "",
    ]


def order_rows(row: Mapping[str, Any]) -> Iterator[list[Any]]:
    """One machine's order lines."""
    for part in row["orders"]:
        yield [
            row["label"],
            *(part[key] for key in ("item", "grade", "quantity", "unit", "gate")),
            "now" if part["when"] == "now" else "after the look",
            "yes" if part["pooled"] else "no",
        ]


def alone_rows(row: Mapping[str, Any]) -> Iterator[list[Any]]:
    """What one machine's member must not do alone."""
    for one in row["alone"]:
        yield [row["label"], one["order"], one["title"], one["why"], one["there"]]


def total_rows(totals: Totals) -> Iterator[list[Any]]:
    """What is ordered together."""
    for (item, grade, unit), (sums, places, gates) in sorted(totals.pooled.items()):
        yield [item, grade, round(sums[0], 3), unit, gates[0], totals.named(places)]
