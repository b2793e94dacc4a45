"""The standard streams made fit for use: none missing, none that one odd character or a full disk can break.

A closed stream is replaced by nothing that opens a file under its number; what is printed to it is lost and counted.
"""

import contextlib
import io
import os
import sys


class Nowhere(io.TextIOBase):
    """Stands for a closed output. lost: how many characters were printed to it."""

    encoding = "utf-8"

    def __init__(self) -> None:
        self.lost = 0

    def write(self, text: str, /) -> int:
        self.lost += len(text)
        return len(text)


def steady() -> None:
    """Give every standard stream something to read or write, and let no character stop it."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            with contextlib.suppress(OSError):
                os.open(os.devnull, os.O_RDWR)  # takes the number that is free, so that no record gets it
    if sys.stdin is None:
        sys.stdin = io.StringIO()
    if sys.stdout is None:
        sys.stdout = Nowhere()
    if sys.stderr is None:
        sys.stderr = Nowhere()
    for stream in (sys.stdin, sys.stdout):
        if stream.errors == "strict" and isinstance(stream, io.TextIOWrapper):
            with contextlib.suppress(OSError, ValueError):
                stream.reconfigure(errors="replace")


def complain(text: str) -> None:
    """Say something on standard error, where there is one that takes it."""
    from revive.text import inert

    with contextlib.suppress(OSError, ValueError):
        print(inert(text), file=sys.stderr, flush=True)


def drop_output() -> None:
    """Let go of a standard output that takes nothing more, so that the end of the program does not stumble over it."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        os.close(nowhere)


def output_lost() -> bool:
    """Whether something was printed while standard output was closed."""
    return isinstance(sys.stdout, Nowhere) and sys.stdout.lost > 0
