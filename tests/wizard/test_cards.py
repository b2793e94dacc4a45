"""Finished work is asked about: one card for each task, dated as the work."""

from pathlib import Path

from revive.commands.common import Held
from revive.model import Record, RuleBase
from revive.record import parse_record, read_record
from revive.wizard.answering import Pen
from revive.wizard.cards import cards_due, fill_card

from .ready import TODAY
from .scripted import ScriptedScreen, replies
from .talk import Talk

START = """record: 1
answers:
  layout: {value: flat_twin_wet, on: 2026-11-20T09:00}
  petrol_smell: {value: none, on: 2026-11-20T09:00}
  years_stored: {value: 14, on: 2026-11-20T09:00}
  plan_goal: {value: ride, on: 2026-11-20T09:00}
"""
DONE = "done:\n  photo_record: {on: 2026-11-21T10:00}\n  oil_sample: {on: 2026-11-21T11:00}\n"


def held_with(base: RuleBase, path: Path, text: str) -> Held:
    path.write_text(text)
    return Held(str(path), base, text.encode(), parse_record(text.encode(), str(path), base))


def pen_with(held: Held, *given: str | tuple[str, ...]) -> Pen:
    return Pen(ScriptedScreen(replies(*given)), held, TODAY, lambda: f"{TODAY}T12:00:00")


def test_done_on_a_terminal_asks_what_the_work_showed(base: RuleBase, path: Path) -> None:
    path.write_text(START)
    task = base.tasks["oil_sample"]
    talk = Talk("done", str(path), "photo_record", "--no-card")
    talk.ends()
    talk = Talk("done", str(path), "oil_sample", "--on", "2026-11-21T11:00")
    first = next(name for name in task.records if name not in ("layout", "petrol_smell"))
    talk.until("CARD:", task.title, "2026-11-21", base.questions[first].ask, "help")
    talk.press("1")
    talk.until("-> ")
    talk.press("ctrl-c")

    assert talk.ends() == 130
    record = read_record(path, base)
    assert record.done["oil_sample"].on == "2026-11-21T11:00"
    assert record.answers[first].on == "2026-11-21T11:00"


def test_done_through_a_pipe_asks_nothing(base: RuleBase, path: Path) -> None:
    import subprocess
    import sys

    path.write_text(START)
    command = [sys.executable, "-m", "revive", "done", str(path), "photo_record"]
    ended = subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL, timeout=60)

    assert ended.returncode == 0 and "CARD" not in ended.stdout


def test_a_sitting_after_a_days_work_starts_with_the_cards(base: RuleBase, path: Path) -> None:
    path.write_text(START + DONE)
    talk = Talk("ask", str(path))
    talk.until("4 answers; 2 pieces of work done.", "Work is on record, but not what it showed:", "write it down now")
    talk.press("1")
    talk.until("CARD:", base.tasks["oil_sample"].title)
    talk.press("ctrl-c")
    assert talk.ends() == 130


def test_a_card_asks_each_answer_and_detail_and_dates_all_as_the_work(base: RuleBase, path: Path) -> None:
    held = held_with(base, path, START + DONE)
    task = base.tasks["oil_sample"]
    names = cards_due(pen_with(held))["oil_sample"]
    choices = [next(iter(base.questions[name].choices)) for name in names if base.questions[name].kind == "choice"]
    assert len(choices) == len(names) > 0
    details = ["7" if kind == "number" else "in the red jar" for kind in task.details.values()]

    pen = pen_with(held, *choices, *details)
    fill_card(pen, "oil_sample", pen.plan())

    record = read_record(path, base)
    assert {name: record.answers[name].value for name in names} == dict(zip(names, choices, strict=True))
    assert {record.answers[name].on for name in names} == {"2026-11-21T11:00"}
    assert set(record.done["oil_sample"].details) == set(task.details)
    assert "oil_sample" not in cards_due(pen)


def test_an_answer_that_work_has_outdated_waits_on_its_card_and_is_asked_again(base: RuleBase, path: Path) -> None:
    task = next(task for task in base.tasks.values() if "short_ohms" in task.asks_again)
    text = START.replace("answers:", "answers:\n  short_ohms: {value: 900, on: 2026-11-20T09:00}")
    held = held_with(base, path, text + f"done:\n  photo_record: 2026-11-20\n  {task.id}: {{on: 2026-11-21T11:00}}\n")

    assert "short_ohms" in cards_due(pen_with(held))[task.id]
    assert "short_ohms" in pen_with(held).plan().to_ask


def test_an_empty_record_has_no_cards(base: RuleBase, path: Path) -> None:
    assert cards_due(pen_with(Held(str(path), base, None, Record()))) == {}
