"""What anybody can try on a fresh checkout: bad records, a finding that changes the plan, and ten planted faults."""

import re
import shutil
from pathlib import Path

import pytest

from revive.cli import main
from revive.loading import default_rules_folder

SAMPLES = Path(__file__).parents[2] / "samples"
OWNERS = SAMPLES / "flat-twin" / "2-first-day.yaml"
DAY = ["--today", "2026-10-11"]
HEAD = "record: 1\nmachine: {name: Grey twin}\n"


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("REVIVE_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def twin(tmp_path):
    """A copy of the owner's sample after its first day."""
    return Path(shutil.copy(OWNERS, tmp_path / "twin.yaml"))


def files_below(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file() and "cache" not in path.parts}


# content of the record, line of the problem, code, what the sentence says, how it is mended
BAD_RECORDS = {
    "an unknown question": (
        f"{HEAD}answers:\n  years_stored: 14\n  oil_lok: milky\n".encode(),
        (5, "unknown-question", "no question is called 'oil_lok'", "Did you mean 'oil_look'"),
    ),
    "a wrong choice": (
        f"{HEAD}answers:\n  oil_look: milkey\n".encode(),
        (4, "wrong-choice", "'milkey' is not one of the answers", "Did you mean 'milky'?"),
    ),
    "a number with a comma": (
        f"{HEAD}answers:\n  layout: flat_twin_wet\n  oil_capacity_l: '2,25'\n".encode(),
        (5, "wrong-number", "has a comma", "2.25"),
    ),
    "a duplicate key": (
        f"{HEAD}answers:\n  oil_look: clear\n  years_stored: 14\n  oil_look: milky\n".encode(),
        (6, "equal-keys", "oil_look", "Keep one"),
    ),
    "an empty file": (b"", (1, "empty", "the file is empty", "record: 1")),
    "a binary file": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR\0\0", (1, "not-text", "not a text file", "Name the right file")),
}


@pytest.mark.parametrize("command", [["plan"], ["note", "oil_look=clear"], ["done", "oil_drain"], ["why", "crank"]])
@pytest.mark.parametrize("fault", BAD_RECORDS)
def test_a_bad_record_gets_a_sentence_with_place_and_mend_and_stays_untouched(fault, command, tmp_path, capsys):
    content, (line, code, what, mend) = BAD_RECORDS[fault]
    record = tmp_path / "bad.yaml"
    record.write_bytes(content)
    before = files_below(tmp_path)

    exit_code = main([command[0], str(record), *command[1:], *DAY])

    said = capsys.readouterr()
    sentence, remedy = said.err.split("\n")[:2]
    assert exit_code == 1 and said.out == ""
    assert sentence.startswith(f"{record}:{line}: ") and sentence.endswith(f"[{code}]")
    assert what in sentence and mend in remedy
    assert "Traceback" not in said.err
    assert files_below(tmp_path) == before


@pytest.mark.parametrize("command", [["plan"], ["note", "oil_look=clear"], ["done", "oil_drain"], ["ask", "--plain"]])
def test_a_folder_in_place_of_a_record_gets_a_sentence_too(command, tmp_path, capsys):
    (tmp_path / "twin.yaml").mkdir()

    exit_code = main([command[0], str(tmp_path / "twin.yaml"), *command[1:], *DAY])

    said = capsys.readouterr()
    assert exit_code == 1
    assert "this is a folder; a record file was expected [not-a-file]" in said.err and "Name a file" in said.err
    assert files_below(tmp_path) == {}


def test_a_slip_on_the_command_line_leaves_the_record_as_it_was(twin, tmp_path, capsys):
    before = files_below(tmp_path)

    for pair in ("oil_lok=milky", "oil_look=milkey", "oil_capacity_l=2 psi", "drained_l=900", "oil_look"):
        assert main(["note", str(twin), "oil_smell=petrol", pair, *DAY]) == 1, pair
        assert capsys.readouterr().err.count("\n") >= 2

    assert files_below(tmp_path) == before


def test_milky_oil_changes_the_plan_and_the_gate_says_what_now_holds_it(twin, capsys):
    main(["why", str(twin), "crank", *DAY])
    assert "water in the oil" not in capsys.readouterr().out

    assert main(["note", str(twin), "oil_look=milky", *DAY]) == 0

    said = capsys.readouterr().out
    assert "Now also holds shut: cranking and priming (crank): There is water in the oil" in said
    assert "New work: Rinse water and silt out with warm clean oil" in said
    assert main(["why", str(twin), "crank", *DAY]) == 0
    lines = capsys.readouterr().out.split("\n")
    place = next(number for number, line in enumerate(lines) if line.startswith("  - There is water in the oil"))
    assert lines[place + 1].strip().endswith("cream or grey (oil_look)")
    assert main(["plan", str(twin), "--as", "markdown", *DAY]) == 0
    plan = capsys.readouterr().out
    gate = plan[plan.index("## Gate 3") : plan.index("## Gate 4")]
    assert "SHUT" in gate.split("\n")[0] and "water in the oil" in gate


def test_why_of_a_gate_names_each_hold_the_answers_behind_it_and_the_least_that_opens_it(twin, capsys):
    from json import loads

    assert main(["plan", str(twin), "--as", "json", *DAY]) == 0
    gate = next(gate for gate in loads(capsys.readouterr().out)["gates"] if gate["id"] == "turn")
    assert main(["why", str(twin), "turn", *DAY]) == 0
    said = capsys.readouterr().out

    assert gate["state"] == "shut" and len(gate["held_by"]) >= 3
    assert [hold["text"] for hold in gate["held_by"] if hold["text"] not in said] == []
    assert "not asked yet (gear_state)" in said
    assert "(revive done RECORD rocker_covers_off)" in said and "(gear_state=neutral_ok)" in said


def test_the_steps_named_as_the_least_do_open_the_gate_and_none_can_be_left_out(twin, capsys):
    main(["why", str(twin), "turn", *DAY])
    least = capsys.readouterr().out.split("The least that would open it")[1]
    steps = re.findall(r"\((?:revive done RECORD (\w+)|(\w+=[\w.,]+))\)", least)
    assert len(steps) >= 3

    def opened_by(kept):
        trial = twin.with_name("trial.yaml")
        shutil.copy(twin, trial)
        # Answers come first and work after them, as work older than a finding is due again.
        for minute, (task, pair) in enumerate(sorted(kept)):
            command = ["done", str(trial), task, "--no-card"] if task else ["note", str(trial), pair]
            assert main([*command, "--on", f"2026-10-11T{10 + bool(task)}:{minute:02}", *DAY]) == 0
        capsys.readouterr()
        main(["why", str(trial), "turn", *DAY])
        return "(gate turn): open" in capsys.readouterr().out.split("\n")[0]

    assert opened_by(steps)
    assert not any(opened_by([step for step in steps if step != left_out]) for left_out in steps)


def test_the_shipped_rules_have_no_problem(capsys):
    assert main(["rules", "check"]) == 0
    assert re.fullmatch(r"No problem in \d+ files\.\n", capsys.readouterr().out)


def rule(**changes):
    """A small good rule file as a list of lines, with some lines replaced."""
    lines = {
        "about": "about: A planted subject",
        "rules": "rules:",
        "id": "  planted-{n}:",
        "when": "    when: {oil_smell: rotten, oil_look: tar}",
        "finding": "    finding: Planted for a test",
        "severity": "    severity: note",
        "adds": "    adds: [oil_sample]",
        "source": "    source: common_practice",
        "examples": "    examples: [{given: {oil_smell: rotten, oil_look: tar}, is: certain}, "
        "{given: {oil_smell: rotten, oil_look: dark}, is: quiet}, "
        "{given: {oil_smell: rotten, oil_look: dont_know}, is: possible}]",
    }
    return [line for line in {**lines, **changes}.values() if line is not None]


# What is planted, the line it stands on (counted by hand from the lines above), and the code that is due.
PLANTED = [
    (rule(when="    when: {oil_smel: rotten}", examples=None), 4, "unknown-question"),
    (rule(when="    when: {oil_smell: rancid}", examples=None), 4, "unknown-choice"),
    (rule(adds="    adds: [oil_sampel]"), 7, "unknown-task"),
    (rule(severity="    severity: urgent"), 6, "out-of-choices"),
    (rule(source=None), 3, "missing-key"),
    (rule(source="    source: {id: a-book-nobody-wrote, where: page 1}"), 8, "unknown-source"),
    (rule(severity="    severity: stop\n    stop: no-such-danger"), 7, "unknown-stop"),
    (rule(finding="    finding: Planted for a test\n    finding: Planted twice"), 6, "equal-keys"),
    (rule(severity="    severity: note\n    urgency: high"), 7, "unknown-key"),
    (rule(examples=None), 3, "missing-example"),
]


def test_ten_planted_faults_are_all_found_each_with_file_and_line(tmp_path, capsys):
    rules = Path(shutil.copytree(default_rules_folder(), tmp_path / "rules"))
    (rules / "findings" / "planted").mkdir()
    for number, (lines, _, _) in enumerate(PLANTED):
        text = "\n".join(lines).replace("{n}", str(number)) + "\n"
        (rules / "findings" / "planted" / f"fault-{number}.yaml").write_text(text)

    assert main(["rules", "check", str(rules)]) == 1

    said = capsys.readouterr().out
    found = re.findall(r"^rules/findings/planted/(fault-\d)\.yaml:(\d+): .* \[([a-z-]+)\]\n    \S", said, re.MULTILINE)
    due = {(f"fault-{number}", str(line), code) for number, (_, line, code) in enumerate(PLANTED)}
    assert set(found) == due and len(found) == 10
    assert re.search(r"^10 problems in 10 of \d+ files. Nothing was loaded.$", said, re.MULTILINE)
