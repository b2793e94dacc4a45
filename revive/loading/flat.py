"""A RuleBase as plain lists, column by column, and back. Made for reading fast; knows no files.

The first part holds what every plan needs. What is only shown (methods, cautions, reasons) follows table by table and
stays text until somebody looks at one of its fields; so do the tables that no plan needs. Tuples become lists and come
back as tuples; each source reference and each condition is stored once; examples stay text until they are looked at.
"""

import json
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, overload

from revive.frozen import Frozen
from revive.model import (
    Claim,
    Contradiction,
    Fact,
    Gate,
    Layout,
    Limit,
    Need,
    Oddity,
    Part,
    Question,
    ReviveError,
    Rule,
    RuleBase,
    Source,
    SourceRef,
    Stage,
    Stop,
    Task,
)

_TABLES: tuple[tuple[str, Any], ...] = (
    ("stages", Stage),
    ("questions", Question),
    ("facts", Fact),
    ("layouts", Layout),
    ("limits", Limit),
    ("sources", Source),
    ("rules", Rule),
    ("gates", Gate),
    ("stops", Stop),
    ("tasks", Task),
    ("contradictions", Contradiction),
)
_LATER_TABLES: tuple[tuple[str, Any], ...] = (("claims", Claim), ("oddities", Oddity))
_LATER: dict[Any, tuple[str, ...]] = {
    Question: ("how", "caution", "why", "costs", "place"),
    Fact: ("text", "place"),
    Source: ("note",),
    Rule: ("why", "not_for", "examples", "subject", "overrides", "approved_by", "reason", "place"),
    Gate: ("opens", "cautions", "who", "place"),
    Stop: ("danger", "meanwhile", "who", "place"),
    Task: (
        *("needs_level", "wait_for", "tools", "method", "done_when", "details", "changes_plan_if", "cautions"),
        *("waste", "basis", "place"),
    ),
    Contradiction: ("trust_text", "place"),
}
"""Fields that no plan is made from."""
_INNER: dict[str, Any] = {"needs": Need, "parts": Part}
_CONDITIONS = ("when", "then", "skip_when", "only_if", "not_needed", "evidence", "forbidden")
_NAMES = {
    cls: tuple(name for name in cls.FIELDS if name not in _LATER.get(cls, ()))
    for cls in (*(cls for _, cls in (*_TABLES, *_LATER_TABLES)), *_INNER.values())
}
_PLAIN_TYPES = (str, int, float, bool, Mapping[str, str])
_CONTAINERS = (list, dict)
_MISFITS = (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError)


class Examples(Sequence[Mapping[str, Any]]):
    """The examples of one rule, read from their text when first looked at; equal to the tuple that they stand for."""

    __slots__ = ("_made", "_text")

    def __init__(self, text: str) -> None:
        self._text = text
        self._made: tuple[Mapping[str, Any], ...] | None = None

    def _all(self) -> tuple[Mapping[str, Any], ...]:
        if self._made is None:
            self._made = _tuples(json.loads(self._text))
        return self._made

    @overload
    def __getitem__(self, at: int) -> Mapping[str, Any]: ...
    @overload
    def __getitem__(self, at: slice) -> tuple[Mapping[str, Any], ...]: ...
    def __getitem__(self, at: int | slice) -> Any:
        return self._all()[at]

    def __len__(self) -> int:
        return len(self._all())

    def __iter__(self) -> Iterator[Mapping[str, Any]]:
        return iter(self._all())

    def __eq__(self, other: object) -> bool:
        return isinstance(other, tuple | Examples) and self._all() == tuple(other)

    def __hash__(self) -> int:
        return hash(len(self))

    def __repr__(self) -> str:
        return repr(self._all())


class _Store:
    """What entries refer to while a base is written or read: source references and conditions, each by its number."""

    def __init__(self) -> None:
        self.references: list[SourceRef] = []
        self.conditions: list[Any] = []
        self.places: dict[Any, int] = {}

    def reference(self, ref: SourceRef) -> int:
        """The number of a source reference."""
        return self._number(ref, self.references, ref)

    def condition(self, condition: Any) -> int:
        """The number of a condition; its parts have smaller numbers."""
        key = repr(condition)
        if key in self.places:
            return self.places[key]
        kind, *rest = condition
        if kind in ("all", "any"):
            rest = [[self.condition(part) for part in rest[0]]]
        elif kind in ("not", "when"):
            rest = [self.condition(part) for part in rest]
        return self._number(key, self.conditions, [kind, *_plain(rest)])

    def _number(self, key: Any, kept: list[Any], item: Any) -> int:
        if key not in self.places:
            self.places[key] = len(kept)
            kept.append(item)
        return self.places[key]

    def read(self, references: list[Any], conditions: list[Any]) -> None:
        """Take over what plain() wrote."""
        self.references = [SourceRef(name, where) for name, where in references]
        made = self.conditions
        for node in conditions:
            kind = node[0]
            if kind == "is":
                made.append((kind, node[1], tuple(node[2])))
            elif kind in ("all", "any"):
                made.append((kind, tuple([made[at] for at in node[1]])))
            elif kind in ("not", "when"):
                made.append((kind, *[made[at] for at in node[1:]]))
            elif kind == "compare":
                made.append((*node[:3], tuple(node[3]), node[4]))
            else:
                made.append(tuple(node))


class _Rest:
    """What is read later of a table: the text of some of its columns, and all of them once one is asked for."""

    def __init__(self, cls: Any, text: bytes, store: _Store) -> None:
        self.cls, self.text, self.store = cls, text, store
        self.columns: list[list[Any]] = []

    def __call__(self, at: int) -> dict[str, Any]:
        """These fields of one entry."""
        names = _LATER[self.cls]
        try:
            if not self.columns:
                stored = json.loads(self.text.decode())
                self.columns = _ready(self.cls, names, stored, self.store)
            return {name: column[at] for name, column in zip(names, self.columns, strict=True)}
        except _MISFITS:
            raise ReviveError(DAMAGED) from None


class _RestOfBase:
    """The tables that no plan needs."""

    def __init__(self, text: bytes) -> None:
        self.text = text

    def __call__(self, _: int) -> dict[str, Any]:
        try:
            tables, references, said = json.loads(self.text.decode())
            store = _Store()
            store.read(references, [])
            found: dict[str, Any] = {
                name: _table(cls, columns, None, store)
                for (name, cls), columns in zip(_LATER_TABLES, tables, strict=True)
            }
            found["disclosures"] = {
                name: {
                    "when": _tuples(when),
                    "text": text,
                    "sources": tuple([store.references[at] for at in numbers]),
                    "place": place,
                }
                for name, when, text, numbers, place in said
            }
            return found
        except _MISFITS:
            raise ReviveError(DAMAGED) from None


DAMAGED = (
    "The stored copy of the rules is damaged.\n"
    "    Delete it (the folder revive in your cache folder, or REVIVE_CACHE); it is made again."
)


def shape_of_model() -> list[str]:
    """The classes and fields that a stored base holds, to tell a copy of another shape."""
    return [f"{cls.__name__} {names} {_LATER.get(cls)}" for cls, names in _NAMES.items()]


def plain(base: RuleBase) -> list[Any]:
    """What lines() writes, one item a line: what every plan needs, the later columns of each table, the later tables."""
    store = _Store()
    tables = [_columns(cls, _NAMES[cls], list(getattr(base, name).values()), store) for name, cls in _TABLES]
    later = [_columns(cls, _LATER.get(cls, ()), list(getattr(base, name).values()), store) for name, cls in _TABLES]
    apart = _Store()
    others = [
        _columns(cls, _NAMES[cls], list(getattr(base, name).values()), apart, pooled=False)
        for name, cls in _LATER_TABLES
    ]
    said = [
        [name, _plain(held["when"]), held["text"], [apart.reference(ref) for ref in held["sources"]], held["place"]]
        for name, held in base.disclosures.items()
    ]
    pairs = [[ref.id, ref.where] for ref in store.references]
    first = [pairs, store.conditions, tables, base.digest, list(base.overrides)]
    return [first, *later, [others, [[ref.id, ref.where] for ref in apart.references], said]]


def lines(base: RuleBase) -> bytes:
    """The base as JSON, what is read later on lines of its own."""
    return b"\n".join(json.dumps(part, ensure_ascii=False, separators=(",", ":")).encode() for part in plain(base))


def base_of(stored: bytes) -> RuleBase:
    """The base from what lines() made. Raises ValueError, TypeError, KeyError or IndexError where it does not fit."""
    first, *later, others = stored.split(b"\n")
    pairs, conditions, tables, contents, overrides = json.loads(first.decode())
    store = _Store()
    store.read(pairs, conditions)
    made = {}
    for (name, cls), columns, text in zip(_TABLES, tables, later, strict=True):
        made[name] = _table(cls, columns, _Rest(cls, text, store) if cls in _LATER else None, store)
    base = object.__new__(RuleBase)
    base.__dict__.update(made, digest=contents, overrides=tuple(overrides), shipped_limits={})
    base.__dict__["_rest"] = _RestOfBase(others), 0
    return base


def _columns(cls: Any, names: Sequence[str], entries: list[Any], store: _Store, pooled: bool = True) -> list[list[Any]]:
    found: list[list[Any]] = []
    for name in names:
        values = [getattr(entry, name) for entry in entries]
        if name == "sources":
            found.append([[store.reference(ref) for ref in value] for value in values])
        elif name == "examples":
            found.append([json.dumps(_plain(value), ensure_ascii=False) if value else "" for value in values])
        elif name in _INNER:
            every = [inner for value in values for inner in value]
            found.append([[len(value) for value in values], _columns(_INNER[name], _NAMES[_INNER[name]], every, store)])
        elif name in _CONDITIONS and pooled:
            found.append([None if value is None else store.condition(value) for value in values])
        elif name == "guards":
            found.append([{text: store.condition(part) for text, part in value.items()} for value in values])
        elif name == "clears":
            found.append(
                [
                    {
                        rule: {gate: store.condition(part) for gate, part in gates.items()}
                        for rule, gates in value.items()
                    }
                    for value in values
                ]
            )
        else:
            found.append([_plain(value) for value in values])
    return found


def _table(cls: Any, columns: list[list[Any]], rest: _Rest | None, store: _Store) -> dict[Any, Any]:
    """Frozen objects by id from columns; fields are set at once, past the frozen setters."""
    entries = _entries(cls, columns, store, pooled=cls not in (Claim, Oddity))
    if rest:
        for at, entry in enumerate(entries):
            entry.__dict__["_rest"] = rest, at
    return dict(zip(columns[0], entries, strict=True))


def _entries(cls: Any, columns: list[list[Any]], store: _Store, pooled: bool = True) -> list[Any]:
    names = _NAMES[cls]
    new = object.__new__
    made = []
    for row in zip(*_ready(cls, names, columns, store, pooled), strict=True):
        entry = new(cls)
        entry.__dict__.update(zip(names, row, strict=True))
        made.append(entry)
    return made


def _ready(
    cls: Any, names: Sequence[str], columns: list[list[Any]], store: _Store, pooled: bool = True
) -> list[list[Any]]:
    """Stored columns as the values that the model has."""
    return [_reader(cls, name, store, pooled)(column) for name, column in zip(names, columns, strict=True)]


def _reader(cls: Any, name: str, store: _Store, pooled: bool) -> Callable[[list[Any]], list[Any]]:
    """What turns a stored column of a field into values of the model."""
    kind = cls.__annotations__[name]
    if name == "sources":
        refs = store.references
        return lambda column: [tuple([refs[at] for at in numbers]) for numbers in column]
    if name == "examples":
        return lambda column: [Examples(text) if text else () for text in column]
    if name in _INNER:
        return lambda column: _cut(column[0], _entries(_INNER[name], column[1], store))
    if name in _CONDITIONS and pooled:
        made = store.conditions
        return lambda column: [None if at is None else made[at] for at in column]
    if name == "guards":
        made = store.conditions
        return lambda column: [{text: made[at] for text, at in value.items()} for value in column]
    if name == "clears":
        made = store.conditions
        return lambda column: [
            {rule: {gate: made[at] for gate, at in by_gate.items()} for rule, by_gate in value.items()}
            for value in column
        ]
    if name == "holds":
        return lambda column: [{gate: tuple(tasks) for gate, tasks in value.items()} for value in column]
    if kind in _PLAIN_TYPES:
        return lambda column: column
    if kind == tuple[str, ...] or kind == tuple[int, int, int]:
        return lambda column: [tuple(value) for value in column]
    return lambda column: [_tuples(value) if type(value) in _CONTAINERS else value for value in column]


def _cut(lengths: list[int], entries: list[Any]) -> list[tuple[Any, ...]]:
    """The entries in tuples of these lengths."""
    found, at = [], 0
    for length in lengths:
        found.append(tuple(entries[at : at + length]))
        at += length
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, Mapping):
        return {key: _plain(inner) for key, inner in value.items()}
    if isinstance(value, tuple | list):
        return [_plain(inner) for inner in value]
    if isinstance(value, Frozen):
        raise TypeError(type(value).__name__)
    return value


def _tuples(value: Any) -> Any:
    """JSON lists as the tuples that the model has, at every depth."""
    if type(value) is list:
        return tuple([_tuples(part) if type(part) in _CONTAINERS else part for part in value])
    return {key: _tuples(part) if type(part) in _CONTAINERS else part for key, part in value.items()}
