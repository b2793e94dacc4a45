"""YAML text -> plain values that know their lines. Reads rule files and records alike; knows no schema.

Values are text as typed (`no`, `010` and `12:30` stay words), plain `true` and `false`, lists and mappings.
Refused, each with its line: tags, anchors, aliases, merges, equal keys, keys that are not text, a second document,
tabs, control characters, bytes that are not UTF-8, files beyond the size limit and nesting beyond MOST_LEVELS.
CRLF line ends and a leading byte order mark are accepted.
"""

import re
from typing import Any

from revive.problems import Problem, quoted

RULE_FILE_BYTES = 2_000_000
MOST_LEVELS = 40
MOST_PROBLEMS = 1000
"""So many problems of one file are told; mending them shows the rest."""

_SWALLOW = "\x00"  # stands for a refused key until its value has passed
_CONTROL = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ufeff]")


class Map(dict[str, Any]):
    """A mapping of the file. line: where it begins; lines: key -> line of that key."""

    __slots__ = ("line", "lines")

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line
        self.lines: dict[str, int] = {}


class Seq(list[Any]):
    """A list of the file. line: where it begins; lines: the line of each item."""

    __slots__ = ("line", "lines")

    def __init__(self, line: int) -> None:
        super().__init__()
        self.line = line
        self.lines: list[int] = []


class Document:
    """What one file holds. value: Map, Seq, text, bool, or None where nothing could be read or nothing stands.

    full: more problems were found than are told; reading may stop.
    """

    def __init__(self, file: str) -> None:
        self.file = file
        self.value: Any = None
        self.problems: list[Problem] = []
        self.full = False

    def problem(self, line: int, code: str, what: str, mend: str) -> None:
        if len(self.problems) < MOST_PROBLEMS:
            self.problems.append(Problem(self.file, line, code, what, mend))
        elif not self.full:
            self.full = True
            what, mend = f"more than {MOST_PROBLEMS} problems; the rest is not told", "Mend those above first."
            self.problems.append(Problem(self.file, line, "too-many", what, mend))


def read(data: bytes, file: str, most_bytes: int = RULE_FILE_BYTES) -> Document:
    """Read one document. file: the name to show in problems. Expected trouble is in `problems`, never raised."""
    document = Document(file)
    text = _decoded(data, document, most_bytes)
    if text is not None:
        _parse(text, document)
    return document


def _decoded(data: bytes, document: Document, most_bytes: int) -> str | None:
    """The text with plain line ends, or None when it must not be parsed."""
    if len(data) > most_bytes:
        document.problem(
            1,
            "too-large",
            f"the file has {len(data)} bytes; at most {most_bytes} are read",
            "Split it into files of one subject each, or take out what does not belong.",
        )
        return None
    try:
        text = data.decode("utf-8")
    except UnicodeDecodeError as error:
        document.problem(
            data.count(b"\n", 0, error.start) + 1,
            "not-utf8",
            f"byte {error.start + 1} of the file is not UTF-8 text",
            "Save the file with the encoding UTF-8.",
        )
        return None
    text = text.removeprefix("\ufeff")
    text = text.replace("\r\n", "\n")
    if _CONTROL.search(text):
        for found in _CONTROL.finditer(text):
            document.problem(
                text.count("\n", 0, found.start()) + 1,
                "control-character",
                f"a character that cannot be seen stands here (U+{ord(found.group()):04X})",
                "Delete it and type the line again.",
            )
            if len(document.problems) >= 20:
                break
        return None
    if "\t" in text:
        for number, line in enumerate(text.split("\n"), 1):
            if "\t" in line:
                document.problem(number, "tab", "a tab stands here; spaces were expected", "Put two spaces a level.")
                if document.full:
                    return None
        text = text.replace("\t", "  ")
    return text


def _parse(text: str, document: Document) -> None:
    import yaml

    loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
    try:
        document.value = _build(yaml, yaml.parse(text, Loader=loader), document)
    except yaml.YAMLError as error:
        document.value = None
        mark = getattr(error, "problem_mark", None) or getattr(error, "context_mark", None)
        line = min(mark.line + 1, max(1, text.rstrip().count("\n") + 1)) if mark else 1
        said = str(getattr(error, "problem", "") or error)
        if "nesting depth" in said:
            _refuse_depth(line, document)
            return
        what, mend = _syntax_words(said)
        begun = getattr(error, "context_mark", None)
        if begun is not None and mark is not None and begun.line + 1 < line:
            mend += f" What it belongs to begins in line {begun.line + 1}."
        document.problem(line, "yaml-syntax", what, mend)


_SYNTAX = (
    ("mapping values are not allowed", "a colon stands where none can be", "Put the text between double quotes."),
    ("could not find expected ':'", "a key without its colon was found", "Write: key: value"),
    ("expected <block end>", "this line does not fit the lines above it", "Line it up with its neighbours."),
    ("expected ',' or", "a bracket is not closed, or a comma is missing", "Look at the brackets and commas."),
    ("while scanning a quoted", "a quote mark is not closed", "Close the quote."),
    ("unexpected end of stream", "a quote mark or bracket is not closed", "Close it."),
    ("cannot start any token", "a text begins with a sign that YAML keeps for itself", "Put the text between quotes."),
    ("unknown escape", "an unknown escape stands in double quotes", "Use single quotes, or double the backslash."),
    ("undefined tag handle", "a tag stands here; rules and records have none", "Take out the word with '!'."),
)


def _syntax_words(said: str) -> tuple[str, str]:
    for key, what, mend in _SYNTAX:
        if key in said:
            return what, mend
    return f"this cannot be read as YAML ({said})", "Compare it with a file that is read."


def _build(yaml: Any, events: Any, document: Document) -> Any:
    """One pass over the events, with its own stack, so that depth is bounded here and not by the machine."""
    scalar, alias = yaml.ScalarEvent, yaml.AliasEvent
    starts, map_start = (yaml.MappingStartEvent, yaml.SequenceStartEvent), yaml.MappingStartEvent
    ends = (yaml.MappingEndEvent, yaml.SequenceEndEvent)
    root: Any = None
    stack: list[tuple[Any, str | None]] = []  # the open container and the key that waits for its value
    here: Any = None
    key: str | None = None
    documents = 0
    skip = 0  # levels inside a key that is not text
    for event in events:
        if document.full:
            return None
        kind = type(event)
        if kind is scalar:
            _refuse_marks(event, document)
            if skip:
                continue
            value: Any = event.value
            line = event.start_mark.line + 1
            if type(here) is Map and key is None:
                key = _key(value, line, here, document)
                continue
            if event.style in (None, ""):
                if value == "true" or value == "false":
                    value = value == "true"
            elif event.style == '"' and ("\t" in value or _CONTROL.search(value)):
                _refuse_escape(line, document)
                value = ""
        elif kind in starts:
            _refuse_marks(event, document)
            line = event.start_mark.line + 1
            if skip or (type(here) is Map and key is None):
                if not skip:
                    _refuse_key(line, document)
                skip += 1
                continue
            value = Map(line) if kind is map_start else Seq(line)
        elif kind in ends:
            if skip:
                skip -= 1
                if not skip:
                    key = _SWALLOW
                continue
            here, key = stack.pop()
            continue
        elif kind is alias:
            line = event.start_mark.line + 1
            document.problem(line, "yaml-alias", f"an alias stands here (*{event.anchor})", _NO_ALIAS)
            if skip:
                continue
            if type(here) is Map and key is None:
                key = _SWALLOW
                continue
            value = f"*{event.anchor}"
        elif kind is yaml.DocumentStartEvent:
            documents += 1
            if documents > 1:
                line = event.start_mark.line + 1
                document.problem(line, "yaml-documents", "a second document begins here", "Take out the line '---'.")
                return root
            continue
        else:
            continue
        if type(here) is Map:
            if key is not None and key != _SWALLOW:
                here[key] = value
            key = None
        elif type(here) is Seq:
            here.append(value)
            here.lines.append(line)
        else:
            root = value if not (value == "" and kind is scalar and event.style in (None, "")) else None
        if type(value) is Map or type(value) is Seq:
            stack.append((here, key))
            here, key = value, None
            if len(stack) > MOST_LEVELS:
                _refuse_depth(line, document)
                return None
    return root


_NO_ALIAS = "Write the value out where it is used; rules and records have no anchors or aliases."


def _key(value: str, line: int, here: Map, document: Document) -> str:
    if value in here.lines:
        document.problem(
            line,
            "equal-keys",
            f"the key {quoted(value)} stands here a second time; the first is in line {here.lines[value]}",
            "Keep one of the two, or put both contents under one key.",
        )
        return _SWALLOW
    if value == "<<":
        document.problem(line, "yaml-merge", "a merge ('<<') stands here", _NO_ALIAS)
        return _SWALLOW
    if _CONTROL.search(value):
        _refuse_escape(line, document)
        return _SWALLOW
    here.lines[value] = line
    return value


def _refuse_key(line: int, document: Document) -> None:
    document.problem(line, "yaml-key", "a list or mapping stands where a key was expected", "Write: name: value")


def _refuse_depth(line: int, document: Document) -> None:
    document.problem(line, "too-deep", f"more than {MOST_LEVELS} levels are nested here", "Write it flatter.")


def _refuse_escape(line: int, document: Document) -> None:
    what = "this text holds a character that cannot be seen, written as an escape"
    document.problem(line, "control-character", what, "Take out the backslash and what follows it.")


def _refuse_marks(event: Any, document: Document) -> None:
    if event.anchor is not None:
        line = event.start_mark.line + 1
        document.problem(line, "yaml-anchor", f"an anchor stands here (&{event.anchor})", _NO_ALIAS)
    if event.tag is not None:
        line = event.start_mark.line + 1
        document.problem(
            line,
            "yaml-tag",
            f"a tag stands here ({quoted(event.tag)})",
            "Take out the word with '!'; values stay as typed.",
        )
