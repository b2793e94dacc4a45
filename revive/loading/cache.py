"""What was read and checked before, as plain JSON in the user's cache folder: rule bases here, records in kept_record.py.
Never trusted beyond its digest, never required.

A copy that is damaged, foreign, of another version, owned by somebody else or unreadable is passed over without a word;
one that cannot be written is not written. Only a base without problems is ever stored.
"""

import gc
import os
import stat
from binascii import crc32

from revive import __version__
from revive.loading.files import digest
from revive.loading.flat import base_of, lines, shape_of_model
from revive.model import RuleBase

KEEP_COPIES, STALE_S, MOST_BYTES = 6, 3600, 100_000_000
"""Copies kept; how old half a copy is when it is taken away; no copy is larger."""


def folder() -> str:
    """Where copies are kept: REVIVE_CACHE, or the user's cache folder of this system.

    Raises:
        OSError: where this user has no home, and nothing is kept.
    """
    if own := os.environ.get("REVIVE_CACHE"):
        return own
    if os.name == "nt":
        return os.path.join(os.environ.get("LOCALAPPDATA") or os.path.expanduser("~"), "revive", "cache")
    kept = os.environ.get("XDG_CACHE_HOME", "")
    if os.path.isabs(kept):  # the standard has relative names passed over
        return os.path.join(kept, "revive")
    home = os.path.expanduser("~")
    if home == os.sep or not os.path.isabs(home) or not os.path.isdir(home):
        raise FileNotFoundError(2, "this user has no home", home)
    return os.path.join(home, ".cache", "revive")


def load(contents: str, shown: str) -> RuleBase | None:
    """The stored base for these contents, or None. contents: digest of the files; shown: the names of the folders."""
    body = read_copy("rules", _key(contents, shown))
    if body is None:
        return None
    try:
        return _read(body)
    except (ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError, MemoryError):
        return None


def store(base: RuleBase, shown: str) -> None:
    """Keep a checked base for the next start; whole or not at all."""
    try:
        body = lines(base)
    except (ValueError, TypeError, RecursionError, MemoryError):
        return
    write_copy("rules", _key(base.digest, shown), body, KEEP_COPIES)


def read_copy(kind: str, key: str) -> bytes | None:
    """What was stored under this key, whole and by this user; else None."""
    try:
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        with open(os.open(_path(kind, key), flags), "rb", buffering=0) as file:
            if _foreign(os.fstat(file.fileno())):
                return None
            head, _, body = file.read().partition(b"\n")
    except (OSError, MemoryError):
        return None
    return body if head == _head(kind, key, body) else None


def write_copy(kind: str, key: str, body: bytes, most: int) -> None:
    """Store it for this user alone, whole or not at all; of its kind the `most` newest stay."""
    try:
        from revive import whole_file

        where = folder()
        os.makedirs(where, mode=0o700, exist_ok=True)
        whole_file.replace(_path(kind, key), _head(kind, key, body) + b"\n" + body, 0o600)
        _drop_old(where, kind, most)
    except (OSError, MemoryError):
        return


def key_of(*parts: str | bytes) -> str:
    """A digest of the parts, the version and the state of what reads and checks: a copy made by other code is never used."""
    here = os.path.dirname(__file__)
    places = [os.path.join(here, name) for name in sorted(os.listdir(here)) if name.endswith(".py")]
    states = [os.stat(place) for place in (*places, os.path.join(os.path.dirname(here), "record.py"))]
    return digest((*parts, __version__, *(f"{state.st_size} {state.st_mtime_ns}" for state in states)))


def _read(body: bytes) -> RuleBase:
    """The base from its JSON. Nothing in it can be garbage yet, so the collector may rest meanwhile."""
    collects = gc.isenabled()
    gc.disable()
    try:
        return base_of(body)
    finally:
        if collects:
            gc.enable()


def _head(kind: str, key: str, body: bytes) -> bytes:
    return f"revive {kind} {key} {crc32(body):08x}".encode()


def _path(kind: str, key: str) -> str:
    return os.path.join(folder(), f"{kind}-{key}.json")


def _key(contents: str, shown: str) -> str:
    return key_of(contents, shown, *shape_of_model())


def _foreign(state: os.stat_result) -> bool:
    """Whether it is no ordinary file of bearable size, or somebody else owns it or may write to it."""
    if not stat.S_ISREG(state.st_mode) or state.st_size > MOST_BYTES:
        return True
    return hasattr(os, "getuid") and (state.st_uid != os.getuid() or bool(state.st_mode & 0o022))


def _drop_old(where: str, kind: str, most: int) -> None:
    """Take away the oldest copies of a kind, and halves that a killed program left."""
    import time

    copies, stale = [], time.time() - STALE_S
    for entry in os.scandir(where):
        if entry.name.startswith(f"{kind}-") and entry.name.endswith(".json"):
            copies.append(entry)
        elif entry.name.startswith(f".{kind}-") and entry.name.endswith(".tmp") and entry.stat().st_mtime < stale:
            os.unlink(entry.path)
    for entry in sorted(copies, key=lambda entry: entry.stat().st_mtime_ns, reverse=True)[most:]:
        os.unlink(entry.path)
