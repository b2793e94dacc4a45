"""One thing wrong with a file, as a volunteer should read it. Decides nothing and prints nothing itself."""

from collections.abc import Iterable

from revive.frozen import Frozen

LONGEST_NAME = 80
"""Nothing longer is taken for a slip in writing a name."""

LONGEST_NAME = 80
"""Nothing longer is taken for a slip in writing a name."""


class Problem(Frozen):
    """One thing wrong with the rule base or a record. Lines count from 1; `code` is stable."""

    file: str
    line: int
    code: str
    what: str
    mend: str

    def __str__(self) -> str:
        what, mend = (" ".join(text.splitlines()) for text in (self.what, self.mend))
        return f"{one_line(self.file)}:{self.line}: {what} [{self.code}]\n    {mend}"

    def as_json(self) -> dict[str, str | int]:
        return {"file": self.file, "line": self.line, "code": self.code, "what": self.what, "mend": self.mend}


def problem_at(place: str, code: str, what: str, mend: str) -> Problem:
    """A problem at the place of an entry, FILE:LINE."""
    file, _, line = place.rpartition(":")
    return Problem(file or place, int(line) if line.isdigit() else 1, code, what, mend)


def tidy(problems: Iterable[Problem]) -> list[Problem]:
    """The problems in file and line order, each once."""
    return sorted(set(problems), key=lambda one: (one.file, one.line, one.code, one.what, one.mend))


def summary(problems: list[Problem], files: int) -> str:
    """The last line under a list of problems; `files` is how many files were read."""
    if not problems:
        return f"No problem in {_count(files, 'file')}."
    bad = len({problem.file for problem in problems})
    return f"{_count(len(problems), 'problem')} in {bad} of {_count(files, 'file')}. Nothing was loaded."


def one_line(name: object) -> str:
    """A file name as it may be printed: on one line, a question mark for each character that cannot be seen.

    >>> one_line("a\\nb.yaml")
    'a?b.yaml'
    """
    return "".join(char if char.isprintable() else "?" for char in str(name))


def quoted(text: object, most: int = 60) -> str:
    """A value from a file between quote marks, in one line and cut to a readable length."""
    flat = " ".join("".join(char if char.isprintable() else " " for char in str(text)).split())
    return f"'{flat}'" if len(flat) <= most else f"'{flat[: most - 1]}…'"


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name that looks most like `name`, or an empty text."""
    from difflib import get_close_matches

    if len(name) > LONGEST_NAME:
        return ""
    close = get_close_matches(name, list(known), n=1, cutoff=0.6)
    return close[0] if close else ""


def listed(names: Iterable[str], most: int = 12) -> str:
    """Names in one line, cut after `most` with the count of the rest."""
    every = list(names)
    rest = len(every) - most
    return ", ".join(every[:most]) + (f" and {rest} more" if rest > 0 else "")


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
