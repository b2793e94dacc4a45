"""How many questions come before the first plan, and in full, for every layout. Whoever answers never looks."""

from collections.abc import Callable, Sequence
from pathlib import Path

import pytest

from revive.commands.common import Held
from revive.loading import default_rules_folder, load_rules
from revive.model import Record, RuleBase
from revive.record import read_record
from revive.wizard.answering import Pen
from revive.wizard.screen import Option, Reply
from revive.wizard.sitting import sit_down

from .ready import TODAY
from .scripted import ScriptedScreen

_BASE, _ = load_rules(default_rules_folder())
LAYOUTS = list(_BASE.layouts) if _BASE else []
IN_FULL_AT_MOST = 130


class Answerer:
    """Knows the layout and gives the first answer to everything else. stop: what ends the sitting."""

    def __init__(self, base: RuleBase, path: Path, layout: str, stop: bool, unknown: bool = False) -> None:
        self.layout, self.stop, self.unknown, self.asked = layout, stop, unknown, 0
        self.screen = ScriptedScreen(self.reply)
        held = Held(str(path), base, None, Record())
        sit_down(Pen(self.screen, held, TODAY, lambda: f"{TODAY}T10:00:00"))

    def reply(self, kind: str, options: Sequence[Option]) -> Reply:
        known = [option.value for option in options if not option.key]
        if "print" in known:
            return Reply("value", "print" if self.stop else "on")
        if "leave_both" in known or "keep" in known:
            return Reply("value", "leave_both" if "leave_both" in known else "keep")
        self.asked += 1
        if self.layout in known:
            return Reply("value", self.layout)
        if self.unknown or kind == "line":
            return Reply("key", "d")
        return Reply("value", known[0]) if kind == "choose" else Reply("value", (known[0],))


def test_there_are_fifteen_layouts() -> None:
    assert len(LAYOUTS) == 15


@pytest.mark.parametrize("layout", LAYOUTS)
def test_at_most_twelve_questions_before_the_first_plan(base: RuleBase, path: Path, layout: str) -> None:
    asked = Answerer(base, path, layout, stop=True).asked

    assert 8 <= asked <= 12
    assert read_record(path, base).answers["layout"].value == layout


@pytest.mark.parametrize("layout", LAYOUTS)
def test_in_full_no_question_comes_twice_and_none_about_a_part_that_is_not_there(
    base: RuleBase, path: Path, layout: str, record_property: Callable[[str, object], None]
) -> None:
    answerer = Answerer(base, path, layout, stop=False)
    answers = read_record(path, base).answers

    record_property("questions", answerer.asked)
    assert answerer.asked == len(answers) <= IN_FULL_AT_MOST
    settled = set(base.layouts[layout].settles)
    assert not settled & set(answers)
    if layout.startswith("two_stroke"):
        assert not {"valve_motion", "tappet_kind", "rocker_look", "cam_drive"} & set(answers)
    else:
        assert not {"premix_ratio", "fuel_mixed", "disc_valve_state"} & set(answers)


def test_what_is_counted_as_left_before_the_first_plan_is_what_is_asked(base: RuleBase, path: Path) -> None:
    said = Answerer(base, path, "flat_twin_wet", stop=True).screen.said
    heads = [line for line in said if "Then a first plan:" in line]

    assert [int(head.split(": ")[1].split()[0]) for head in heads] == list(range(len(heads), 0, -1))
