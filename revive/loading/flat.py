"""A RuleBase as plain lists, column by column, and back. Made for reading fast; knows no files.

Tuples become lists and come back as tuples; each source reference is stored once; examples stay text until somebody
looks at them, since no plan needs them.
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
    ("claims", Claim),
    ("contradictions", Contradiction),
    ("oddities", Oddity),
)
_INNER: dict[str, Any] = {"needs": Need, "parts": Part}
_NAMES = {cls: cls.FIELDS for cls in (*(cls for _, cls in _TABLES), *_INNER.values())}
_PLAIN_TYPES = (str, int, float, bool, Mapping[str, str])
_CONTAINERS = (list, dict)


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


def shape_of_model() -> list[str]:
    """The classes and fields that a stored base holds, to tell a copy of another shape."""
    return [f"{cls.__name__} {names}" for cls, names in _NAMES.items()]


def plain(base: RuleBase) -> list[Any]:
    """[source references, tables of columns, disclosures, digest, overrides], all of it plain JSON."""
    references: dict[SourceRef, int] = {}
    tables = [_columns(cls, list(getattr(base, name).values()), references) for name, cls in _TABLES]
    said = [
        [name, _plain(held["when"]), held["text"], _numbers(held["sources"], references), held["place"]]
        for name, held in base.disclosures.items()
    ]
    return [[[ref.id, ref.where] for ref in references], tables, said, base.digest, list(base.overrides)]


def base_of(stored: list[Any]) -> RuleBase:
    """The base from what plain() made. Raises ValueError, TypeError, KeyError or IndexError where it does not fit."""
    pairs, tables, said, contents, overrides = stored
    references = [SourceRef(name, where) for name, where in pairs]
    made = {}
    for (name, cls), columns in zip(_TABLES, tables, strict=True):
        entries = _entries(cls, columns, references)
        made[name] = dict(zip(columns[0], entries, strict=True))
    disclosures = {
        name: {
            "when": _tuples(when),
            "text": text,
            "sources": tuple([references[at] for at in numbers]),
            "place": place,
        }
        for name, when, text, numbers, place in said
    }
    return RuleBase(**made, disclosures=disclosures, digest=contents, overrides=tuple(overrides))


def _columns(cls: Any, entries: list[Any], references: dict[SourceRef, int]) -> list[list[Any]]:
    found: list[list[Any]] = []
    for name in _NAMES[cls]:
        values = [getattr(entry, name) for entry in entries]
        if name == "sources":
            found.append([_numbers(value, references) for value in values])
        elif name == "examples":
            found.append([json.dumps(_plain(value), ensure_ascii=False) if value else "" for value in values])
        elif name in _INNER:
            every = [inner for value in values for inner in value]
            found.append([[len(value) for value in values], _columns(_INNER[name], every, references)])
        else:
            found.append([_plain(value) for value in values])
    return found


def _numbers(sources: Sequence[SourceRef], references: dict[SourceRef, int]) -> list[int]:
    return [references.setdefault(source, len(references)) for source in sources]


def _entries(cls: Any, columns: list[list[Any]], references: list[SourceRef]) -> list[Any]:
    """Frozen objects from columns; fields are set at once, past the frozen setters."""
    names = _NAMES[cls]
    ready = [_reader(cls, name, references)(column) for name, column in zip(names, columns, strict=True)]
    new = object.__new__
    made = []
    for row in zip(*ready, strict=True):
        entry = new(cls)
        entry.__dict__.update(zip(names, row, strict=True))
        made.append(entry)
    return made


def _reader(cls: Any, name: str, references: list[SourceRef]) -> Callable[[list[Any]], list[Any]]:
    """What turns a stored column of a field into values of the model."""
    kind = cls.__annotations__[name]
    if name == "sources":
        return lambda column: [tuple([references[at] for at in numbers]) for numbers in column]
    if name == "examples":
        return lambda column: [Examples(text) if text else () for text in column]
    if name in _INNER:
        return lambda column: _cut(column[0], _entries(_INNER[name], column[1], references))
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
