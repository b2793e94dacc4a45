"""Words from a record or a club's own rules reach a terminal or a page as nothing but words."""

import re
from dataclasses import replace

import pytest
from markdown_it import MarkdownIt
from render_machines import plan_of, rules

from revive.cli import main
from revive.render.markdown import escape, plan_markdown
from revive.render.terminal import plan_terminal

HOSTILE = (
    "\x1b[31mRed\x1b]0;title\x07 [red]x[/red] <script>alert(1)</script> <b>&lt; **bold** _it_ [go](http://e.example) "
    "![p](x) `code` www.e.example\n# Head\n- item | cell |\u202e \x9b2J end"
)
SGR = re.compile(r"\x1b\[[0-9;]*m")


def hostile_plan():
    plan = plan_of("club")
    return replace(
        plan,
        machine={"name": HOSTILE, "owner": HOSTILE, "frame": HOSTILE},
        overrides=(HOSTILE,),
        fallbacks=(*plan.fallbacks, {**plan.fallbacks[0], "from_maker": True, "where": HOSTILE}),
    )


@pytest.mark.parametrize("colour", [False, True])
@pytest.mark.parametrize("reader", ["owner", "club_officer"])
def test_a_terminal_gets_no_control_from_a_record(reader: str, colour: bool):
    text = plan_terminal(hostile_plan(), rules(), reader, width=100, colour=colour)

    assert ("\x1b" in text) is colour
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", SGR.sub("", text))
    assert "[red]x[/red]" in " ".join(SGR.sub("", text).split())


@pytest.mark.parametrize("reader", ["owner", "club_officer"])
def test_markdown_from_a_record_stays_words(reader: str):
    page = (
        MarkdownIt("commonmark", {"html": True}).enable("table").render(plan_markdown(hostile_plan(), rules(), reader))
    )
    plain = MarkdownIt("commonmark", {"html": True}).render(plan_markdown(plan_of("club"), rules(), reader))

    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    assert "**bold** _it_ [go](http://e.example) ![p](x) `code`" in page
    for tag in ("<script", "<a ", "<img", "<em", "<b>", "<table", "<hr"):
        assert tag not in page
    for tag in ("<h1", "<h2", "<h3"):
        assert page.count(tag) == plain.count(tag)


@pytest.mark.parametrize(
    "text",
    [
        "- item",
        "# head",
        "1. one",
        "12) one",
        "> quoted",
        "+ plus",
        "=====",
        "* star",
        "*a*",
        "`c`",
        "a\\*b*",
        "&amp;",
        "~~~",
    ],
)
def test_a_line_of_markdown_is_read_back_as_it_was(text: str):
    page = MarkdownIt("commonmark").render(escape(text))

    assert page == f"<p>{text.replace('&', '&amp;').replace('>', '&gt;')}</p>\n"


def test_colour_is_only_for_a_terminal_that_wants_it(monkeypatch: pytest.MonkeyPatch):
    def printed(is_terminal: bool, **environment: str) -> bool:
        for name in ("NO_COLOR", "TERM"):
            monkeypatch.delenv(name, raising=False)
        for name, value in environment.items():
            monkeypatch.setenv(name, value)
        monkeypatch.setattr("sys.stdout.isatty", lambda: is_terminal)
        return "\x1b" in plan_terminal(plan_of("bare"), rules(), "owner")

    assert printed(True, TERM="xterm-256color")
    assert not printed(True, TERM="xterm-256color", NO_COLOR="1")
    assert not printed(True, TERM="dumb")
    assert not printed(False, TERM="xterm-256color")


def test_colour_adds_and_takes_away_no_word():
    bare = plan_terminal(plan_of("desk"), rules(), "owner", width=80, colour=False)
    dressed = plan_terminal(plan_of("desk"), rules(), "owner", width=80, colour=True)

    assert SGR.sub("", dressed) == bare


def test_help_is_the_same_words_where_a_newer_python_would_colour_it(monkeypatch: pytest.MonkeyPatch, capsys):
    for name in ("NO_COLOR", "PYTHON_COLORS", "TERM"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("FORCE_COLOR", "1")
    codes = [main(command) for command in (["--help"], ["plan", "--help"], ["rules", "check", "--help"], ["plan"])]
    shown = "".join(capsys.readouterr())

    assert codes == [0, 0, 0, 2]
    assert shown.count("usage: revive ") == 4 and "  --today DATE" in shown
    assert not re.search(r"\x1b|\[\d+(;\d+)*m", shown)
