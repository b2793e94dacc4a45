"""A new rule, question or task with every key and no value, put into the right file. Overwrites and decides nothing.

What is left unfilled `revive rules check` reports, each with its line.
"""

import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from revive import whole_file
from revive.loading.entry import ID, RESERVED_NAMES
from revive.loading.yaml_lines import Map, read
from revive.model import ReviveError
from revive.problems import quoted

Field = tuple[str, str, str]
"""key, what stands behind it in a new file, and what is to be written there."""

RULE: tuple[Field, ...] = (
    ("when", "", "on which answers it fires: {question: answer}"),
    ("finding", "", "what is found, in one sentence"),
    ("why", "", "why it matters, in one sentence"),
    ("severity", "", "note, attention, must_do or stop"),
    ("adds", "[]", "the tasks it calls for"),
    ("holds", "", "the gate it holds: touch, turn, crank, fire, roll, road or claim; no gate, no line"),
    ("stop", "", "the named danger it raises; none, no line"),
    ("source", "", "common_practice, from_memory, or {id: ..., where: ...}"),
    ("not_for", "", "where it is known to be wrong; nowhere known, no line"),
    ("examples", "[]", "[{given: {question: answer}, is: certain}], on and just under each limit"),
)
QUESTION: tuple[Field, ...] = (
    ("ask", "", "the question, short"),
    ("kind", "", "choice, many, number or yes_no"),
    ("choices", "{}", "answer: its words, two or more; no line for number and yes_no"),
    ("unit", "", "only for a number; else no line"),
    ("range", "[]", "only for a number, least and most; else no line"),
    ("how", "", "how to look, for cold hands"),
    ("caution", "", "only where the look itself can hurt; else no line"),
    ("why", "", "what hangs on it"),
    ("worst", "", "what don't know stands for, or must_know"),
    ("settled_by", "[]", "tasks that settle it"),
)
TASK: tuple[Field, ...] = (
    ("title", "", "what is done, as an order"),
    ("gate", "", "the gate before which it is due"),
    ("who", "", "owner, with_helper, skilled or shop"),
    ("needs_level", "", "bare, owner_kit, skilled_kit or shop"),
    ("minutes", "{least: , likely: , most: }", "hands-on minutes"),
    ("after", "[]", "tasks that come first where they are in the plan"),
    ("only_if", "", "machines that have the part; every machine, no line"),
    ("tools", "[]", "what must be at hand"),
    ("method", "[]", "the steps, one item each, as a list"),
    ("done_when", "", "what done looks like"),
    ("records", "[]", "questions that doing it answers"),
    ("finds", "[]", "of those, what it brings to light, not how it leaves things; mostly no line"),
    ("asks_again", "[]", "questions whose older answers no longer count"),
    ("cautions", "[]", "what can hurt, one item each; no danger, no line"),
    ("source", "", "common_practice, from_memory, or {id: ..., where: ...}"),
)
FIELDS = {"rule": RULE, "question": QUESTION, "task": TASK}
BLOCKS = {"rule": "rules", "question": "questions", "task": "tasks"}
_STAGE_FILES = ("1-desk", "2-walk-round", "3-hands-on", "4-hand-turning", "5-during-work")
_SHIPPED_ALONE = "gates.yaml"


@dataclass(frozen=True)
class Made:
    """A skeleton that was written: where it begins, and the fields to fill."""

    file: Path
    line: int
    fields: tuple[Field, ...]


def add_skeleton(folder: Path, kind: str, name: str, subject: str, known: dict[str, str]) -> Made:
    """Write a skeleton into a rules folder or a club's own. known: ids of this kind that are taken -> their places.

    Raises:
        ReviveError: where the id or subject cannot be one, the id is taken, or the file cannot take a new entry.
    """
    if not ID.fullmatch(name) or name in RESERVED_NAMES:
        raise ReviveError(
            f"{quoted(name)} cannot be the id of a {kind}\n    Use small letters, joined by - or _: my-rule"
        )
    taken = {**known, **dict(ids_in(folder, kind))}
    if name in taken:
        raise ReviveError(f"a {kind} called '{name}' stands in {taken[name]}\n    Give the new one another id.")
    file, head = _file_of(folder, kind, subject)
    old = _text_of(file)
    new, line = _with_entry(file, old or head, BLOCKS[kind], [f"{name}:", *_body(FIELDS[kind])])
    _write(file, new)
    return Made(file, line, FIELDS[kind])


def ids_in(folder: Path, kind: str) -> Iterator[tuple[str, str]]:
    """Every id of a kind in the YAML files of a folder, with its place."""
    for file in sorted(folder.rglob("*.yaml")) if folder.is_dir() else ():
        value = read(file.read_bytes(), str(file)).value
        block = value.get(BLOCKS[kind]) if isinstance(value, Map) else None
        if isinstance(block, Map):
            for name in block:
                yield name, f"{file.relative_to(folder.parent).as_posix()}:{block.lines[name]}"


def _file_of(folder: Path, kind: str, subject: str) -> tuple[Path, str]:
    """The file that an entry of this subject belongs into, and what stands above the entries where it is new."""
    parts = subject.split("/")
    if kind == "question":
        if subject not in ("1", "2", "3", "4", "5"):
            raise ReviveError(f"the stage is {quoted(subject)}; 1, 2, 3, 4 or 5 was expected")
        own = [file for file in sorted(folder.glob("questions/*.yaml")) if _stage_of(file) == subject]
        file = own[0] if own else folder / "questions" / f"{_STAGE_FILES[int(subject) - 1]}.yaml"
        whole = (folder / _SHIPPED_ALONE).exists() and "needs" in (folder / _SHIPPED_ALONE).read_text("utf-8")
        return file, f"stage: {subject}\n" + ("title:\ncaution:\n" if whole else "") + "questions:\n"
    wanted = 2 if kind == "rule" else 1
    if len(parts) != wanted or not all(ID.fullmatch(part) for part in parts):
        shown = "SYSTEM/SUBJECT, such as oil/oil-look" if kind == "rule" else "a subject, such as oil"
        raise ReviveError(f"the subject is {quoted(subject)}; {shown} was expected")
    place = folder / ("findings" if kind == "rule" else "tasks") / f"{subject}.yaml"
    return place, f"about:\n{BLOCKS[kind]}:\n"


def _stage_of(file: Path) -> str:
    value = read(file.read_bytes(), str(file)).value
    return str(value.get("stage", "")) if isinstance(value, Map) else ""


def _body(fields: tuple[Field, ...]) -> list[str]:
    width = max(len(f"{key}: {empty}") for key, empty, _ in fields if not empty.startswith("{l")) + 2
    return [f"  {f'{key}: {empty}'.rstrip():{width}}  # {hint}" for key, empty, hint in fields]


def _text_of(file: Path) -> str:
    try:
        return file.read_bytes().decode("utf-8")
    except FileNotFoundError:
        return ""
    except (OSError, UnicodeDecodeError):
        raise ReviveError(f"{file}: this file cannot be read as text") from None


def _with_entry(file: Path, text: str, block: str, entry: list[str]) -> tuple[str, int]:
    """The text with an entry at the end of a block, and the line where it begins."""
    document = read(text.encode(), str(file))
    top = document.value
    if document.problems or not isinstance(top, Map) or not isinstance(top.get(block, ""), Map | str):
        first = f"\n{document.problems[0]}" if document.problems else ""
        raise ReviveError(f"{file}: this file has to be mended before it can take a new entry{first}")
    lines = text.split("\n")
    at = top.lines[block] - 1 if block in top else -1
    if at < 0 or lines[at].strip() != f"{block}:":
        raise ReviveError(f"{file}: no line '{block}:' with its entries below it was found")
    later = [line - 1 for line in top.lines.values() if line - 1 > at]
    end = min(later, default=len(lines))
    while end > at + 1 and not lines[end - 1].strip():
        end -= 1
    held = top[block]
    indent = _indent_of(lines[held.lines[next(iter(held))] - 1]) if isinstance(held, Map) and held else "  "
    gap = [""] if isinstance(held, Map) and held else []
    made = [f"{indent}{line}" for line in entry]
    rest = lines[end:] or [""]
    return "\n".join([*lines[:end], *gap, *made, *rest]), end + len(gap) + 1


def _indent_of(line: str) -> str:
    return line[: len(line) - len(line.lstrip())] or "  "


def _write(file: Path, text: str) -> None:
    """Put the new text in place of the old, whole or not at all."""
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        whole_file.replace(os.path.realpath(file), text.encode())
    except OSError as error:
        raise ReviveError(f"{error.filename or file}: cannot be written ({error.strerror})") from None
