"""Task files: YAML values -> tasks in working order."""

from collections.abc import Mapping
from typing import Any

from revive.loading.conditions import condition, needed_condition
from revive.loading.entries import each
from revive.loading.entry import Entry, number_of
from revive.loading.gathered import Gathered
from revive.loading.yaml_lines import Map
from revive.model import GATES, WHO, Condition, Part, Task

_LEVELS = ("bare", "owner_kit", "skilled_kit", "shop")
_DETAILS = ("text", "number", "date")
NEEDED = ("title", "gate", "who", "minutes", "method", "done_when", "source")
KEYS = (
    "title",
    "gate",
    "who",
    "needs_level",
    "minutes",
    "wait_h",
    "wait_for",
    "after",
    "only_if",
    "tools",
    "parts",
    "method",
    "done_when",
    "records",
    "finds",
    "reads",
    "details",
    "asks_again",
    "changes_plan_if",
    "cautions",
    "waste",
    "basis",
    "source",
)


def tasks(gathered: Gathered, file: str, top: Map) -> None:
    """One subject of work: about, order, tasks. A task's order is that of its file, then its place in the file."""
    head = Entry(gathered, file, top, 1, "this file")
    head.keys(("about", "order", "tasks"), ("about", "tasks"))
    head.text("about")
    first = int(head.number("order", default=999)) * 1000
    subject = file.rsplit("/", 1)[-1].removesuffix(".yaml")
    listed = top.get("tasks")
    order = {name: first + place for place, name in enumerate(listed if isinstance(listed, Map) else (), 1)}
    each(gathered, file, top, "tasks", "task", lambda entry, name: _task(entry, name, subject, order[name]))


def _task(entry: Entry, name: str, subject: str, order: int) -> Task:
    entry.keys(KEYS, NEEDED)
    if "wait_for" in entry.at and "wait_h" not in entry.at:
        entry.problem(entry.line_of("wait_for"), "missing-key", f"{entry.by} has no 'wait_h'", "Add: wait_h: 12")
    if entry.at.get("method") == []:
        mend = "Write each step as an item: method: [first this, then that]"
        entry.wrong(entry.line_of("method"), "method", entry.at["method"], "at least one step", mend)
    guards: dict[str, Condition] = {}
    return Task(
        id=name,
        title=entry.text("title"),
        gate=entry.one_of("gate", GATES),
        who=entry.one_of("who", WHO),
        minutes=_minutes(entry),
        place=entry.place,
        subject=subject,
        order=order,
        needs_level=entry.one_of("needs_level", _LEVELS, "bare"),
        wait_h=entry.number("wait_h"),
        wait_for=entry.text("wait_for"),
        after=entry.names("after", "task_after"),
        only_if=condition(entry, "only_if"),
        tools=_told(entry, "tools", guards),
        parts=tuple(_part(inner, guards) for inner in entry.maps("parts")),
        method=_told(entry, "method", guards),
        done_when=entry.text("done_when"),
        records=entry.names("records", "answer"),
        details=_details(entry),
        asks_again=entry.names("asks_again", "answer"),
        changes_plan_if=_told(entry, "changes_plan_if", guards),
        cautions=_told(entry, "cautions", guards),
        waste=_told(entry, "waste", guards),
        sources=entry.sources(),
        basis=entry.text("basis"),
        guards=guards,
        finds=entry.names("finds", "answer"),
        reads=entry.names("reads", "answer"),
    )


def _told(entry: Entry, key: str, guards: dict[str, Condition]) -> tuple[str, ...]:
    """Texts, some of them {text, when}: meant only for machines where the condition holds."""
    found = []
    for value, line in entry.items(key):
        if isinstance(value, Map) and "when" in value:
            inner = entry.under(value, line)
            inner.keys(("text", "when"), ("text", "when"))
            text = inner.text("text")
            guards[text] = needed_condition(inner, "when")
            found.append(text)
        else:
            found.extend(entry.word(key, value, line))
    return tuple(found)


def _minutes(entry: Entry) -> tuple[int, int, int]:
    if not isinstance(entry.at.get("minutes"), Map):
        if "minutes" in entry.at:
            mend = "Write: minutes: {least: 20, likely: 30, most: 60}"
            entry.wrong(entry.line_of("minutes"), "minutes", entry.at["minutes"], "least, likely and most", mend)
        return 0, 0, 0
    inner = entry.map("minutes")
    inner.keys(("least", "likely", "most"), ("least", "likely", "most"))
    least, likely, most = inner.whole("least"), inner.whole("likely"), inner.whole("most")
    if not least <= likely <= most and len(inner.at) == 3:
        what = f"minutes run {least}, {likely}, {most}; least, likely and most were expected to rise"
        entry.problem(entry.line_of("minutes"), "out-of-order", what, "Put the smallest under least.")
    return least, likely, most


def _part(entry: Entry, guards: dict[str, Condition]) -> Part:
    """One thing to buy; with a condition, only for machines where it holds."""
    entry.keys(("item", "quantity", "unit", "if_found", "when"), ("item", "quantity", "unit"))
    part = Part(entry.text("item"), _quantity(entry), entry.text("unit"), entry.flag("if_found"))
    if "when" in entry.at:
        guards[part.item] = needed_condition(entry, "when")
    return part


def _quantity(entry: Entry) -> Any:
    """A number, or {"of": name, "times": n, "plus": n}."""
    value = entry.at.get("quantity", "1")
    line = entry.line_of("quantity")
    if isinstance(value, Map):
        inner = entry.under(value, line)
        inner.keys(("of", "times", "plus"), ("of",))
        return {"of": inner.name("of", "amount"), "times": inner.number("times", 1), "plus": inner.number("plus", 0)}
    number = number_of(value)
    if number is None or number <= 0:
        mend = "Write: quantity: 4, or quantity: {of: cylinders, times: 2}"
        entry.wrong(line, "quantity", value, "a number above 0", mend)
        return 1
    return number


def _details(entry: Entry) -> Mapping[str, str]:
    inner = entry.map("details")
    return {name: inner.one_of(name, _DETAILS, "text") for name in inner.at}
