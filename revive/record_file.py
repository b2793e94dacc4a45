"""The bytes of a record file, and how its problems are told. Kept light: a record that is known is not read further."""

import os

from revive.model import ReviveError
from revive.problems import Problem, tidy

RECORD_BYTES = 10_000_000


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
            raise RecordProblems(
                [
                    Problem(
                        name,
                        1,
                        "not-a-file",
                        "this is a folder; a record file was expected",
                        f"Name a file: {name}/NAME.yaml",
                    )
                ]
            )
        if os.path.exists(name) and os.stat(name).st_size > RECORD_BYTES:
            raise RecordProblems(
                [
                    Problem(
                        name, 1, "too-large", f"the file is larger than {RECORD_BYTES} bytes", "Is it a record at all?"
                    )
                ]
            )
        with open(name, "rb") as file:
            return file.read()
    except FileNotFoundError:
        mend = f"Check the name, or begin a new record with: revive ask {name}"
        raise RecordProblems([Problem(name, 1, "no-such-file", "there is no such file", mend)]) from None
    except (OSError, ValueError) as error:
        said = getattr(error, "strerror", None) or str(error)
        raise RecordProblems(
            [Problem(name, 1, "cannot-read", f"the file cannot be read ({said})", "Check its name and permissions.")]
        ) from None
