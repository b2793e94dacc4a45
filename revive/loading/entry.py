"""Take one YAML mapping apart, key by key, and gather all that is wrong with it. Knows types, not subjects."""

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from revive.loading.gathered import Gathered, Use
from revive.loading.yaml_lines import Map, Seq
from revive.model import RESERVED_SOURCES, Question, SourceRef
from revive.problems import listed, nearest, quoted

ID = re.compile(r"[a-z][a-z0-9]*([-_][a-z0-9]+)*")
CHOICE_ID = re.compile(r"[a-z0-9]+([-_][a-z0-9]+)*")
_NUMBER = re.compile(r"-?[0-9]+(\.[0-9]+)?")
RESERVED_ANSWERS = ("dont_know", "must_know")
RESERVED_NAMES = ("all", "any", "not", "when", "then", "done", "always", "has", "times", *RESERVED_ANSWERS)
OVERLAY_KEYS = ("overrides", "approved_by", "reason")


def number_of(value: object) -> int | float | None:
    """The number that a text stands for, or None. Only plain decimal numbers of up to 20 signs count."""
    if not isinstance(value, str) or len(value) > 20 or not _NUMBER.fullmatch(value):
        return None
    return float(value) if "." in value else int(value)


def shape(value: object) -> str:
    """What stands in the file, in its own words."""
    if isinstance(value, Map):
        return "a mapping" if value else "an empty mapping"
    if isinstance(value, Seq):
        return "a list" if value else "an empty list"
    if value == "":
        return "empty"
    return "true" if value is True else "false" if value is False else quoted(value)


class Entry:
    """One mapping that becomes a model object. Each reader returns a harmless value where it reports a problem."""

    def __init__(self, gathered: Gathered, file: str, at: Map, line: int, by: str = "") -> None:
        self.gathered, self.file, self.at, self.line, self.by = gathered, file, at, line, by

    @property
    def place(self) -> str:
        return f"{self.file}:{self.line}"

    def under(self, at: Map, line: int) -> "Entry":
        """An entry for a mapping inside this one."""
        return Entry(self.gathered, self.file, at, line, self.by)

    def problem(self, line: int, code: str, what: str, mend: str) -> None:
        self.gathered.problem(self.file, line, code, what, mend)

    def use(self, kind: str, name: str, line: int, detail: Any = None) -> None:
        self.gathered.uses.append(Use(kind, name, self.file, line, self.by, detail))

    def line_of(self, key: str) -> int:
        return self.at.lines.get(key, self.line)

    def wrong(self, line: int, key: str, value: object, wanted: str, mend: str) -> None:
        self.problem(line, "wrong-type", f"{key} is {shape(value)}; {wanted} was expected", mend)

    def keys(self, known: Sequence[str], needed: Iterable[str] = ()) -> None:
        """Report keys that nobody reads and keys that are missing."""
        allowed = [*known, *OVERLAY_KEYS] if self.gathered.overlay else known
        missing = [key for key in needed if key not in self.at]
        for key, line in self.at.lines.items():
            if key not in allowed:
                close = nearest(key, [*missing, *known])
                missing = [name for name in missing if name != close]  # one slip of the pen, told once
                mend = f"Did you mean '{close}'?" if close else f"Known here: {listed(known, 24)}."
                self.problem(line, "unknown-key", f"nothing reads the key {quoted(key)}", mend)
        for key in missing:
            self.problem(self.line, "missing-key", f"{self.by or 'this entry'} has no '{key}'", f"Add: {key}: …")

    def text(self, key: str, default: str = "") -> str:
        value = self.at.get(key)
        if value is None:
            return default
        if not isinstance(value, str):
            self.wrong(self.line_of(key), key, value, "a text", f"Write: {key}: some words")
        elif not value.strip():
            self.wrong(self.line_of(key), key, "", "a text", f"Write the words, or take out '{key}:'.")
        else:
            return value.strip()
        return default

    def number(self, key: str, default: float = 0) -> int | float:
        if key not in self.at:
            return default
        number = number_of(self.at[key])
        if number is None:
            self.wrong(self.line_of(key), key, self.at[key], "a number", f"Write: {key}: 30")
            return default
        return number

    def whole(self, key: str, default: int = 0, least: int = 0) -> int:
        if key not in self.at:
            return default
        number = number_of(self.at[key])
        if not isinstance(number, int) or number < least:
            wanted = "a whole number" + (f" from {least}" if least else "")
            self.wrong(self.line_of(key), key, self.at[key], wanted, f"Write: {key}: {max(least, 30)}")
            return default
        return number

    def flag(self, key: str) -> bool:
        value = self.at.get(key, False)
        if not isinstance(value, bool):
            self.wrong(self.line_of(key), key, value, "true or false", f"Write: {key}: true")
            return False
        return value

    def one_of(self, key: str, choices: Sequence[str], default: str = "") -> str:
        value = self.at.get(key)
        if value is None:
            return default
        if not isinstance(value, str) or value not in choices:
            close = nearest(value, choices) if isinstance(value, str) else ""
            mend = f"Write: {key}: {close}" if close else f"Choose one of: {', '.join(choices)}."
            what = f"{key} is {shape(value)}; one of {', '.join(choices)} was expected"
            self.problem(self.line_of(key), "out-of-choices", what, mend)
            return default or choices[0]
        return value

    def items(self, key: str) -> list[tuple[Any, int]]:
        """The items of a list with their lines; one item may stand without brackets."""
        value = self.at.get(key)
        if value is None:
            return []
        if isinstance(value, Seq):
            return list(zip(value, value.lines, strict=True))
        return [(value, self.line_of(key))]

    def words(self, key: str) -> tuple[str, ...]:
        """A list of texts."""
        return tuple(word for value, line in self.items(key) for word in self.word(key, value, line))

    def word(self, key: str, value: Any, line: int) -> tuple[str, ...]:
        """One item of a list of texts; empty where it is not one."""
        if isinstance(value, str) and value.strip():
            return (value.strip(),)
        if isinstance(value, Map) and len(value) == 1:
            self.wrong(line, f"an item of {key}", value, "a text", "A colon makes a mapping: quote the whole item.")
        else:
            self.wrong(line, f"an item of {key}", value, "a text", f"Write: {key}: [one, another]")
        return ()

    def names(self, key: str, kind: str) -> tuple[str, ...]:
        """A list of ids of one kind; each is noted as a use."""
        found: dict[str, int] = {}
        for value, line in self.items(key):
            if not isinstance(value, str) or not value:
                self.wrong(line, f"an item of {key}", value, f"the id of a {kind}", f"Write: {key}: [one, another]")
            elif value in found:
                self.problem(line, "named-twice", f"{key} names {quoted(value)} twice", "Take one of them out.")
            else:
                found[value] = line
                self.use(kind, value, line)
        return tuple(found)

    def name(self, key: str, kind: str) -> str:
        value = self.text(key)
        if value:
            self.use(kind, value, self.line_of(key))
        return value

    def maps(self, key: str) -> list["Entry"]:
        """A list of mappings."""
        found = []
        for value, line in self.items(key):
            if isinstance(value, Map):
                found.append(self.under(value, line))
            else:
                self.wrong(line, f"an item of {key}", value, "a mapping", f"Write: {key}: [{{name: value}}]")
        return found

    def map(self, key: str) -> "Entry":
        """The mapping under a key; an empty one where it is missing."""
        value = self.at.get(key)
        if value is not None and not isinstance(value, Map):
            self.wrong(self.line_of(key), key, value, "a mapping", f"Write: {key}: {{name: value}}")
        if isinstance(value, Map):
            return self.under(value, self.line_of(key))
        return self.under(Map(self.line_of(key)), self.line_of(key))

    def sources(self, key: str = "source") -> tuple[SourceRef, ...]:
        """common_practice, from_memory, {id: …, where: …} or a list of these."""
        found = []
        if isinstance(self.at.get(key), Seq) and not self.at[key]:
            self.wrong(self.line_of(key), key, self.at[key], "a source id", "Write: source: common_practice")
        for value, line in self.items(key):
            if isinstance(value, Map):
                inner = self.under(value, line)
                inner.keys(("id", "where"), ("id",))
                reference = SourceRef(inner.text("id"), inner.text("where"))
            elif isinstance(value, str) and value:
                reference = SourceRef(value)
            else:
                mend = "Write: source: common_practice, or source: {id: …, where: clause 3}"
                self.wrong(line, key, value, "a source id", mend)
                continue
            if reference.id in RESERVED_SOURCES and reference.where:
                mend = "Take out 'where:', or name the published source."
                self.problem(line, "source-place", f"'{reference.id}' has no pages to point at", mend)
            if reference.id:
                self.use("source", reference.id, line)
                found.append(reference)
        return tuple(found)

    def answer(self, question: Question | None, value: Any, line: int, key: str, in_range: bool = True) -> Any:
        """A value of a question, checked: a choice, a number, or a tuple of choices. None where it does not fit."""
        if question is None or value == "dont_know":
            return tuple(value) if isinstance(value, Seq) else value
        if question.kind == "number":
            number = number_of(value)
            if number is None:
                self.wrong(line, key, value, f"a number ({question.unit or 'count'})", f"Write: {key}: {question.low}")
            elif in_range and not question.low <= number <= question.high:
                what = f"{key} is {value}; {question.low} to {question.high} {question.unit}".rstrip()
                mend = f"Mend the number, or widen the range ({question.place})."
                self.problem(line, "out-of-range", f"{what} was expected", mend)
            return number
        parts = list(value) if isinstance(value, Seq) and question.kind == "many" else [value]
        for part in parts:
            if not isinstance(part, str) or (part not in question.choices and part != "dont_know"):
                close = nearest(part, question.choices) if isinstance(part, str) else ""
                mend = f"Did you mean '{close}'?" if close else f"Choose from: {', '.join(question.choices)}."
                what = f"{key} is {shape(part)}, which is no answer of '{question.id}' ({question.place})"
                self.problem(line, "unknown-choice", what, mend)
                return None
        return tuple(parts) if question.kind == "many" else value

    def answers(self, key: str, in_range: bool = True) -> Mapping[str, Any]:
        """A mapping question -> value, checked against the questions read so far."""
        inner = self.map(key)
        found = {}
        for name, value in inner.at.items():
            self.use("answer", name, inner.line_of(name))
            known = self.gathered.table("question").get(name)
            found[name] = self.answer(known, value, inner.line_of(name), name, in_range)
        return found
