"""`rules new` puts a whole empty entry into the right file, touches nothing else, and the check tells what is left."""

import pytest

from revive.cli import main
from revive.loading import load_rules
from revive.loading.schema_questions import KEYS as QUESTION_KEYS
from revive.loading.schema_rules import RULE_KEYS
from revive.loading.schema_tasks import KEYS as TASK_KEYS
from revive.skeleton import FIELDS, QUESTION, RULE, TASK


def new(capsys, *arguments):
    code = main(["rules", "new", *map(str, arguments)])
    said = capsys.readouterr()
    return code, said.out, said.err


def unfilled(rules, *extra):
    _, problems = load_rules(str(rules), [str(folder) for folder in extra])
    return problems


RULE_PAGE = """\
about:
rules:
  club-oil:
    when:           # on which answers it fires: {question: answer}
    finding:        # what is found, in one sentence
    why:            # why it matters, in one sentence
    severity:       # note, attention, must_do or stop
    adds: []        # the tasks it calls for
    holds:          # the gate it holds: touch, turn, crank, fire, roll, road or claim; no gate, no line
    stop:           # the named danger it raises; none, no line
    source:         # common_practice, from_memory, or {id: ..., where: ...}
    not_for:        # where it is known to be wrong; nowhere known, no line
    examples: []    # [{given: {question: answer}, is: certain}], on and just under each limit
"""


def test_a_rule_gets_a_new_file_with_every_key_and_the_words_to_fill_it(rules, tmp_path, capsys):
    club = tmp_path / "club"

    code, out, _ = new(capsys, "rule", "club-oil", "oil/ours", "--in", club, "--rules", rules)

    assert code == 0
    assert (club / "findings/oil/ours.yaml").read_text("utf-8") == RULE_PAGE
    assert out.startswith(f"Wrote {club.as_posix()}/findings/oil/ours.yaml, line 3: an empty rule called club-oil.\n")
    assert out.endswith(f"Then: revive rules check --extra {club}\n")


def test_what_is_left_unfilled_is_told_line_by_line(rules, tmp_path, capsys):
    club = tmp_path / "club"
    new(capsys, "rule", "club-oil", "oil/ours", "--in", club, "--rules", rules)

    assert [(problem.line, problem.code) for problem in unfilled(rules, club)] == [
        (1, "wrong-type"),
        *((line, "wrong-type") for line in (4, 5, 6)),
        (7, "out-of-choices"),
        *((line, "wrong-type") for line in (9, 10, 11, 12)),
    ]


@pytest.mark.parametrize(
    ("kind", "name", "subject", "file"),
    [
        ("rule", "more", "oil/look", "findings/oil/look.yaml"),
        ("task", "oil_wipe", "oil", "tasks/oil.yaml"),
        ("question", "oil_colour", "3", "questions/3-hands-on.yaml"),
    ],
)
def test_an_entry_goes_below_the_others_of_its_file_which_stay_as_they_were(rules, capsys, kind, name, subject, file):
    before = (rules / file).read_text("utf-8")

    code, out, _ = new(capsys, kind, name, subject, "--in", rules, "--rules", rules)

    after = (rules / file).read_text("utf-8")
    assert code == 0
    assert after.startswith(before.rstrip("\n") + f"\n\n  {name}:\n")
    assert out.endswith(f"Then: revive rules check {rules}\n")
    told = unfilled(rules)
    assert {problem.file for problem in told} == {f"rules/{file}"}
    assert all(problem.line > before.count("\n") for problem in told)
    assert len(told) >= 6


def test_an_entry_goes_before_what_follows_its_block(rules, capsys):
    file = rules / "tasks/oil.yaml"
    about, rest = file.read_text("utf-8").split("\n", 1)
    file.write_text(f"{rest}{about}\n", "utf-8")

    assert new(capsys, "task", "oil_wipe", "oil", "--in", rules, "--rules", rules)[0] == 0

    after = file.read_text("utf-8")
    assert after.index("  oil_wipe:") < after.index("about: Old oil out")
    assert "oil_drain" in after


def test_a_question_of_a_club_names_only_its_stage_and_one_of_a_base_its_title_too(rules, tmp_path, capsys):
    club = tmp_path / "club"
    new(capsys, "question", "colour", "2", "--in", club, "--rules", rules)
    new(capsys, "question", "colour", "2", "--in", rules, "--rules", rules)

    assert (club / "questions/2-walk-round.yaml").read_text("utf-8").startswith("stage: 2\nquestions:\n  colour:\n")
    head = (rules / "questions/2-walk-round.yaml").read_text("utf-8")
    assert head.startswith("stage: 2\ntitle:\ncaution:\nquestions:\n  colour:\n")


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("rule", "oil-gritty", "oil/ours"), "a rule called 'oil-gritty' stands in rules/findings/oil/look.yaml:3\n"),
        (("rule", "Oil", "oil/ours"), "'Oil' cannot be the id of a rule\n"),
        (("rule", "not", "oil/ours"), "'not' cannot be the id of a rule\n"),
        (("rule", "ours", "oil"), "the subject is 'oil'; SYSTEM/SUBJECT, such as oil/oil-look was expected\n"),
        (("rule", "ours", "../../oil"), "the subject is '../../oil'; SYSTEM/SUBJECT"),
        (("task", "ours", "oil/look"), "the subject is 'oil/look'; a subject, such as oil was expected\n"),
        (("question", "ours", "6"), "the stage is '6'; 1, 2, 3, 4 or 5 was expected\n"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(rules, tmp_path, capsys, arguments, words):
    club = tmp_path / "club"

    code, out, err = new(capsys, *arguments, "--in", club, "--rules", rules)

    assert (code, out) == (1, "")
    assert err.startswith(words)
    assert not club.exists()


def test_a_file_that_cannot_be_read_is_left_as_it_is(rules, capsys):
    file = rules / "findings/oil/look.yaml"
    file.write_text("about: x\nrules: {a: [\n", "utf-8")

    code, _, err = new(capsys, "rule", "ours", "oil/look", "--in", rules, "--rules", rules)

    assert code == 1
    assert "has to be mended before it can take a new entry" in err
    assert file.read_text("utf-8") == "about: x\nrules: {a: [\n"


def test_the_keys_of_a_skeleton_stand_in_the_order_of_the_loader():
    for fields, keys in ((RULE, RULE_KEYS), (QUESTION, QUESTION_KEYS), (TASK, TASK_KEYS)):
        named = [key for key, _, _ in fields]
        assert named == [key for key in keys if key in named]
    assert [key for key, _, _ in RULE] == list(RULE_KEYS)
    assert set(FIELDS) == {"rule", "question", "task"}
