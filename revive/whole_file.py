"""Put a file in its place whole or not at all: a kill at any moment leaves the old one or the new one.

Knows bytes and permissions, not what they mean. Links are not followed: the caller names the file that is meant.
"""

import contextlib
import os
import re
from collections.abc import Iterator
from io import BufferedWriter

_LONGEST_BYTES = 240
"""With its ending, half a file's name then still fits the 255 bytes that disks allow."""


@contextlib.contextmanager
def replacing(target: str, mode: int | None = None, synced: bool = False) -> Iterator[BufferedWriter]:
    """A file beside the target to write bytes into: at the end it takes the target's name, after an error it is gone.

    Args:
        mode: the permissions that it gets; None keeps those of the target, or takes those of any new file.
        synced: whether its bytes are on the disk before it takes the name, and the name before this ends.

    Raises:
        OSError: where the folder or the disk does not take it; the old file is whole.
    """
    if mode is None:
        with contextlib.suppress(FileNotFoundError):
            mode = os.stat(target).st_mode
    folder, name = os.path.split(target)
    half = os.path.join(folder, f"{_beginning(name)}{os.urandom(4).hex()}.tmp")
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_BINARY", 0)
    handle = os.open(half, flags, 0o666 if mode is None else 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            yield file
            if synced:
                file.flush()
                os.fsync(file.fileno())
        if mode is not None:
            os.chmod(half, mode & 0o7777)
        os.replace(half, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(half)
        raise
    if synced:
        with contextlib.suppress(OSError):
            _sync_folder(folder)


def replace(target: str, data: bytes, mode: int | None = None, synced: bool = False) -> None:
    """Put these bytes in place of the target; arguments and errors are those of `replacing`."""
    with replacing(target, mode, synced) as file:
        file.write(data)


def sweep(target: str) -> None:
    """Take away half-written files of this target that a killed program left. Nobody may be writing it meanwhile."""
    folder, name = os.path.split(target)
    half = re.compile(re.escape(_beginning(name)) + r"[a-z0-9_]{8}\.tmp")
    with os.scandir(folder or os.curdir) as entries:
        left = [entry.path for entry in entries if half.fullmatch(entry.name) and entry.is_file(follow_symlinks=False)]
    for path in left:
        with contextlib.suppress(OSError):
            os.unlink(path)


def _beginning(name: str) -> str:
    """How the name of every half of this file begins; four bytes are the most for a character."""
    return f".{name if len(os.fsencode(name)) <= _LONGEST_BYTES else name[: _LONGEST_BYTES // 4]}."


def _sync_folder(folder: str) -> None:
    handle = os.open(folder or os.curdir, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
