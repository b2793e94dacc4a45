"""Every kind of prompt answered with piped keys."""

import re
from collections.abc import Callable
from typing import Any

import pytest
from prompt_toolkit.application import create_app_session
from prompt_toolkit.input import create_pipe_input
from prompt_toolkit.output import DummyOutput

from revive.prompts import KeyScreen
from revive.wizard.screen import Option, Reply

from .talk import KEYS

LETTERS = [Option("dont_know", "don't know", "d"), Option("later", "not looked yet", "l")]
FEW = [Option(name, f"it is {name}") for name in ("oil", "fuel", "water")]
MANY = [Option(f"v{number}", f"choice {number}") for number in range(1, 16)]
NONE_FIRST = [Option("dry", "nothing has leaked"), *FEW]


def reply_to(ask: Callable[[KeyScreen], Reply], *keys: str) -> Reply:
    with create_pipe_input() as pipe, create_app_session(input=pipe, output=DummyOutput()):
        pipe.send_text("".join(KEYS.get(key, key) for key in keys))
        return ask(KeyScreen())


@pytest.mark.parametrize(
    ("keys", "wanted"),
    [
        (["2"], Reply("value", "fuel")),
        (["down", "down", "enter"], Reply("value", "water")),
        (["up", "enter"], Reply("key", "l")),
        (["d"], Reply("key", "d")),
        (["l"], Reply("key", "l")),
        (["left"], Reply("back")),
        (["b"], Reply("back")),
        (["right"], Reply("forward")),
        (["?"], Reply("help")),
        (["z", "9", "1"], Reply("value", "oil")),
    ],
)
def test_a_choice_is_taken_by_number_arrow_or_letter(keys: list[str], wanted: Reply) -> None:
    assert reply_to(lambda screen: screen.choose([*FEW, *LETTERS]), *keys) == wanted


def test_enter_keeps_the_answer_that_stands() -> None:
    assert reply_to(lambda screen: screen.choose([*FEW, *LETTERS], "fuel"), "enter") == Reply("value", "fuel")
    assert reply_to(lambda screen: screen.choose([*FEW, *LETTERS], "dont_know"), "enter") == Reply("key", "d")


@pytest.mark.parametrize(
    ("keys", "wanted"),
    [(["9"], "v9"), (["+", "1"], "v10"), (["+", "6"], "v15"), (["+", "+", "1"], "v1"), (["-", "2"], "v11")],
)
def test_a_long_list_has_pages_and_each_is_numbered_from_one(keys: list[str], wanted: str) -> None:
    assert reply_to(lambda screen: screen.choose([*MANY, *LETTERS]), *keys) == Reply("value", wanted)


def test_a_long_list_opens_on_the_page_of_the_answer_that_stands() -> None:
    assert reply_to(lambda screen: screen.choose([*MANY, *LETTERS], "v12"), "enter") == Reply("value", "v12")


@pytest.mark.parametrize(
    ("keys", "wanted"),
    [
        (["2", "3", "enter"], ("oil", "fuel")),
        (["down", "space", "enter"], ("oil",)),
        (["2", "2", "3", "enter"], ("fuel",)),
        (["2", "1", "enter"], ("dry",)),
        (["1", "4", "enter"], ("water",)),
        (["enter"], ()),
    ],
)
def test_ticks_come_and_go_and_nothing_excludes_the_rest(keys: list[str], wanted: tuple[str, ...]) -> None:
    assert reply_to(lambda screen: screen.tick([*NONE_FIRST, *LETTERS], (), ("dry",)), *keys) == Reply("value", wanted)


def test_ticks_that_stand_are_kept_by_enter_and_every_way_out_works_there_too() -> None:
    def ask(screen: KeyScreen) -> Reply:
        return screen.tick([*NONE_FIRST, *LETTERS], ("oil", "water"), ("dry",))

    assert reply_to(ask, "enter") == Reply("value", ("oil", "water"))
    ways = {"left": "back", "b": "back", "right": "forward", "?": "help"}
    assert {key: reply_to(ask, key).kind for key in ways} == ways
    assert reply_to(ask, "d") == Reply("key", "d")


@pytest.mark.parametrize(
    ("keys", "wanted"),
    [
        (["30 psi", "enter"], Reply("value", "30 psi")),
        (["d", "enter"], Reply("key", "d")),
        (["left"], Reply("back")),
        (["b", "enter"], Reply("back")),
        (["right"], Reply("forward")),
        (["?"], Reply("help")),
        (["12", "left", "5", "enter"], Reply("value", "152")),
        (["enter"], Reply("value", "")),
    ],
)
def test_a_typed_line_knows_the_same_ways_out(keys: list[str], wanted: Reply) -> None:
    assert reply_to(lambda screen: screen.line("Number in bar", LETTERS), *keys) == wanted


def test_words_typed_freely_are_taken_as_they_are() -> None:
    assert reply_to(lambda screen: screen.line("Some words", free=True), "b", "enter") == Reply("value", "b")
    assert reply_to(lambda screen: screen.line("Some words", free=True), "why?", "enter") == Reply("value", "why?")


ASKS: dict[str, Callable[[KeyScreen], Any]] = {
    "choose": lambda screen: screen.choose(FEW),
    "tick": lambda screen: screen.tick(FEW, (), ()),
    "line": lambda screen: screen.line("Number"),
}


@pytest.mark.parametrize("kind", ASKS)
def test_ctrl_c_and_a_closed_terminal_reach_the_command_from_every_prompt(kind: str) -> None:
    with pytest.raises(KeyboardInterrupt):
        reply_to(ASKS[kind], "ctrl-c")
    with pytest.raises(EOFError):
        reply_to(ASKS[kind], "ctrl-d")


def test_only_one_module_imports_the_prompt_library() -> None:
    from pathlib import Path

    package = Path(__file__).parents[2] / "revive"
    importers = [
        file.relative_to(package).as_posix()
        for file in package.rglob("*.py")
        if re.search(r"^\s*(import|from) (questionary|prompt_toolkit)", file.read_text("utf-8"), re.MULTILINE)
    ]
    assert importers == ["prompts.py"]
