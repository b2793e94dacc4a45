"""Run the commands that a page shows, and compare or remake the outputs below them. Knows pages, not their subjects.

A block of the kind `console` holds lines that begin with "$ ", each with its output below; a last line "[...]" says that
the rest is left out. Blocks of the kind `sh` hold commands alone.
"""

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
MORE = "[...]"
_BLOCK = re.compile(r"^```(console|sh)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


@dataclass(frozen=True)
class Shown:
    """One command of a page and the output lines shown below it. cut: the page leaves out the rest."""

    command: str
    lines: tuple[str, ...]
    cut: bool


def commands_in(block: str) -> list[Shown]:
    """The commands of a console block, in order."""
    found = []
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        command, *lines = part.rstrip("\n").split("\n")
        while lines and not lines[-1]:
            lines.pop()
        cut = bool(lines) and lines[-1] == MORE
        found.append(Shown(command, tuple(lines[:-1] if cut else lines), cut))
    return found


def blocks(page: Path, kind: str) -> Iterator[str]:
    """The text of each block of one kind, in order."""
    for found in _BLOCK.finditer(page.read_text(encoding="utf-8")):
        if found[1] == kind:
            yield found[2]


class Bench:
    """A folder with copies of the samples and of nothing else, in which `revive` is this checkout."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder / "empty"
        shutil.copytree(ROOT / "samples", self.folder / "samples", ignore=shutil.ignore_patterns("*.plan.*"))
        tools = folder / "tools"
        tools.mkdir()
        revive = tools / "revive"
        revive.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m revive "$@"\n')
        revive.chmod(0o755)
        python = tools / "python"
        python.write_text(f'#!/bin/sh\nexec "{sys.executable}" "$@"\n')
        python.chmod(0o755)
        path = f"{tools}{os.pathsep}{os.environ['PATH']}"
        self.settings = {**os.environ, "PATH": path, "PYTHONPATH": str(ROOT), "NO_COLOR": "1", "LC_ALL": "C.UTF-8"}

    def run(self, command: str) -> tuple[int, list[str]]:
        """One command line: its exit code and the lines that it printed, talk included."""
        done = subprocess.run(
            ["bash", "-c", command],
            cwd=self.folder,
            env=self.settings,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
        )
        lines = [line.rstrip() for line in done.stdout.decode("utf-8").split("\n")]
        while lines and not lines[-1]:
            lines.pop()
        return done.returncode, lines


def as_shown(shown: Shown, lines: list[str]) -> list[str]:
    """What the page should show of these lines: as many as it does now where it leaves out the rest, else all."""
    return lines[: len(shown.lines)] if shown.cut else lines


def remake(page: Path, bench: Bench) -> bool:
    """Write the outputs of a page again; whether any differed."""
    text = page.read_text(encoding="utf-8")

    def block_again(found: re.Match[str]) -> str:
        if found[1] != "console":
            return found[0]
        out = []
        for shown in commands_in(found[2]):
            lines = as_shown(shown, bench.run(shown.command)[1])
            out += ["\n".join([f"$ {shown.command}", *lines, *([MORE] if shown.cut else [])])]
        return "```console\n" + "\n\n".join(out) + "\n```"

    new = _BLOCK.sub(block_again, text)
    if new != text:
        page.write_text(new, encoding="utf-8")
    return new != text
