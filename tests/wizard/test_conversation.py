"""Whole conversations through a pseudo-terminal: new, resumed, revised, broken off."""

import os
import re
import signal
import time
from pathlib import Path

import pytest

from revive.model import Record, RuleBase
from revive.record import read_record

from .talk import Talk

FIRST_ANSWERS = ["1", "1", "1", "14\r", "2", "1", "1", "2", "1", "1", "3", "2"]


def first_questions(base: RuleBase) -> list[str]:
    return sorted((q.id for q in base.questions.values() if q.first), key=lambda name: base.questions[name].first)


def answer_all_first(talk: Talk, base: RuleBase) -> None:
    for name, keys in zip(first_questions(base), FIRST_ANSWERS, strict=True):
        talk.until(base.questions[name].ask, "help")
        talk.press(keys)


def values(record: Record) -> dict[str, object]:
    return {name: answer.value for name, answer in record.answers.items()}


def test_twelve_answers_give_a_first_plan_and_end_with_it(base: RuleBase, path: Path) -> None:
    talk = Talk("ask", str(path), "--by", "A. Member")
    answer_all_first(talk, base)
    talk.until("enough for a first plan", "print the plan and stop here", "help")
    talk.press("1")
    code = talk.ends()

    record = read_record(path, base)
    assert code == 0
    assert list(record.answers) == first_questions(base)
    assert record.answers["years_stored"].value == 14
    assert all(answer.by == "A. Member" and len(answer.on) == 19 for answer in record.answers.values())
    assert base.gates["turn"].title.lower() in talk.heard.lower().split("print the plan and stop here")[1]


def test_the_caution_of_a_stage_comes_before_its_first_question_and_once(base: RuleBase, path: Path) -> None:
    talk = Talk("ask", str(path))
    answer_all_first(talk, base)
    talk.until("enough for a first plan")

    for number, first in ((1, "start_tried"), (2, "petrol_smell")):
        caution = " ".join(base.stages[number].caution.split())
        assert talk.heard.count(caution) == 1
        assert talk.heard.index(caution) < talk.heard.index(base.questions[first].ask)
    talk.press("ctrl-c")
    assert talk.ends() == 130


def test_back_and_forward_need_no_retyping(base: RuleBase, path: Path) -> None:
    ask = {name: base.questions[name].ask for name in first_questions(base)}
    talk = Talk("ask", str(path))
    for name, keys in zip(first_questions(base)[:4], FIRST_ANSWERS, strict=False):
        talk.until(ask[name], "help")
        talk.press(keys)
    talk.until(ask["storage_place"], "help")
    for name in ("years_stored", "layout", "petrol_smell"):
        talk.press("left")
        talk.until(ask[name], "Answer now:", "help")
    for name in ("layout", "years_stored", "storage_place"):
        talk.press("right")
        talk.until(ask[name], "help")
    talk.press("ctrl-c")

    assert talk.ends() == 130
    assert values(read_record(path, base)) == {
        "start_tried": "none",
        "petrol_smell": "none",
        "layout": "flat_twin_wet",
        "years_stored": 14,
    }


def test_help_shows_how_why_and_costs_and_asks_again(base: RuleBase, path: Path) -> None:
    question = base.questions["start_tried"]
    talk = Talk("ask", str(path))
    talk.until(question.ask, "help")
    talk.press("?")
    talk.until("How to look:", question.how, question.why, question.costs, "Don't know:", "help, b back")
    talk.press("3")
    talk.until(base.questions["petrol_smell"].ask, "help")
    talk.press("ctrl-c")
    talk.ends()

    assert values(read_record(path, base)) == {"start_tried": "cranked"}


def test_dont_know_and_not_looked_yet_are_two_things(base: RuleBase, path: Path) -> None:
    talk = Talk("ask", str(path))
    talk.until(base.questions["start_tried"].ask, "help")
    talk.press("d")
    talk.until(base.questions["petrol_smell"].ask, "help")
    talk.press("l")
    talk.until("left open", base.questions["layout"].ask, "help")
    talk.press("ctrl-c")
    talk.ends()

    assert values(read_record(path, base)) == {"start_tried": "dont_know"}


def test_a_record_with_answers_resumes_and_any_answer_can_be_changed(base: RuleBase, path: Path) -> None:
    path.write_text("record: 1\nmachine: {name: Grey twin}\nanswers:\n  start_tried: none\n  petrol_smell: none\n")
    talk = Talk("ask", str(path))
    talk.until("Grey twin: 2 answers", "next:", base.questions["layout"].ask, "see or change an answer", "help")
    talk.press("3")
    talk.until("Which answer is to change?", base.questions["start_tried"].ask, "help")
    talk.press("1")
    talk.until("Answer now:", "help")
    talk.press("3")
    talk.until("-> spun on the electric starter", "Which answer is to change?", "none, go on")
    talk.press("n")
    talk.until("print the plan and stop", "help")
    talk.press("1")
    talk.until(base.questions["layout"].ask, "help")
    talk.press("ctrl-c")

    assert talk.ends() == 130
    record = read_record(path, base)
    assert values(record) == {"start_tried": "cranked", "petrol_smell": "none"}
    assert [item["value"] for item in record.earlier] == ["none"]
    assert "machine: {name: Grey twin}" in path.read_text()


def test_changing_an_answer_tells_what_it_changed_in_the_plan(base: RuleBase, path: Path) -> None:
    path.write_text(
        "record: 1\nanswers: {layout: flat_twin_wet, petrol_smell: none, years_stored: 3, plan_goal: ride}\n"
    )
    talk = Talk("ask", str(path))
    talk.until("see or change an answer", "help")
    talk.press("3")
    talk.until("Which answer is to change?", "help")
    talk.press("1")
    talk.until(base.questions["petrol_smell"].ask, "help")
    talk.press("4")
    talk.until("-> smelt on entering", "New stop:", "Which answer is to change?")
    talk.press("ctrl-c")
    talk.ends()


def test_an_unlikely_answer_is_asked_again_and_kept_when_confirmed(base: RuleBase, path: Path) -> None:
    path.write_text("record: 1\nanswers: {year_made: 1974}\n")
    talk = Talk("ask", str(path))
    talk.until("go on with the questions", "help")
    talk.press("1")
    for name, keys in zip(first_questions(base)[:3], FIRST_ANSWERS, strict=False):
        talk.until(base.questions[name].ask, "help")
        talk.press(keys)
    talk.until(base.questions["years_stored"].ask, "help")
    talk.press("60", "enter")
    talk.until(
        "Please look again: 60 years is unlikely here.", base.oddities["stored-longer-than-it-exists"].ask, "help"
    )
    talk.press("1")
    talk.until(base.questions["years_stored"].ask, "help")
    talk.press("60", "enter")
    talk.until("Please look again", "help")
    talk.press("2")
    talk.until(base.questions["storage_place"].ask, "help")
    talk.press("ctrl-c")
    talk.ends()

    assert read_record(path, base).answers["years_stored"].value == 60
    assert "asked again and confirmed" in path.read_text()


@pytest.mark.parametrize("how", ["ctrl-c", "hang-up", "kill", "closed"])
def test_however_it_ends_all_answers_but_the_one_on_the_screen_are_saved(base: RuleBase, path: Path, how: str) -> None:
    talk = Talk("ask", str(path))
    for name, keys in zip(first_questions(base)[:4], FIRST_ANSWERS, strict=False):
        talk.until(base.questions[name].ask, "help")
        talk.press(keys)
    talk.until(base.questions["storage_place"].ask, "help")
    if how == "ctrl-c":
        talk.press("ctrl-c")
        assert talk.ends() == 130
    elif how == "closed":
        talk.child.close(force=False)
    else:
        os.kill(talk.child.pid, {"hang-up": signal.SIGHUP, "kill": signal.SIGKILL}[how])
    time.sleep(0.3)

    assert list(read_record(path, base).answers) == first_questions(base)[:4]
    left = {file.name for file in path.parent.iterdir()} - {path.name, path.name + ".bak"}
    assert not left


def test_no_colour_means_no_colour_and_sixty_columns_hold_every_line(base: RuleBase, path: Path) -> None:
    talk = Talk("ask", str(path), columns=60, NO_COLOR="1")
    answer_all_first(talk, base)
    talk.until("enough for a first plan", "help")
    talk.press("1")
    assert talk.ends() == 0

    painted = [int(code) for codes in re.findall(r"\x1b\[([0-9;]+)m", talk.raw) for code in codes.split(";")]
    assert not [code for code in painted if 30 <= code <= 49 or 90 <= code <= 107]
    moved = re.sub(r"\x1b\[[0-9]*[AJ]", "\n", talk.raw)
    plain = re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", moved).replace("\r", "\n")
    assert [line for line in plain.split("\n") if len(line) > 60] == []


def test_a_terminal_without_unicode_gets_none(base: RuleBase, path: Path) -> None:
    talk = Talk("ask", str(path), PYTHONIOENCODING="ascii", PYTHONUTF8="0", LC_ALL="C")
    for name, keys in zip(first_questions(base)[:4], FIRST_ANSWERS, strict=False):
        talk.until(base.questions[name].ask, "help")
        talk.press("?")
        talk.until("The question again", "help")
        talk.press(keys)
    talk.until(base.questions["storage_place"].ask, "help")
    talk.press("ctrl-c")

    assert talk.ends() == 130
    assert talk.raw.isascii()


def test_a_simple_terminal_gets_numbered_lines(base: RuleBase, path: Path) -> None:
    talk = Talk("ask", str(path), TERM="dumb")
    talk.until(base.questions["start_tried"].ask, "1. nobody has tried", "Number or letter")
    talk.press("1", "enter")
    talk.until(base.questions["petrol_smell"].ask, "Number or letter")
    talk.press("ctrl-c")

    assert talk.ends() == 130
    assert "\x1b" not in talk.raw
    assert values(read_record(path, base)) == {"start_tried": "none"}
