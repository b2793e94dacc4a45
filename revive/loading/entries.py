"""Entries by id under one top-level key: each is made and put in its table. An overlay replaces here."""

from collections.abc import Callable
from typing import Any

from revive.loading.entry import ID, RESERVED_NAMES, Entry, shape
from revive.loading.gathered import Gathered
from revive.loading.yaml_lines import Map
from revive.problems import nearest, quoted


def each(
    gathered: Gathered, file: str, top: Map, key: str, kind: str, make: Callable[[Entry, str], Any], word: str = ""
) -> None:
    """Read every entry under a top-level key and put it in the table of its kind, if its id is good and new."""
    block = top.get(key)
    if not isinstance(block, Map):
        line = top.lines.get(key, 1)
        gathered.problem(
            file, line, "wrong-type", f"{key} is {shape(block)}; entries by id were expected", f"Write: {key}: {{…}}"
        )
        return
    for name, value in block.items():
        line = block.lines[name]
        by = f"{word or kind} {name}"
        gathered.tried.add((kind, name))
        if not ID.fullmatch(name) or name in RESERVED_NAMES:
            what = f"{quoted(name)} cannot be the id of a {kind}"
            gathered.problem(file, line, "bad-id", what, "Use small letters, digits and one kind of joiner: my-rule.")
            continue
        if not isinstance(value, Map):
            what = f"{by} is {shape(value)}; a mapping was expected"
            gathered.problem(file, line, "wrong-type", what, "Give it its keys, two spaces further in.")
            continue
        entry = Entry(gathered, file, value, line, by)
        made = make(entry, name)
        if made is not None:
            _put(gathered, entry, kind, name, made)


def _put(gathered: Gathered, entry: Entry, kind: str, name: str, made: Any) -> None:
    table = gathered.table(kind)
    replaced = entry.at.get("overrides") if gathered.overlay else None
    if isinstance(replaced, str) and replaced:
        if replaced not in table:
            close = nearest(replaced, table)
            mend = f"Did you mean '{close}'?" if close else "Take out 'overrides:' if it is new."
            what = f"{kind} {quoted(name)} overrides {quoted(replaced)}, which does not exist"
            entry.problem(entry.line_of("overrides"), "unknown-override", what, mend)
        elif entry.text("approved_by") and entry.text("reason"):
            gathered.overrides.append(
                f"{kind} {replaced}: replaced by {entry.place}, approved by {entry.text('approved_by')}, "
                f"because {entry.text('reason')}"
            )
            _take_out(gathered, kind, replaced)
        else:
            what = f"{kind} {quoted(name)} overrides {quoted(replaced)} without saying who approved it and why"
            entry.problem(entry.line, "override-unexplained", what, "Add: approved_by: … and reason: …")
    elif gathered.overlay and kind == "limit" and name in table:
        gathered.overrides.append(f"limit {name}: replaced by {entry.place}")
        _take_out(gathered, kind, name)
    if name in table:
        first = gathered.place(kind, name)
        what = f"{kind} {quoted(name)} is defined a second time; the first is {first}"
        mend = "Give one of them another id, or take it out."
        if gathered.overlay:
            mend = f"Give it another id, or add: overrides: {name}, approved_by: … and reason: …"
        entry.problem(entry.line, "double-id", what, mend)
        return
    table[name] = made
    gathered.places[kind, name] = (entry.file, entry.line)


def _take_out(gathered: Gathered, kind: str, name: str) -> None:
    """Forget a replaced entry and all that it mentioned."""
    file, _ = gathered.places.pop((kind, name))
    del gathered.tables[kind][name]
    gathered.tried.discard((kind, name))
    by = f"{kind} {name}"
    gathered.uses = [use for use in gathered.uses if use.by != by or use.file != file]
