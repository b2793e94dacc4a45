"""Numbered lines on standard input: by pipe, without a terminal, for screen readers."""

import os
import subprocess
import sys
from pathlib import Path

from revive.model import RuleBase
from revive.record import read_record

ROOT = Path(__file__).parents[2]


def run(path: Path, typed: str | None, *options: str) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "revive", "ask", *options, str(path)]
    environment = dict(os.environ, PYTHONPATH=str(ROOT), TERM="xterm")
    return subprocess.run(command, input=typed or "", capture_output=True, text=True, env=environment, timeout=60)


def test_twelve_lines_give_a_plan(base: RuleBase, path: Path) -> None:
    ended = run(path, "1\n1\n1\n14\n2\n1\n1\n2\n1\n1\n3\n2\n1\n", "--plain")

    record = read_record(path, base)
    assert ended.returncode == 0, ended.stderr
    assert len(record.answers) == 12 and record.answers["years_stored"].value == 14
    assert "\x1b" not in ended.stdout and "enough for a first plan" in ended.stdout


def test_words_and_letters_go_back_help_and_leave_open(base: RuleBase, path: Path) -> None:
    ended = run(path, "3\nback\n1\n?\nd\nl\n2 years\n", "--plain")

    answers = {name: answer.value for name, answer in read_record(path, base).answers.items()}
    assert ended.returncode == 130
    assert answers == {"start_tried": "none", "petrol_smell": "dont_know", "years_stored": 2}
    said = " ".join(ended.stdout.split())
    assert "How to look:" in said and "(your answer now)" in said


def test_a_line_that_is_not_understood_is_asked_again(base: RuleBase, path: Path) -> None:
    ended = run(path, "nobody\n1\n", "--plain")

    assert "'nobody' is not in the list" in ended.stdout
    assert list(read_record(path, base).answers) == ["start_tried"]


def test_without_a_terminal_it_says_which_command_to_use(path: Path) -> None:
    ended = run(path, None)

    assert ended.returncode == 2
    assert all(
        command in ended.stderr for command in ("revive note", "revive done", "revive plan", "revive ask --plain")
    )
    assert not path.exists()
