"""Entries by id under one top-level key: each is made and put in its table. An overlay replaces here."""

from collections.abc import Callable
from typing import Any

from revive.loading.entry import ID, RESERVED_NAMES, Entry, shape
from revive.loading.gathered import Gathered
from revive.loading.overlay import weaker
from revive.loading.yaml_lines import Map
from revive.problems import nearest, quoted

MOST_LOSSES = 8


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
    if gathered.overlay and not _give_way(gathered, entry, kind, name, made):
        return
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


def _give_way(gathered: Gathered, entry: Entry, kind: str, name: str, made: Any) -> bool:
    """Take out what an entry of an overlay may replace, and note it; False where it was refused and told."""
    table = gathered.table(kind)
    replaced = entry.at.get("overrides")
    said = isinstance(replaced, str) and bool(replaced)
    old_name = str(replaced) if said else name
    if said and old_name not in table:
        close = nearest(old_name, table)
        mend = f"Did you mean '{close}'?" if close else "Take out 'overrides:' if it is new."
        what = f"{kind} {quoted(name)} overrides {quoted(old_name)}, which does not exist"
        entry.problem(entry.line_of("overrides"), "unknown-override", what, mend)
        return False
    if old_name not in table:
        if kind == "claim":
            gathered.overrides.append(f"claim {name}: words of the club's own, by {entry.place}")
        return True
    old, first = table[old_name], gathered.place(kind, old_name)
    if kind == "limit" and made.unit != old.unit:
        what = f"limit {quoted(name)} is in {quoted(made.unit)}; {quoted(old.unit)} was expected ({first})"
        entry.problem(
            entry.line_of("unit"), "limit-unit", what, f"Write: unit: {old.unit}, and its value in that unit."
        )
        return False
    loss = weaker(gathered, kind, old, made)
    words = "; ".join(loss[:MOST_LOSSES]) + (f"; and {len(loss) - MOST_LOSSES} more" if loss[MOST_LOSSES:] else "")
    if said and entry.text("approved_by") and entry.text("reason"):
        note = (
            f"{kind} {old_name}: replaced by {entry.place}, approved by {entry.text('approved_by')}, "
            f"because {entry.text('reason')}"
        )
        gathered.overrides.append(note + (f"; less strict than shipped: {words}" if loss else ""))
    elif said:
        what = f"{kind} {quoted(name)} overrides {quoted(old_name)} without saying who approved it and why"
        what += f"; it is less strict than {first}: {words}" if loss else ""
        entry.problem(entry.line, "override-unexplained", what, "Add: approved_by: … and reason: …")
        return False
    elif loss:
        what = f"{kind} {quoted(name)} would be less strict than {first}: {words}"
        mend = f"Keep it as strict, or add: overrides: {name}, approved_by: … and reason: …; every plan then prints it."
        entry.problem(entry.line, "weakens-safety", what, mend)
        return False
    elif kind == "limit":
        change = f"{made.value:g} in place of {old.value:g} {old.unit}"
        gathered.overrides.append(f"limit {name}: replaced by {entry.place}, {change}")
    else:
        return True
    if kind == "limit":
        gathered.shipped_limits.setdefault(old_name, float(old.value))
    _take_out(gathered, kind, old_name)
    if old_name == name:
        gathered.tried.add((kind, name))
    return True


def _take_out(gathered: Gathered, kind: str, name: str) -> None:
    """Forget a replaced entry and all that it mentioned."""
    file, _ = gathered.places.pop((kind, name))
    del gathered.tables[kind][name]
    gathered.tried.discard((kind, name))
    by = (f"{kind} {name}", f"derived {kind} {name}")
    gathered.uses = [use for use in gathered.uses if use.by not in by or use.file != file]
