"""The files of a rules folder, and their digest. Reads bytes, understands none of them, and is kept light."""

import os
from collections.abc import Iterable

try:
    from _blake2 import blake2b  # hashlib has the same function, but loads a cryptography library with it
except ImportError:  # a Python built without it
    from hashlib import blake2b

MOST_BYTES = 50_000_000
"""All files of a folder together; a folder beyond it is not a rules folder."""
MOST_LEVELS = 20


def read_folder(folder: str) -> dict[str, bytes] | None:
    """Path below the folder, with "/" -> content, sorted by path; None where there is no such folder.

    Hidden files and folders are passed over. A file that cannot be read, or that would take the whole beyond
    MOST_BYTES, raises OSError with its name.
    """
    if not os.path.isdir(folder):
        return None
    found: dict[str, bytes] = {}
    total = 0
    for path in sorted(_paths(folder, "")):
        with open(os.path.join(folder, path), "rb", buffering=0) as file:
            total += os.fstat(file.fileno()).st_size
            if total > MOST_BYTES:
                raise OSError(27, "the folder holds more than a rule base can", os.path.join(folder, path))
            found[path] = file.read()
    return found


def _paths(folder: str, below: str) -> list[str]:
    if below.count("/") >= MOST_LEVELS:
        raise OSError(40, "folders are nested too deep for a rule base", os.path.join(folder, below))
    found: list[str] = []
    with os.scandir(os.path.join(folder, below) if below else folder) as entries:
        for entry in entries:
            if entry.name.startswith(".") or entry.name == "__pycache__":
                continue
            path = f"{below}/{entry.name}" if below else entry.name
            if entry.is_dir(follow_symlinks=False):
                found += _paths(folder, path)
            elif entry.is_file():
                found.append(path)
    return found


def digest(parts: Iterable[str | bytes]) -> str:
    """A hexadecimal digest of the parts and of where each ends."""
    made = blake2b(digest_size=20)
    for part in parts:
        data = part.encode() if isinstance(part, str) else part
        made.update(b"%d:" % len(data))
        made.update(data)
    return made.hexdigest()


def digest_of(folders: Iterable[dict[str, bytes]]) -> str:
    """The digest of the contents of one folder and those laid over it."""
    return digest(part for files in folders for part in ("folder", *(x for item in files.items() for x in item)))
