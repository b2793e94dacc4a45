"""Give out a finished text: on standard output, or into a file whole or not at all."""

import os
import stat
import sys

from revive.model import ReviveError
from revive.problems import one_line


def give_out(text: str, form: str, path: str | None, record: str) -> None:
    """Print the text, or write it to `path` where one is given; form: terminal or text, else a form for programs.

    Forms for programs are UTF-8 whatever the locale says. record: the file that the text is about.
    """
    if path is not None:
        write_text(path, text, record)
    elif form in ("terminal", "text"):
        if (sys.stdout.encoding or "").lower() != "utf-8":
            from revive.wizard.screen import fits

            text = fits(text, sys.stdout.encoding)
        sys.stdout.write(text)
    else:
        if hasattr(sys.stdout, "reconfigure") and not sys.stdout.isatty():
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(text)


def write_text(path: str, text: str, record: str = "") -> None:
    """Replace the file by the text, or write it to a device or pipe; a link stays, and the file it names changes.

    Raises:
        ReviveError: where the folder or the disk does not take the file, or it is the record itself.
    """
    try:
        mode = _mode_of(path)
        if mode is not None and record and os.path.exists(record) and os.path.samefile(path, record):
            raise ReviveError(
                f"{one_line(path)}: this is the record itself; nothing was written.\n    Name another file with --out."
            )
        if mode is None or stat.S_ISREG(mode) or stat.S_ISDIR(mode):
            from revive import whole_file

            whole_file.replace(os.path.realpath(path), text.encode("utf-8", "replace"))
        else:
            handle = os.open(path, os.O_WRONLY | getattr(os, "O_NONBLOCK", 0))
            os.set_blocking(handle, True)
            with open(handle, "w", encoding="utf-8", newline="\n", errors="replace") as file:
                file.write(text)
    except OSError as error:
        raise ReviveError(
            f"{one_line(path)}: the file cannot be written ({error.strerror or error}).\n    Name another with --out."
        ) from None


def _mode_of(path: str) -> int | None:
    try:
        return os.stat(path).st_mode
    except FileNotFoundError:
        return None
