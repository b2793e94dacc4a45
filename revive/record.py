"""Read one machine's record and check it against the rule base. All problems at once; changes nothing."""

import re
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from revive.engine.dates import is_date
from revive.loading.yaml_lines import Document, Map, Seq, read
from revive.model import DONT_KNOW, HOW, Answer, MakerFigure, Question, Record, RuleBase, Value, Work
from revive.problems import Problem, listed, nearest, quoted
from revive.record_file import RECORD_BYTES, RecordProblems, read_bytes

MOST_LINES, LONGEST_TEXT = 100, 10_000
"""Of what is said about a machine: entries, and characters of one of them."""
SECTIONS = ("record", "machine", "answers", "done", "maker", "readings", "earlier")
__all__ = ["RecordProblems", "WrongValue", "check_value", "parse_record", "read_bytes", "read_record"]
_NUMBER = re.compile(r"-?[0-9]{1,15}(\.[0-9]{1,15})?")


def read_record(path: str | Path, base: RuleBase) -> Record:
    """Read a record file.

    Raises:
        RecordProblems: with every problem, when the file cannot be read or does not fit the rule base.
    """
    return parse_record(read_bytes(path), str(path), base)


def parse_record(data: bytes, name: str, base: RuleBase) -> Record:
    """Check the bytes of a record. name: shown in problems.

    Raises:
        RecordProblems: with every problem.
    """
    if b"\0" in data[:8192]:
        raise RecordProblems(
            [
                Problem(
                    name,
                    1,
                    "not-text",
                    "this is not a text file; a record in YAML was expected",
                    "Name the right file.",
                )
            ]
        )
    document = read(data, name, RECORD_BYTES)
    record = _Checker(document, base).record()
    if document.problems:
        raise RecordProblems(document.problems)
    return record


class _Checker:
    """Takes one document apart; every problem lands in the document."""

    def __init__(self, document: Document, base: RuleBase) -> None:
        self.document, self.base = document, base

    def problem(self, line: int, code: str, what: str, mend: str) -> None:
        self.document.problem(line, code, what, mend)

    def record(self) -> Record:
        top = self.document.value
        if not isinstance(top, Map):
            if not self.document.problems:
                empty = top is None
                what = (
                    "the file is empty" if empty else "this is not a record: a list of 'key: value' lines was expected"
                )
                self.problem(1, "empty" if empty else "wrong-type", what, "Write as its first line: record: 1")
            return Record()
        for key in top:
            if self.document.full:
                break
            if key not in SECTIONS:
                self.unknown(top.lines[key], "section", key, SECTIONS)
        if top.get("record") != "1":
            line = top.lines.get("record", 1)
            found = quoted(top["record"]) if "record" in top else "missing"
            self.problem(line, "wrong-version", f"the record's version is {found}; 1 was expected", "Write: record: 1")
        return Record(
            machine=self.machine(self.section(top, "machine", Map)),
            answers=self.each(self.section(top, "answers", Map), self.answer),
            done=self.each(self.section(top, "done", Map), self.work),
            maker=self.each(self.section(top, "maker", Map), self.maker),
            readings=tuple(
                self.reading(item, line) for item, line in self.items(top, "readings") if not self.document.full
            ),
            earlier=tuple(self.plain(item) for item, _ in self.items(top, "earlier") if isinstance(item, Map)),
        )

    def section(self, top: Map, name: str, kind: type) -> Any:
        value = top.get(name)
        if value is None or value == "":
            return kind(1)
        if not isinstance(value, kind):
            wanted = "a list" if kind is Seq else "'key: value' lines"
            what = f"'{name}' holds {quoted(value)}; {wanted} was expected"
            self.problem(top.lines[name], "wrong-type", what, f"Write {wanted} below '{name}:', two spaces further in.")
            return kind(1)
        return value

    def items(self, top: Map, name: str) -> list[tuple[Any, int]]:
        section = self.section(top, name, Seq)
        return list(zip(section, section.lines, strict=True))

    def each(self, section: Map, check: Callable[[str, Any, int], Any]) -> dict[str, Any]:
        found = {}
        for key, value in section.items():
            if self.document.full:
                break
            found[key] = check(key, value, section.lines[key])
        return {key: value for key, value in found.items() if value is not None}

    def unknown(self, line: int, kind: str, name: str, known: Mapping[str, Any] | tuple[str, ...]) -> None:
        close = nearest(name, known)
        place = getattr(known[close], "place", "") if close and isinstance(known, Mapping) else ""
        mend = (
            f"Did you mean '{close}'" + (f" ({place})?" if place else "?")
            if close
            else f"Take it out, or see the {kind}s."
        )
        self.problem(line, f"unknown-{kind}", f"no {kind} is called {quoted(name)}", mend)

    def machine(self, section: Map) -> dict[str, str]:
        if len(section) > MOST_LINES:
            what = f"'machine' has {len(section)} entries; at most {MOST_LINES} are kept"
            self.problem(section.line, "too-large", what, "Put what was seen into answers, the rest into notes.")
            return {}
        said = {key: self.text(value) for key, value in section.items()}
        for key, text in said.items():
            if len(text) > LONGEST_TEXT or len(key) > LONGEST_TEXT:
                what = f"{quoted(key)} has more than {LONGEST_TEXT} characters"
                self.problem(section.lines[key], "too-long", what, "Keep what a reader of the plan needs.")
        return said

    def text(self, value: Any) -> str:
        return str(value) if not isinstance(value, bool) else str(value).lower()

    def plain(self, value: Any) -> Any:
        if isinstance(value, Map):
            return {key: self.plain(item) for key, item in value.items()}
        if isinstance(value, Seq):
            return [self.plain(item) for item in value]
        if isinstance(value, str) and _NUMBER.fullmatch(value) and not re.fullmatch(r"-?0\d+", value):
            return float(value) if "." in value else int(value)
        return self.text(value)

    def answer(self, name: str, given: Any, line: int) -> Answer | None:
        question = self.base.questions.get(name)
        if question is None:
            if name in self.base.facts:
                mend = "Take it out; it is worked out from other answers."
                self.problem(line, "unknown-question", f"'{name}' is never asked", mend)
            else:
                self.unknown(line, "question", name, self.base.questions)
            return None
        entry = given if isinstance(given, Map) else None
        value: Any = given
        if entry is not None:
            self.only(entry, ("value", "on", "by", "how", "unit", "note"), f"answer '{name}'")
            if "value" not in entry:
                self.problem(line, "missing-key", f"'{name}' has no value", f"Write: {name}: {{value: …}}")
                return None
            value = entry["value"]
            if "unit" in entry and entry["unit"] != question.unit:
                what = f"'{name}' is in {quoted(entry['unit'])}; {question.unit or 'no unit'} was expected"
                self.problem(entry.lines["unit"], "wrong-unit", what, f"Give the value in {question.unit or 'words'}.")
                return None
        checked = self.value(question, value, line)
        if checked is None:
            return None
        how = self.text(entry.get("how", "")) if entry else ""
        if how and entry and how not in HOW:
            self.problem(
                entry.lines["how"], "wrong-choice", f"'how' is {quoted(how)}", f"Write one of: {', '.join(HOW)}."
            )
        return Answer(checked, self.date(entry), self.text(entry.get("by", "")) if entry else "", how)

    def value(self, question: Question, value: Any, line: int) -> Value | None:
        try:
            return check_value(question, [*value] if isinstance(value, Seq) else value)
        except WrongValue as wrong:
            self.problem(line, wrong.code, f"{question.id}: {wrong.what}", wrong.mend)
            return None

    def only(self, entry: Map, known: tuple[str, ...], where: str) -> None:
        for key in entry:
            if key not in known:
                mend = (
                    f"Did you mean '{nearest(key, known)}'?"
                    if nearest(key, known)
                    else f"Known are: {', '.join(known)}."
                )
                self.problem(entry.lines[key], "unknown-key", f"{where} has an unknown key {quoted(key)}", mend)

    def date(self, entry: Map | None) -> str:
        if not entry or entry.get("on", "") == "":
            return ""
        text = self.text(entry["on"])
        if not is_date(text):
            what = f"'on' is {quoted(text)}; a date was expected"
            self.problem(
                entry.lines["on"], "wrong-date", what, "Write it as 2026-11-21, or 2026-11-21T10:40 with a time."
            )
            return ""
        return text

    def work(self, name: str, given: Any, line: int) -> Work | None:
        if name not in self.base.tasks:
            self.unknown(line, "task", name, self.base.tasks)
            return None
        if isinstance(given, Map):
            details = {key: self.plain(value) for key, value in given.items() if key not in ("on", "by", "note")}
            by, note = self.text(given.get("by", "")), self.text(given.get("note", ""))
            return Work(self.date(given), by, note, details)
        if isinstance(given, str) and is_date(given):
            return Work(given)
        if given in ("", True):
            return Work()
        what = f"'{name}' holds {quoted(given)}; the date of the work was expected"
        self.problem(line, "wrong-type", what, f"Write: {name}: {{on: 2026-11-21, by: owner}}")
        return None

    def maker(self, name: str, given: Any, line: int) -> MakerFigure | None:
        limit = self.base.limits.get(name)
        if limit is None:
            self.unknown(line, "limit", name, self.base.limits)
            return None
        entry = given if isinstance(given, Map) else Map(line)
        value = entry.get("value", "") if isinstance(given, Map) else given
        self.only(entry, ("value", "unit", "where"), f"figure '{name}'")
        if not isinstance(value, str) or not _NUMBER.fullmatch(value):
            what = f"'{name}' is {quoted(value)}; a number in {limit.unit} was expected"
            self.problem(line, "wrong-type", what, f"Write: {name}: {{value: {limit.value:g}, unit: {limit.unit}}}")
            return None
        if entry.get("unit", limit.unit) != limit.unit:
            what = f"'{name}' is in {quoted(entry['unit'])}; {limit.unit} was expected"
            self.problem(entry.lines["unit"], "wrong-unit", what, f"Give it in {limit.unit}.")
            return None
        return MakerFigure(float(value), limit.unit, self.text(entry.get("where", "")))

    def reading(self, item: Any, line: int) -> Mapping[str, Any]:
        if not isinstance(item, Map) or not isinstance(item.get("what"), str):
            mend = "Write: {what: compression_bar, on: 2026-11-22, cylinder: 1, value: 8.6}"
            self.problem(line, "wrong-type", "a reading names what was read and its value", mend)
            return {}
        self.date(item)
        plain = self.plain(item)
        return dict(plain)


class WrongValue(Exception):
    """A value that a question does not take; code, what and mend as in a Problem."""

    def __init__(self, code: str, what: str, mend: str) -> None:
        self.code, self.what, self.mend = code, what, mend
        super().__init__(what)


def check_value(question: Question, value: Any) -> Value:
    """The value as a record holds it, or WrongValue. value: text as typed, or a list of texts."""
    if isinstance(value, list):
        if question.kind != "many":
            raise WrongValue("wrong-type", "a list was found; one value was expected", "Keep one of them.")
        ticked = tuple(str(_choice(question, item)) for item in value)
        alone = [choice for choice in ticked if choice in question.none]
        if alone and len(set(ticked)) > 1:
            raise WrongValue(
                "excludes",
                f"'{alone[0]}' excludes the others, yet {listed(ticked)} stand together",
                "Keep what was seen.",
            )
        if not ticked:
            raise WrongValue("wrong-type", "the list is empty", f"Write {listed(question.none) or 'what was seen'}.")
        return tuple(dict.fromkeys(ticked))
    if isinstance(value, bool):
        value = "true" if value else "false"
    if not isinstance(value, str):
        raise WrongValue("wrong-type", f"{quoted(value)} was found; one value was expected", "Write the value itself.")
    if value == DONT_KNOW:
        return DONT_KNOW
    if question.kind == "number":
        return _number(question, value)
    chosen = _choice(question, value)
    return (chosen,) if question.kind == "many" else chosen


def _choice(question: Question, value: Any) -> str:
    choices = question.choices or {"yes": "", "no": ""}
    if not isinstance(value, str) or (value not in choices and value != DONT_KNOW):
        close = nearest(str(value), [*choices, DONT_KNOW])
        mend = (f"Did you mean '{close}'? " if close else "") + f"Known are: {', '.join([*choices, DONT_KNOW])}."
        raise WrongValue("wrong-choice", f"{quoted(value)} is not one of the answers", mend)
    return value


def _number(question: Question, value: str) -> float:
    unit = f" in {question.unit}" if question.unit else ""
    if re.fullmatch(r"-?\d+,\d+", value):
        mend = f"Write it with a point: {value.replace(',', '.')}"
        raise WrongValue("wrong-number", f"{quoted(value)} has a comma; a number{unit} was expected", mend)
    if not _NUMBER.fullmatch(value):
        mend = f"Write a number{unit} from {question.low:g} to {question.high:g}, or dont_know."
        raise WrongValue("wrong-number", f"{quoted(value)} was found; a number{unit} was expected", mend)
    number = float(value)
    if not question.low <= number <= question.high:
        what = f"{number:g} {question.unit} is outside {question.low:g} to {question.high:g} {question.unit}".replace(
            "  ", " "
        )
        raise WrongValue(
            "out-of-range", what, "Look again; if it is right, write what is nearest and say so in a note."
        )
    return number
