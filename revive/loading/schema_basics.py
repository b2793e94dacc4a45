"""Limits, sources, derived facts and layouts: YAML values -> model objects."""

from collections.abc import Mapping
from typing import Any

from revive.loading.conditions import needed_condition
from revive.loading.entries import each
from revive.loading.entry import Entry, number_of
from revive.loading.gathered import Gathered
from revive.loading.yaml_lines import Map, Seq
from revive.model import RESERVED_SOURCES, Fact, Layout, Limit, Source
from revive.problems import quoted

FACT_KINDS = (
    "band",
    "largest",
    "smallest",
    "product",
    "quotient",
    "points",
    "yes_when",
    "age_of",
    "by_layout",
    "figure",
    "days_since",
    "from_plan",
)
FROM_PLAN = ("oldest_stop_days", "gates_open", "stops_standing", "undone_must", "fallback_used")
_FACT_HELPERS = {"band": ("up_to", "above"), "figure": ("take", "inputs")}
_POINT_PER = ("engine", "cylinder", "valve")


def limits(gathered: Gathered, file: str, top: Map) -> None:
    """limits.yaml: name -> value, unit, text, source."""
    Entry(gathered, file, top, 1).keys(("about", "limits"))
    each(gathered, file, top, "limits", "limit", _limit)


def _limit(entry: Entry, name: str) -> Limit:
    needed = ("value", "unit", "text", "source")
    entry.keys(needed, needed)
    return Limit(name, entry.number("value"), entry.text("unit"), entry.text("text"), entry.sources())


def sources(gathered: Gathered, file: str, top: Map) -> None:
    """sources.yaml: slug -> title, issued_by, edition, as_read, note."""
    Entry(gathered, file, top, 1).keys(("about", "sources"))
    each(gathered, file, top, "sources", "source", _source)


def _source(entry: Entry, name: str) -> Source | None:
    entry.keys(("title", "issued_by", "edition", "as_read", "note"), ("title", "issued_by", "as_read"))
    if name in RESERVED_SOURCES:
        entry.problem(entry.line, "bad-id", f"'{name}' is reserved and stands for itself", "Take this entry out.")
        return None
    as_read = entry.one_of("as_read", ("document", "restated"), "document")
    return Source(
        name, entry.text("title"), entry.text("issued_by"), entry.text("edition"), as_read, entry.text("note")
    )


def facts(gathered: Gathered, file: str, top: Map) -> None:
    """derived.yaml: name -> exactly one of FACT_KINDS, with unit and text."""
    Entry(gathered, file, top, 1).keys(("about", "facts"))
    each(gathered, file, top, "facts", "fact", _fact, "derived fact")


def _fact(entry: Entry, name: str) -> Fact | None:
    kinds = [key for key in FACT_KINDS if key in entry.at]
    if len(kinds) != 1:
        found = " and ".join(f"'{kind}'" for kind in kinds) or "nothing"
        what = f"derived fact {name} is worked out by {found}; one way was expected"
        entry.problem(entry.line, "fact-kind", what, f"Keep one of: {', '.join(FACT_KINDS)}.")
        return None
    kind = kinds[0]
    helpers = _FACT_HELPERS.get(kind, ())
    entry.keys((kind, *helpers, "unit", "text"), [key for key in helpers if key != "take"])
    return Fact(name, kind, _fact_content(entry, kind), entry.text("unit"), entry.text("text"), entry.place)


def _fact_content(entry: Entry, kind: str) -> Any:
    if kind == "band":
        return {"of": entry.name("band", "amount"), "up_to": _bands(entry), "above": entry.text("above")}
    if kind in ("largest", "smallest", "product", "quotient"):
        names = entry.names(kind, "amount")
        if len(names) < 2 or (kind == "quotient" and len(names) != 2):
            wanted = "two names" if kind == "quotient" else "two names or more"
            entry.wrong(entry.line_of(kind), kind, entry.at[kind], wanted, f"Write: {kind}: [one, another]")
        return names
    if kind == "points":
        return tuple(_point_score(inner) for inner in entry.maps("points"))
    if kind == "yes_when":
        return needed_condition(entry, "yes_when")
    if kind == "age_of":
        return entry.name("age_of", "amount")
    if kind == "by_layout":
        return entry.name("by_layout", "layout_fact")
    if kind == "days_since":
        return entry.name("days_since", "dated")
    if kind == "figure":
        return {"name": entry.text("figure"), "take": entry.text("take"), "inputs": _inputs(entry)}
    return entry.one_of("from_plan", FROM_PLAN)


def _bands(entry: Entry) -> tuple[tuple[int | float, str], ...]:
    found: list[tuple[int | float, str]] = []
    for value, line in entry.items("up_to"):
        number = number_of(value[0]) if isinstance(value, Seq) and len(value) == 2 else None
        if number is None or not isinstance(value[1], str):
            entry.wrong(line, "an item of up_to", value, "a number and a name", "Write: up_to: [[1, short], [3, long]]")
            continue
        if found and number <= found[-1][0]:
            what = f"{quoted(value[0])} does not follow {found[-1][0]}; rising numbers were expected"
            entry.problem(line, "out-of-order", what, "Put the smallest first.")
        found.append((number, value[1]))
    return tuple(found)


def _point_score(entry: Entry) -> Mapping[str, Any]:
    entry.keys(("when", "add"), ("when", "add"))
    return {"when": needed_condition(entry, "when"), "add": entry.number("add")}


def _inputs(entry: Entry) -> Mapping[str, int | float | str]:
    inner = entry.map("inputs")
    found: dict[str, int | float | str] = {}
    for name, value in inner.at.items():
        number = number_of(value)
        if number is not None:
            found[name] = number
        elif isinstance(value, str) and value:
            inner.use("input", value, inner.line_of(name))
            found[name] = value
        else:
            mend = f"Write: {name}: 10, or the name of a question"
            inner.wrong(inner.line_of(name), name, value, "a number or a name", mend)
    return found


def layouts(gathered: Gathered, file: str, top: Map) -> None:
    """layouts.yaml: id -> title, oil_path, sediment, points, priming, traps, settles, presumes, facts, source."""
    Entry(gathered, file, top, 1).keys(("about", "layouts"))
    each(gathered, file, top, "layouts", "layout", _layout)


def _layout(entry: Entry, name: str) -> Layout:
    needed = ("title", "oil_path", "sediment", "points", "priming", "traps", "source")
    entry.keys((*needed, "settles", "presumes", "facts"), needed)
    return Layout(
        name,
        entry.text("title"),
        entry.words("oil_path"),
        entry.words("sediment"),
        tuple(_oil_point(inner) for inner in entry.maps("points")),
        entry.words("priming"),
        entry.words("traps"),
        entry.answers("settles", in_range=False),  # a two-stroke settles that it has 0 valves
        entry.answers("presumes"),
        _layout_facts(entry),
        entry.sources(),
    )


def _oil_point(entry: Entry) -> Mapping[str, Any]:
    entry.keys(("see", "per", "count", "how"), ("see",))
    return {
        "see": entry.text("see"),
        "per": entry.one_of("per", _POINT_PER, "engine"),
        "count": entry.whole("count", 1, 1),
        "how": entry.text("how"),
    }


def _layout_facts(entry: Entry) -> Mapping[str, int | float | str]:
    inner = entry.map("facts")
    found: dict[str, int | float | str] = {}
    for name, value in inner.at.items():
        if not isinstance(value, str) or not value:
            inner.wrong(inner.line_of(name), name, value, "a number or a word", f"Write: {name}: 10")
            continue
        number = number_of(value)
        found[name] = value if number is None else number
    return found
