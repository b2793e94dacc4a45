"""Write a record so that a kill at any moment leaves the old or the new file whole. Knows bytes, not records."""

import contextlib
import os
import tempfile
from collections.abc import Iterator
from pathlib import Path

from revive.model import ReviveError


class ChangedMeanwhile(ReviveError):
    """Another program wrote the record, or is writing it, since it was read here."""


def save(path: str | Path, new: bytes, read: bytes | None) -> None:
    """Replace a record by new bytes and keep the old ones beside it as NAME.yaml.bak.

    Args:
        path: the record; a symbolic link is followed, and the file that it names is replaced.
        read: the bytes that this program read, None where there was no file.

    Raises:
        ChangedMeanwhile: where the file is no longer what was read; nothing is written.
        ReviveError: where the folder or the disk does not take the file; the old one is whole.
    """
    target = Path(os.path.realpath(path))
    try:
        with _folder_lock(target.parent, path):
            _refuse_if_changed(target, read, path)
            if read is not None:
                _replace(target.with_name(target.name + ".bak"), read, target)
            _replace(target, new, target)
    except OSError as error:
        raise ReviveError(
            f"{path}: the record cannot be written ({error.strerror or error}).\n"
            "    The old file is whole. Check the disk and the permissions of the folder, then give the command again."
        ) from None


def _refuse_if_changed(target: Path, read: bytes | None, shown: str | Path) -> None:
    now = target.read_bytes() if target.exists() else None
    if now != read:
        raise ChangedMeanwhile(
            f"{shown}: another program has changed this record since it was read here. Nothing was written.\n"
            "    Give the command again: it then works on the newer file."
        )


@contextlib.contextmanager
def _folder_lock(folder: Path, shown: str | Path) -> Iterator[None]:
    """Let one program at a time save into a folder; the lock ends with the program, however it ends."""
    try:
        import fcntl
    except ImportError:  # no such locks on this system: the check for changes still stands
        yield
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        try:
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            import time

            time.sleep(0.2)
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except BlockingIOError:
                raise ChangedMeanwhile(
                    f"{shown}: another program is writing a record in this folder. Nothing was written.\n"
                    "    Wait for it to end, then give the command again."
                ) from None
        except OSError:
            pass  # a file system without locks: the check for changes still stands
        yield
    finally:
        os.close(handle)


def _replace(target: Path, data: bytes, like: Path) -> None:
    """Put data in place of target by way of a temporary file in the same folder, synced before and after."""
    handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".tmp", dir=target.parent)
    try:
        with open(handle, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(name, like.stat().st_mode & 0o7777 if like.exists() else 0o666 & ~_umask())
        os.replace(name, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(name)
        raise
    with contextlib.suppress(OSError):
        folder = os.open(target.parent, os.O_RDONLY)
        try:
            os.fsync(folder)
        finally:
            os.close(folder)


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
