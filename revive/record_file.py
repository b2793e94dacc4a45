"""The bytes of a record file, and how its problems are told. Kept light: a record that is known is not read further."""

import os
import stat

from revive.model import ReviveError
from revive.problems import Problem, one_line, tidy

RECORD_BYTES = 2_000_000


class RecordProblems(ReviveError):
    """A record that cannot be used. problems: every one, with its line."""

    def __init__(self, problems: list[Problem]) -> None:
        self.problems = tidy(problems)
        super().__init__("\n".join(str(problem) for problem in self.problems))


def read_bytes(path: str | os.PathLike[str]) -> bytes:
    """The bytes of a record file; RecordProblems says why when there are none to be had."""
    name = os.fspath(path)
    try:
        if os.path.isdir(name):
            what, mend = "this is a folder; a record file was expected", f"Name a file: {one_line(name)}/NAME.yaml"
            raise RecordProblems([Problem(name, 1, "not-a-file", what, mend)])
        return _plain_bytes(name)
    except FileNotFoundError:
        mend = f"Check the name, or begin a new record with: revive ask {one_line(name)}"
        raise RecordProblems([Problem(name, 1, "no-such-file", "there is no such file", mend)]) from None
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or str(error)
        raise RecordProblems(
            [Problem(name, 1, "cannot-read", f"the file cannot be read ({said})", "Check its name and permissions.")]
        ) from None


def _plain_bytes(name: str) -> bytes:
    """The content of an ordinary file of bearable size; a pipe or device is not even waited for."""
    with open(os.open(name, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)), "rb") as file:
        if not stat.S_ISREG(os.fstat(file.fileno()).st_mode):
            what, mend = "this is not an ordinary file; a record file was expected", "Save the record to a file first."
            raise RecordProblems([Problem(name, 1, "not-a-file", what, mend)])
        data = file.read(RECORD_BYTES + 1)
    if len(data) > RECORD_BYTES:
        what = f"the file is larger than {RECORD_BYTES} bytes"
        raise RecordProblems([Problem(name, 1, "too-large", what, "Is it a record at all?")])
    return data
