"""`revive rules check`: show every problem of a rule base. Mends nothing."""

import argparse
import json
from collections.abc import Callable, Sequence

from revive.problems import Problem, one_line, summary, tidy
from revive.text import inert, inert_json

Load = Callable[[Sequence[str]], tuple[list[Problem], int, Sequence[str]]]
"""Folders (the base first, then those laid over it) -> problems, the count of files read, and what was replaced."""


def run(arguments: argparse.Namespace) -> int:
    """Check the folder named, or the one in use, with the folders laid over it; 0 when nothing is wrong, else 1."""
    from revive.loading import default_rules_folder

    folder = arguments.folder or arguments.rules or default_rules_folder()
    return check([folder, *arguments.extra], load_afresh, print, arguments.form)


def load_afresh(paths: Sequence[str]) -> tuple[list[Problem], int, Sequence[str]]:
    """Read the folders past the cache and prove what they hold."""
    from revive.loading import count_files, load_rules

    base, problems = load_rules(paths[0], paths[1:], use_cache=False)
    if base is not None:
        from revive.loading.proof import prove

        problems = prove(base)
    return problems, sum(map(count_files, paths)), base.overrides if base else ()


def check(paths: Sequence[str], load: Load, echo: Callable[[str], None], as_: str = "text") -> int:
    """Show every problem; 0 when there is none, 1 otherwise. Loading and output are handed in.

    as_: "text" prints a problem in two lines each, what the folders replace, and a count; "json" prints one object for other programs;
    "annotations" prints the workflow commands that code hosts show beside the line, and the count.
    """
    found, files, replaced = load(paths)
    problems = tidy(found)
    if as_ == "json":
        listed = [problem.as_json() for problem in problems]
        told = {"schema": "revive-rules-check/1", "files": files, "problems": listed, "replaced": list(replaced)}
        echo(inert_json(json.dumps(told, ensure_ascii=False)))
    else:
        for problem in problems:
            echo(inert(annotation(problem) if as_ == "annotations" else str(problem)))
        for text in replaced:
            echo(f"Replaced: {one_line(text)}")
        echo(summary(problems, files))
    return 1 if problems else 0


def annotation(problem: Problem) -> str:
    """A problem as a workflow command: one line, its special characters written as the command asks."""
    file, title = (_in_command(text).replace(":", "%3A").replace(",", "%2C") for text in (problem.file, problem.code))
    return f"::error file={file},line={problem.line},title={title}::{_in_command(f'{problem.what}. {problem.mend}')}"


def _in_command(text: str) -> str:
    return text.replace("%", "%25").replace("\r", "%0D").replace("\n", "%0A")
