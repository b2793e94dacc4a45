"""Write the lists as JSON for other programs and as CSV for a spreadsheet. Quantities are metric; nothing is reckoned.

A cell that a spreadsheet would take as a formula begins with an apostrophe. The cautions stand in both.
"""

from collections.abc import Iterator, Mapping
from io import StringIO
from typing import Any

from revive.engine.lists import LISTS
from revive.json_text import json_text
from revive.model import RuleBase
from revive.plan import Plan
from revive.render.club_csv import write_rows
from revive.render.lists_page import (
    FITS,
    GOVERNS,
    WASTE_LAW,
    ListWriter,
    answers_by_ticks,
    shopping_cautions,
    waste_amount,
    waste_cautions,
)
from revive.render.measures import in_prose, show

SCHEMA = "revive-lists/1"
HEAD = (
    *("list", "what", "item", "quantity", "quantity_least", "unit", "shown", "gate", "needed_on", "tasks", "decide_by"),
    "remark",
)


def lists_data(data: Mapping[str, Any], plan: Plan, only: str = "") -> dict[str, Any]:
    """The lists as plain values, ready for JSON, with their cautions."""
    made: dict[str, Any] = {
        "schema": SCHEMA,
        "made_on": plan.made_on,
        "rules": {"version": plan.rules_version, "digest": plan.rules_digest},
        "machine": dict(plan.machine),
        "governs": GOVERNS,
        "possible": data["possible"],
    }
    if only in ("", "shopping"):
        cautions = [FITS, *shopping_cautions(data["shopping"])]
        made["shopping"] = {**data["shopping"], "cautions": cautions}
    if only in ("", "workshop"):
        made["workshop"] = data["workshop"]
    if only in ("", "waste"):
        made["waste"] = {**data["waste"], "cautions": [WASTE_LAW, *waste_cautions(data["waste"])]}
    return made


def lists_json(data: Mapping[str, Any], plan: Plan, only: str = "") -> str:
    """The lists as JSON text."""
    return json_text(lists_data(data, plan, only)) + "\n"


def lists_csv(
    data: Mapping[str, Any], plan: Plan, base: RuleBase, record_path: str, only: str = "", units: str = "metric"
) -> str:
    """The lists as CSV text, one thing a row. units: of the column `shown`; the other columns stay metric."""
    rows = _Rows(data, plan, base, record_path, units)
    out = StringIO()

    def chosen() -> Iterator[list[Any]]:
        yield rows.row("all", "governs", GOVERNS)
        for name in [only] if only else LISTS:
            yield from getattr(rows, name)()

    write_rows(out, HEAD, chosen())
    return out.getvalue()


class _Rows:
    def __init__(self, data: Mapping[str, Any], plan: Plan, base: RuleBase, record_path: str, units: str) -> None:
        self.data, self.base, self.units = data, base, units
        self.words = ListWriter(data, plan, base, record_path)

    def row(self, which: str, what: str, item: str, **cells: Any) -> list[Any]:
        """One row; cells that are not given stay empty."""
        return [which, what, item, *(cells.get(name, "") for name in HEAD[3:])]

    def shopping(self) -> Iterator[list[Any]]:
        """What to buy, with the cautions."""
        for text in (FITS, *shopping_cautions(self.data["shopping"])):
            yield self.row("shopping", "take care", in_prose(text, self.units))
        for key, what in (("buy_now", "buy now"), ("decide_after_look", "decide after the look")):
            for found in self.data["shopping"][key]:
                much = self.words.much(found)
                yield self.row(
                    "shopping",
                    what,
                    found["item"],
                    **{name: found[name] for name in ("quantity", "quantity_least", "unit", "gate", "needed_on")},
                    shown=much if found["quantity"] is None else show(found["quantity"], found["unit"], self.units),
                    tasks=self._tasks([share["task"] for share in found["for"]]),
                    decide_by=self._tasks(found.get("decide_by", ())),
                    remark=in_prose(self.words.reckoned(found).strip(), self.units),
                )

    def workshop(self) -> Iterator[list[Any]]:
        """What to ask, the cautions, and how the answers go on record."""
        sheet = self.data["workshop"]
        if sheet is None:
            yield self.row("workshop", "nothing", "No work for a workshop is in this plan.")
            return
        for key, what in (("for", "asked by"), ("jobs", "other work")):
            for name in sheet[key]:
                yield self.row("workshop", what, self.base.tasks[name].title, tasks=self._tasks([name]))
        for text in sheet["cautions"]:
            yield self.row("workshop", "take care", in_prose(self.words.names.prose(text), self.units))
        for text in sheet["boxes"].values():
            yield self.row("workshop", "ask in writing", text, shown="yes / no")
        for text in sheet["besides"]:
            yield self.row("workshop", "ask for", text)
        for ticks, answer in answers_by_ticks().items() if sheet["boxes"] else ():
            command = f"revive note {self.words.record} {sheet['answers']}={answer}"
            yield self.row("workshop", "answer", ticks, remark=command)

    def waste(self) -> Iterator[list[Any]]:
        """Kinds and amounts, the cautions, and how it is handed in."""
        waste = self.data["waste"]
        for text in (WASTE_LAW, *waste_cautions(waste)):
            yield self.row("waste", "take care", in_prose(self.words.names.prose(text), self.units))
        for found in waste["kinds"]:
            litres = found["litres"] is not None
            yield self.row(
                "waste",
                "only if a look calls for it" if found["assumed"] else "hand in",
                self.words.names.prose(found["kind"]),
                quantity=found["litres"] if litres else found["count"],
                quantity_least=found["litres_least"],
                unit="l" if litres else found["count_unit"],
                shown=in_prose(waste_amount(found), self.units),
                tasks=self._tasks(found["for"]),
            )
        for text in waste["steps"]:
            yield self.row("waste", "how", in_prose(self.words.names.prose(text), self.units))

    def _tasks(self, names: Any) -> str:
        return " / ".join(f"{self.words.names.number[name]} {name}" for name in names)
