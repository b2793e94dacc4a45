"""Rule files on disk -> one checked RuleBase, or every problem in them at once. Judges no machine."""

import os
from collections.abc import Sequence

from revive.loading import cache, files
from revive.model import ReviveError, RuleBase
from revive.problems import Problem, tidy

__all__ = ["count_files", "default_rules_folder", "load_rules"]


def default_rules_folder() -> str:
    """The shipped rules: inside the installed package, or beside it in a checkout."""
    package = os.path.dirname(os.path.dirname(os.path.abspath(__file__)))
    for place in (os.path.join(package, "rules"), os.path.join(os.path.dirname(package), "rules")):
        if os.path.isdir(place):
            return place
    raise ReviveError("The rules are missing from this installation. Install it again, or name a folder with --rules.")


def load_rules(
    folder: str | os.PathLike[str], extra: Sequence[str | os.PathLike[str]] = (), use_cache: bool = True
) -> tuple[RuleBase | None, list[Problem]]:
    """Read and check a rules folder, with further folders laid over it in order.

    Returns the base and no problem, or None and every problem found, in file and line order.
    A later folder adds entries and may replace limits by name; anything else it replaces only with
    `overrides`, `approved_by` and `reason`. A base that was checked before comes from the cache.
    """
    folders = [os.fspath(place) for place in (folder, *extra)]
    contents: list[dict[str, bytes]] = []
    problems = []
    for place in folders:
        try:
            found = files.read_folder(place)
        except OSError as error:
            name, reason = error.filename or place, error.strerror or "it cannot be opened"
            mend = "Look at its permissions, or take it out of the folder."
            problems.append(Problem(name, 1, "unreadable-file", f"this file was not read: {reason}", mend))
            continue
        if found is None:
            mend = "Name the folder that holds gates.yaml and its neighbours."
            problems.append(Problem(place, 1, "no-folder", "there is no such folder", mend))
        else:
            contents.append(found)
    if problems:
        return None, tidy(problems)
    digest = files.digest_of(contents)
    shown = [_shown(place) for place in folders]
    if use_cache and (base := cache.load(digest, "\n".join(shown))):
        return base, []
    from revive.loading.build import build

    base, problems = build(list(zip(shown, contents, strict=True)), digest)
    if base is not None and use_cache:
        cache.store(base, "\n".join(shown))
    return base, tidy(problems)


def count_files(folder: str) -> int:
    """How many files a rules folder holds; 0 where it cannot be read."""
    try:
        return len(files.read_folder(folder) or ())
    except OSError:
        return 0


def _shown(folder: str) -> str:
    """The folder's name as problems show it: the last part of its path."""
    return os.path.basename(os.path.abspath(folder)) or folder
