"""rules/README.md does what it says: its files are written, its commands run, and what they print is what it shows.

A `…` in what it shows stands for any text; a line of it alone for any lines.
"""

import re
import shlex
from pathlib import Path

import pytest

from revive.cli import main
from revive.loading import default_rules_folder

README = Path(default_rules_folder()) / "README.md"
BLOCK = re.compile(r"(?:<!-- file: (?P<file>\S+) -->\n)?```(?P<kind>\w+)\n(?P<text>.*?)```\n", re.DOTALL)


def steps():
    """The blocks that are tried: (file or empty, kind, text)."""
    found = [(match["file"] or "", match["kind"], match["text"]) for match in BLOCK.finditer(README.read_text("utf-8"))]
    return [(file, kind, text) for file, kind, text in found if file or kind == "console"]


def commands(text):
    """Each command of a console block with what it prints."""
    parts = re.split(r"^\$ (.*)\n", text, flags=re.MULTILINE)[1:]
    return list(zip(parts[::2], parts[1::2], strict=True))


def fits(shown, printed):
    lines = shown.splitlines(keepends=True)
    pattern = "".join(
        r"(?:[^\n]*\n)*?" if line == "…\n" else r"[^\n]*?".join(map(re.escape, line.split("…"))) for line in lines
    )
    return re.fullmatch(pattern, printed) is not None


def test_a_new_user_gets_what_the_page_shows(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    tried = []
    for file, kind, text in steps():
        if file:
            place = tmp_path / file
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_text(text, "utf-8")
            continue
        assert kind == "console"
        for command, shown in commands(text):
            program, *arguments = shlex.split(command)
            assert program == "revive"
            main(arguments)
            said = capsys.readouterr()
            assert said.err == "", command
            assert fits(shown, said.out), f"{command}\nprinted:\n{said.out}\nthe page shows:\n{shown}"
            tried.append(command)
    assert len(tried) >= 7


def test_the_replacement_that_the_page_shows_is_taken_and_printed(tmp_path, monkeypatch, capsys):
    text = README.read_text("utf-8")
    limits = next(match["text"] for match in BLOCK.finditer(text) if match["text"].startswith("limits:"))
    (tmp_path / "my-club").mkdir()
    (tmp_path / "my-club" / "limits.yaml").write_text(limits, "utf-8")
    (tmp_path / "mine.yaml").write_text("record: 1\nanswers: {layout: single_wet}\n", "utf-8")
    monkeypatch.chdir(tmp_path)

    assert main(["plan", "mine.yaml", "--extra", "my-club"]) == 0

    said = " ".join(capsys.readouterr().out.split())
    assert "approved by A. Member, technical officer" in said
    assert "less strict than shipped: rule fuel-hose-old fires less often" in said


@pytest.mark.parametrize(
    ("shown", "printed", "same"),
    [
        ("one\n…\nfour\n", "one\ntwo\nthree\nfour\n", True),
        ("in … files.\n", "in 130 files.\n", True),
        ("one\n", "one\ntwo\n", False),
        ("one\n…\n", "two\nthree\n", False),
        ("a.b\n", "axb\n", False),
    ],
)
def test_what_is_shown_is_compared_word_for_word(shown, printed, same):
    assert fits(shown, printed) is same
