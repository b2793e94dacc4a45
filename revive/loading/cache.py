"""The checked rule base as plain JSON in the user's cache folder. Never trusted beyond its digest, never required.

A copy that is damaged, foreign, of another version, owned by somebody else or unreadable is passed over without a word;
one that cannot be written is not written. Only a base without problems is ever stored.
"""

import gc
import json
import os
import stat
from binascii import crc32

from revive import __version__
from revive.loading.files import digest
from revive.loading.flat import base_of, plain, shape_of_model
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
    try:
        key = _key(contents, shown)
        handle = os.open(_path(key), os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
        with open(handle, "rb") as file:
            if _foreign(os.fstat(file.fileno())):
                return None
            head, _, body = file.read().partition(b"\n")
        if head.decode("ascii") != f"revive rules {key} {crc32(body):08x}":
            return None
        return _read(body)
    except (OSError, ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError, MemoryError):
        return None


def store(base: RuleBase, shown: str) -> None:
    """Keep a checked base for the next start; whole or not at all."""
    import tempfile

    try:
        key = _key(base.digest, shown)
        body = json.dumps(plain(base), ensure_ascii=False, separators=(",", ":")).encode()
        where = folder()
        os.makedirs(where, mode=0o700, exist_ok=True)
        handle, temporary = tempfile.mkstemp(prefix=".rules-", suffix=".part", dir=where)
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(f"revive rules {key} {crc32(body):08x}\n".encode() + body)
            os.replace(temporary, _path(key))
        except BaseException:
            os.unlink(temporary)
            raise
        _drop_old(where)
    except (OSError, ValueError, TypeError, RecursionError, MemoryError):
        return


def _read(body: bytes) -> RuleBase:
    """The base from its JSON. Nothing in it can be garbage yet, so the collector may rest meanwhile."""
    collects = gc.isenabled()
    gc.disable()
    try:
        return base_of(json.loads(body.decode()))
    finally:
        if collects:
            gc.enable()


def _path(key: str) -> str:
    return os.path.join(folder(), f"rules-{key}.json")


def _key(contents: str, shown: str) -> str:
    """Contents, version, shape of the model and state of the checker: a copy made by other code is never used."""
    here = os.path.dirname(__file__)
    checker = []
    for name in sorted(os.listdir(here)):
        if name.endswith(".py"):
            state = os.stat(os.path.join(here, name))
            checker.append(f"{name} {state.st_size} {state.st_mtime_ns}")
    return digest((contents, shown, __version__, *shape_of_model(), *checker))


def _foreign(state: os.stat_result) -> bool:
    """Whether it is no ordinary file of bearable size, or somebody else owns it or may write to it."""
    if not stat.S_ISREG(state.st_mode) or state.st_size > MOST_BYTES:
        return True
    return hasattr(os, "getuid") and (state.st_uid != os.getuid() or bool(state.st_mode & 0o022))


def _drop_old(where: str) -> None:
    """Take away the oldest copies, and halves that a killed program left."""
    import time

    copies, stale = [], time.time() - STALE_S
    for entry in os.scandir(where):
        if entry.name.startswith("rules-") and entry.name.endswith(".json"):
            copies.append(entry)
        elif entry.name.startswith(".rules-") and entry.name.endswith(".part") and entry.stat().st_mtime < stale:
            os.unlink(entry.path)
    for entry in sorted(copies, key=lambda entry: entry.stat().st_mtime_ns, reverse=True)[KEEP_COPIES:]:
        os.unlink(entry.path)
