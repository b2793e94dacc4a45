"""The files of a club's folder: records found, names of sheets, and what was made last time. Plans nothing.

Reads only plain files; writes only inside the folder for the sheets, each file whole or not at all. The list of what
was made is plain data; a line of it that is damaged is left out, and its sheet is made again.
"""

import contextlib
import io
import json
import os
import re
import stat
from collections.abc import Callable, Iterator, Mapping
from hashlib import sha256
from pathlib import Path
from typing import Any, TextIO

from revive import whole_file
from revive.model import ReviveError

MADE = "club-made.jsonl"
SHEETS = "machines"
_SAFE = re.compile(r"[a-z0-9][a-z0-9._-]{0,59}")
_RESERVED = re.compile(r"(?:con|prn|aux|nul|com\d|lpt\d)(?:\..*)?")


def record_names(folder: Path) -> list[str]:
    """Names of the records in a folder, sorted; hidden files and other kinds are left out. Folders in it are not read."""
    try:
        with os.scandir(folder) as entries:
            found = [
                entry.name
                for entry in entries
                if entry.name.lower().endswith((".yaml", ".yml")) and not entry.name.startswith(".")
            ]
    except OSError as error:
        raise ReviveError(
            f"{shown(str(folder))}: the folder cannot be read ({error.strerror or error})\n    Name a folder of records."
        ) from None
    if not found:
        raise ReviveError(f"{shown(str(folder))}: no record is in it\n    A record is a file such as grey-twin.yaml.")
    return sorted(found, key=os.fsencode)


def is_plain_file(path: Path) -> bool:
    """Whether a name leads to an ordinary file, so that reading it cannot hang or reach a device."""
    try:
        return stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError):
        return False


def shown(name: str) -> str:
    """A file name as it may be printed, whatever bytes it holds."""
    text = os.fsencode(name).decode("utf-8", "replace")
    return "".join(char if char.isprintable() else "?" for char in text)


def label_of(name: str) -> str:
    """The machine's label in the club: the name of its record."""
    return shown(name[: -len(".yaml")] if name.lower().endswith(".yaml") else name)


def sheet_name(name: str) -> str:
    """A safe, lasting file name for a record's sheets, without ending; no two records share one.

    >>> sheet_name("grey-twin.yaml"), sheet_name("../a b.yaml") == sheet_name("..-a-b.yaml")
    ('grey-twin', False)
    """
    stem = name.removesuffix(".yaml")
    if stem != name and _SAFE.fullmatch(stem) and not _RESERVED.fullmatch(stem) and not stem.endswith("."):
        return stem
    plain = re.sub(r"[^a-z0-9]+", "-", shown(stem).lower()).strip("-")[:40] or "machine"
    return f"{plain}--{sha256(os.fsencode(name)).hexdigest()[:10]}"


def out_folder(given: str | None, folder: Path) -> Path:
    """The folder for the sheets, made if it is not there; refuses to be led elsewhere by links inside it."""
    out = Path(given) if given else folder / "club-sheets"
    try:
        if not given and out.is_symlink():
            raise ReviveError(f"{shown(str(out))}: this is a link\n    Name the folder itself with --out.")
        (out / SHEETS).mkdir(parents=True, exist_ok=True)
        if (out / SHEETS).is_symlink():
            raise ReviveError(f"{shown(str(out / SHEETS))}: this is a link\n    Take it out; sheets go into a folder.")
    except OSError as error:
        raise ReviveError(
            f"{shown(str(out))}: the folder cannot be made ({error.strerror or error})\n    Name another with --out."
        ) from None
    return out


@contextlib.contextmanager
def whole(target: Path) -> Iterator[TextIO]:
    """A text to write that appears under its name only when it is complete."""
    with (
        whole_file.replacing(str(target)) as held,
        io.TextIOWrapper(held, encoding="utf-8", newline="\n", errors="replace") as file,
    ):
        yield file


def write_whole(target: Path, text: str) -> int:
    """Write a text whole or not at all; gives its size in bytes."""
    data = text.encode("utf-8", "replace")
    whole_file.replace(str(target), data)
    return len(data)


class MadeBefore:
    """What was made last time, read once from front to back beside the sorted records; all in plain data."""

    def __init__(self, path: Path) -> None:
        self._entries = _entries(path)
        self._next = next(self._entries, None)
        self.gone: list[str] = []

    def find(self, name: str) -> Mapping[str, Any] | None:
        """The entry of a record; those before it have no record any more, and are told in `gone`."""
        while self._next is not None and os.fsencode(self._next["file"]) < os.fsencode(name):
            self.gone.append(self._next["file"])
            self._next = next(self._entries, None)
        if self._next is None or self._next["file"] != name:
            return None
        found, self._next = self._next, next(self._entries, None)
        return found

    def rest(self) -> None:
        """Read to the end."""
        while self._next is not None:
            self.gone.append(self._next["file"])
            self._next = next(self._entries, None)


def made_line(name: str, key: str, sizes: Mapping[str, int], row: Mapping[str, Any]) -> str:
    """One line about one record, with a sum that tells whether it was damaged since."""
    body = json.dumps({"file": name, "key": key, "sizes": sizes, "row": row}, sort_keys=True)
    return f"{sha256(body.encode()).hexdigest()[:16]} {body}\n"


def rows_of(path: Path) -> Callable[[], Iterator[Mapping[str, Any]]]:
    """The rows of a list that was just made, as often as they are wanted."""
    return lambda: (entry["row"] for entry in _entries(path))


def _entries(path: Path) -> Iterator[Mapping[str, Any]]:
    if path.is_symlink() or not is_plain_file(path):
        return
    try:
        with open(path, encoding="utf-8", errors="replace") as file:
            for line in file:
                total, _, body = line.rstrip("\n").partition(" ")
                if sha256(body.encode()).hexdigest()[:16] != total:
                    continue
                try:
                    entry = json.loads(body)
                except ValueError:
                    continue
                if _is_entry(entry):
                    yield entry
    except OSError:
        return


def _is_entry(entry: Any) -> bool:
    wanted = {"file": str, "key": str, "sizes": dict, "row": dict}
    return isinstance(entry, dict) and all(isinstance(entry.get(key), kind) for key, kind in wanted.items())


def still_there(out: Path, sizes: Mapping[str, Any]) -> bool:
    """Whether the sheets of an entry are there as they were written."""
    for name, size in sizes.items():
        path = out / SHEETS / name
        if not _SHEET.fullmatch(name) or path.is_symlink() or not is_plain_file(path) or path.stat().st_size != size:
            return False
    return True


_SHEET = re.compile(r"[a-z0-9][a-z0-9._-]{0,79}\.(?:html|md)")


def remove_sheets(out: Path, record: str) -> None:
    """Take away the sheets of a record that is gone or broken: an old plan must not pass for a new one."""
    for ending in (".html", ".md"):
        path = out / SHEETS / f"{sheet_name(record)}{ending}"
        if not path.is_symlink() and is_plain_file(path):
            path.unlink()
