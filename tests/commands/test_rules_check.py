"""`rules check` shows every problem, in order and with a count, and says by its exit code whether there was one."""

import argparse
import json
from pathlib import Path

from revive.commands.rules_check import check, run
from revive.problems import Problem

LATER = Problem("rules/b.yaml", 2, "tab", "a tab stands here", "Put spaces.")
EARLIER = Problem("rules/a.yaml", 9, "bad-id", "no id", "Write one.")


def test_problems_are_printed_in_order_with_a_count():
    said = []

    code = check(["rules"], lambda paths: ([LATER, EARLIER, LATER], 41, ()), said.append)

    assert code == 1
    assert said == [
        "rules/a.yaml:9: no id [bad-id]\n    Write one.",
        "rules/b.yaml:2: a tab stands here [tab]\n    Put spaces.",
        "2 problems in 2 of 41 files. Nothing was loaded.",
    ]


def test_a_good_base_is_one_line_and_exit_code_0():
    said = []

    assert check(["rules"], lambda paths: ([], 1, ()), said.append) == 0
    assert said == ["No problem in 1 file."]


def test_other_programs_get_one_json_object():
    said = []

    code = check(["rules"], lambda paths: ([EARLIER], 41, ()), said.append, as_="json")

    assert code == 1
    assert json.loads("".join(said)) == {
        "schema": "revive-rules-check/1",
        "files": 41,
        "problems": [
            {"file": "rules/a.yaml", "line": 9, "code": "bad-id", "what": "no id", "mend": "Write one."},
        ],
        "replaced": [],
    }


def test_the_folders_are_handed_on_as_given():
    asked = []

    check(["rules", "club"], lambda paths: (asked.extend(paths) or [], 0, ()), lambda line: None)

    assert asked == ["rules", "club"]


def test_the_command_checks_the_folder_that_it_is_given(tmp_path, capsys):
    small_base = Path(__file__).parent.parent / "loading" / "small_base"
    empty = tmp_path / "club"
    (empty / "findings").mkdir(parents=True)
    (empty / "notes.txt").write_text("x", "utf-8")
    asked = argparse.Namespace(folder=str(small_base), rules=None, extra=[], form="text")

    good = run(asked), capsys.readouterr().out
    asked.extra = [str(empty)]
    bad = run(asked), capsys.readouterr().out

    assert good == (0, "No problem in 16 files.\n")
    assert bad[0] == 1
    assert bad[1].startswith("club/notes.txt:1: nothing reads a file called 'notes.txt' [unknown-file]\n")
    assert bad[1].endswith("\n1 problem in 1 of 17 files. Nothing was loaded.\n")


def test_code_hosts_get_one_command_for_each_problem_that_they_show_beside_the_line():
    said = []
    odd = Problem("rules/a,b:c.yaml", 3, "tab", "100 % wrong\nin two lines", "Put spaces")

    code = check(["rules"], lambda paths: ([EARLIER, odd], 41, ()), said.append, as_="annotations")

    assert code == 1
    assert said == [
        "::error file=rules/a%2Cb%3Ac.yaml,line=3,title=tab::100 %25 wrong%0Ain two lines. Put spaces",
        "::error file=rules/a.yaml,line=9,title=bad-id::no id. Write one.",
        "2 problems in 2 of 41 files. Nothing was loaded.",
    ]


def test_what_a_folder_replaces_is_told(capsys):
    club = str(Path(__file__).parent.parent / "extra" / "good")
    asked = argparse.Namespace(folder=None, rules=None, extra=[club], form="text")

    assert run(asked) == 0
    told = [line for line in capsys.readouterr().out.splitlines() if line.startswith("Replaced: ")]

    assert any("fuel_hose_keeps_y" in line and "4" in line for line in told)
