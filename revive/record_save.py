"""Write a record so that a kill at any moment leaves the old or the new file whole. Knows bytes, not records."""

import contextlib
import os
from collections.abc import Iterator
from pathlib import Path

from revive import whole_file
from revive.model import ReviveError
from revive.problems import one_line


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
    copy = f"{target}.bak"
    try:
        with _folder_lock(target.parent, path) as alone:
            _refuse_if_changed(target, read, path)
            if read is not None and not os.access(target, os.W_OK):
                raise PermissionError(13, "it is protected from writing")
            if alone:
                whole_file.sweep(str(target))
                whole_file.sweep(copy)
            if read is not None:
                whole_file.replace(copy, read, os.stat(target).st_mode, synced=True)
            whole_file.replace(str(target), new, synced=True)
    except OSError as error:
        raise ReviveError(
            f"{one_line(path)}: the record cannot be written ({error.strerror or error}{_other(error, target)}).\n"
            "    The old file is whole. Check the disk and the permissions of the folder, then give the command again."
        ) from None


def _refuse_if_changed(target: Path, read: bytes | None, shown: str | Path) -> None:
    there = target.exists()
    if there != (read is not None) or (there and not (target.is_file() and target.read_bytes() == read)):
        raise ChangedMeanwhile(
            f"{one_line(shown)}: another program has changed this record since it was read here. Nothing was written.\n"
            "    Give the command again: it then works on the newer file."
        )


@contextlib.contextmanager
def _folder_lock(folder: Path, shown: str | Path) -> Iterator[bool]:
    """Let one program at a time save into a folder; the lock ends with the program, however it ends.

    Gives whether it is certain that no other program saves here, which it is not where a system has no such locks.
    """
    try:
        import fcntl
    except ImportError:  # no such locks on this system: the check for changes still stands
        yield False
        return
    alone = True
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
                    f"{one_line(shown)}: another program is writing a record in this folder. Nothing was written.\n"
                    "    Wait for it to end, then give the command again."
                ) from None
        except OSError:
            alone = False  # a file system without locks: the check for changes still stands
        yield alone
    finally:
        os.close(handle)


def _other(error: OSError, target: Path) -> str:
    """The name of the file that stands in the way, where it is not the record itself."""
    names = [os.path.basename(str(name)) for name in (error.filename2, error.filename) if name]
    return next((f": {one_line(name)}" for name in names if name == target.name + ".bak"), "")
