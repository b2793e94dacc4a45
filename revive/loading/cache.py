"""The checked rule base as plain JSON in the user's cache folder. Never trusted beyond its digest, never required.

A copy that is damaged, foreign, of another version, owned by somebody else or unreadable is passed over without a word;
one that cannot be written is not written. Only a base without problems is ever stored.
"""

import gc
import os
from binascii import crc32

from revive import __version__
from revive.loading.files import digest
from revive.loading.flat import base_of, lines, shape_of_model
from revive.model import RuleBase

KEEP_COPIES = 6


def folder() -> str:
    """Where copies are kept: REVIVE_CACHE, or the user's cache folder of this system."""
    if own := os.environ.get("REVIVE_CACHE"):
        return own
    if os.name == "nt":
        return os.path.join(os.environ.get("LOCALAPPDATA") or os.path.expanduser("~"), "revive", "cache")
    return os.path.join(os.environ.get("XDG_CACHE_HOME") or os.path.expanduser("~/.cache"), "revive")


def load(contents: str, shown: str) -> RuleBase | None:
    """The stored base for these contents, or None. contents: digest of the files; shown: the names of the folders."""
    try:
        key = _key(contents, shown)
        with open(_path(key), "rb") as file:
            if _foreign(os.fstat(file.fileno())):
                return None
            head, _, body = file.read().partition(b"\n")
        if head.decode("ascii") != f"revive rules {key} {crc32(body):08x}":
            return None
        return _read(body)
    except (OSError, ValueError, TypeError, KeyError, IndexError, AttributeError, RecursionError):
        return None


def store(base: RuleBase, shown: str) -> None:
    """Keep a checked base for the next start; whole or not at all."""
    import tempfile

    try:
        key = _key(base.digest, shown)
        body = lines(base)
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
    except (OSError, ValueError, TypeError):
        return


def _read(body: bytes) -> RuleBase:
    """The base from its JSON. Nothing in it can be garbage yet, so the collector may rest meanwhile."""
    collects = gc.isenabled()
    gc.disable()
    try:
        return base_of(body)
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
    """Whether somebody else owns the file or may write to it."""
    return hasattr(os, "getuid") and (state.st_uid != os.getuid() or bool(state.st_mode & 0o022))


def _drop_old(where: str) -> None:
    copies = [entry for entry in os.scandir(where) if entry.name.startswith("rules-") and entry.name.endswith(".json")]
    for entry in sorted(copies, key=lambda entry: entry.stat().st_mtime_ns, reverse=True)[KEEP_COPIES:]:
        os.unlink(entry.path)
