"""`revive rules check`: show every problem of a rule base. Mends nothing."""

import argparse
import json
from collections.abc import Callable, Sequence

from revive.problems import Problem, summary, tidy

Load = Callable[[Sequence[str]], tuple[list[Problem], int]]
"""Folders (the base first, then those laid over it) -> problems and the count of files read."""


def run(arguments: argparse.Namespace) -> int:
    """Check the folder named, or the one in use, with the folders laid over it; 0 when nothing is wrong, else 1."""
    from revive.loading import default_rules_folder

    folder = arguments.folder or arguments.rules or default_rules_folder()
    return check([folder, *arguments.extra], load_afresh, print, arguments.form)


def load_afresh(paths: Sequence[str]) -> tuple[list[Problem], int]:
    """Read the folders past the cache: every problem, and how many files they hold."""
    from revive.loading import count_files, load_rules

    _, problems = load_rules(paths[0], paths[1:], use_cache=False)
    return problems, sum(map(count_files, paths))


def check(paths: Sequence[str], load: Load, echo: Callable[[str], None], as_: str = "text") -> int:
    """Show every problem; 0 when there is none, 1 otherwise. Loading and output are handed in.

    as_: "text" prints a problem in two lines each, and a count; "json" prints one object for other programs.
    """
    found, files = load(paths)
    problems = tidy(found)
    if as_ == "json":
        listed = [problem.as_json() for problem in problems]
        echo(json.dumps({"schema": "revive-rules-check/1", "files": files, "problems": listed}, ensure_ascii=False))
    else:
        for problem in problems:
            echo(str(problem))
        echo(summary(problems, files))
    return 1 if problems else 0
