"""An answer on its way into the record: asked again where unlikely, shown with the other end where two clash."""

from pathlib import Path

import pytest

from revive.commands.common import Held
from revive.engine.conditions import names_in
from revive.model import Answer, RuleBase
from revive.record import parse_record, read_record
from revive.wizard.answering import Pen
from revive.wizard.asking import ask_one, in_words

from .ready import TODAY
from .scripted import ScriptedScreen, replies

TWO_ENDS = """record: 1
answers:
  layout: flat_twin_wet
  oil_level: {value: normal, on: 2026-11-20T09:00}
done:
  photo_record: 2026-11-20
  oil_drain: 2026-11-21
"""


def pen_on(base: RuleBase, path: Path, text: str, *given: str | tuple[str, ...]) -> Pen:
    path.write_text(text)
    held = Held(str(path), base, text.encode(), parse_record(text.encode(), str(path), base))
    return Pen(ScriptedScreen(replies(*given)), held, TODAY, lambda: f"{TODAY}T12:00:00")


@pytest.mark.parametrize(("reply", "revisit"), [("leave_both", []), ("oil_level", ["oil_level"])])
def test_a_contradiction_is_shown_at_once_with_both_ends(
    base: RuleBase, path: Path, reply: str, revisit: list[str]
) -> None:
    pen = pen_on(base, path, TWO_ENDS, reply)
    pen.put(base.questions["drain_first_flow"], "nothing", pen.plan())
    screen = pen.screen
    assert isinstance(screen, ScriptedScreen)

    said = screen.text()
    assert base.contradictions["stick-full-drain-empty"].text in said
    for name, value in (("oil_level", "normal"), ("drain_first_flow", "nothing")):
        assert f"{base.questions[name].ask}  {in_words(base.questions[name], value)}" in said
    assert pen.revisit == revisit
    assert read_record(path, base).answers["drain_first_flow"].value == "nothing"


def test_an_answer_that_is_taken_back_after_a_second_look_is_not_saved(base: RuleBase, path: Path) -> None:
    pen = pen_on(base, path, "record: 1\nanswers: {year_made: 1974}\n", "again")

    assert pen.put(base.questions["years_stored"], 60.0, pen.plan()) is None
    assert "years_stored" not in read_record(path, base).answers


def test_a_replaced_answer_is_kept_among_the_earlier_ones(base: RuleBase, path: Path) -> None:
    pen = pen_on(base, path, "record: 1\nanswers: {years_stored: 14}\n")
    plan = pen.put(base.questions["years_stored"], 20.0, pen.plan())
    assert plan is not None
    pen.take(base.questions["years_stored"], plan)

    record = read_record(path, base)
    assert "years_stored" not in record.answers
    assert [item["value"] for item in record.earlier] == [14, 20]


def test_what_does_not_apply_leads_to_the_answer_that_says_so(base: RuleBase) -> None:
    question = next(q for q in base.questions.values() if list(names_in(q.skip_when)) == ["layout"])
    screen = ScriptedScreen(replies("x", "layout"))
    outcome = ask_one(screen, base, question, None, TODAY, "head")

    assert (outcome.kind, outcome.value) == ("other", "layout")


def test_not_sure_about_the_others_is_kept_beside_the_ticks(base: RuleBase) -> None:
    question = next(q for q in base.questions.values() if q.kind == "many" and q.none)
    ticked = next(choice for choice in question.choices if choice not in question.none)
    outcome = ask_one(ScriptedScreen(replies((ticked, "dont_know"))), base, question, None, TODAY, "head")

    assert outcome.value == (ticked, "dont_know")
    assert in_words(question, outcome.value).endswith("not sure about the others")


def test_no_tick_at_all_is_no_answer(base: RuleBase) -> None:
    question = next(q for q in base.questions.values() if q.kind == "many" and q.none)
    screen = ScriptedScreen(replies((), (question.none[0],)))
    outcome = ask_one(screen, base, question, None, TODAY, "head")

    assert "Nothing is ticked." in screen.text()
    assert outcome.value == (question.none[0],)


def test_a_blind_answer_is_offered_in_its_own_words_beside_dont_know(base: RuleBase) -> None:
    question = next(q for q in base.questions.values() if q.kind == "choice" and q.blind)
    outcome = ask_one(ScriptedScreen(replies(question.blind[0])), base, question, None, TODAY, "head")

    assert outcome.value == question.blind[0]


def test_help_never_drops_the_caution(base: RuleBase) -> None:
    question = next(q for q in base.questions.values() if q.caution and q.kind == "choice")
    screen = ScriptedScreen(replies("help", next(iter(question.choices))))
    ask_one(screen, base, question, Answer(next(iter(question.choices))), TODAY, "head")

    assert screen.text().count(f"CAUTION: {question.caution}") == 2
