"""Safety text, and every other word of the pages, stands in each output at each width."""

import html
import re
from functools import cache

import pytest
from markdown_it import MarkdownIt
from render_machines import NAMES, plan_of, reader_of, rules

from revive.model import RuleBase
from revive.plan import PlanTask
from revive.render.markdown import plan_markdown
from revive.render.pages import arrange
from revive.render.terminal import plan_terminal

IDS = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")


def folded(text: str) -> str:
    return " ".join(text.split())


def as_read(markdown: str) -> str:
    """The words that a reader of the Markdown sees, by another program than ours."""
    return folded(html.unescape(re.sub(r"<[^>]+>", " ", MarkdownIt("commonmark").render(markdown))))


@cache
def outputs(name: str, full: bool = False) -> dict[str, str]:
    plan, base, reader = plan_of(name), rules(), reader_of(name)
    terminal = {f"{width}": folded(plan_terminal(plan, base, reader, full, width, False)) for width in (60, 100)}
    return {**terminal, "markdown": as_read(plan_markdown(plan, base, reader, full))}


def stands_in(sentence: str, text: str) -> bool:
    """Whether a sentence of the rule base stands in a text; a title may stand where it names an id."""
    pieces = [re.escape(folded(piece)) for piece in IDS.split(sentence) if piece.strip()]
    return re.search(r".{0,160}?".join(pieces), text) is not None


def meant_for(task: PlanTask, base: RuleBase) -> list[str]:
    """Cautions of a task, but for those about parts that this machine is known not to have."""
    return [text for text in base.tasks[task.id].cautions if text not in task.left_out]


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_every_caution_and_standing_stop_is_in_every_output(name: str, full: bool):
    base, plan = rules(), plan_of(name)
    wanted = [text for task in plan.tasks if task.state == "to_do" for text in meant_for(task, base)]
    wanted += [text for gate in plan.gates for text in base.gates[gate.id].cautions]
    wanted += [stop.text for stop in plan.stops if stop.state in ("standing", "assumed")]

    missing = {
        (output, text)
        for output, printed in outputs(name, full).items()
        for text in wanted
        if not stands_in(text, printed)
    }

    assert len(wanted) > 20
    assert not missing


@pytest.mark.parametrize("name", NAMES)
def test_each_caution_stands_beside_its_own_task(name: str):
    base, plan = rules(), plan_of(name)
    parts = re.split(r"^#### (\d+)\\?\. ", plan_markdown(plan, base, reader_of(name)), flags=re.M)
    by_number = dict(zip(map(int, parts[1::2]), map(as_read, parts[2::2]), strict=True))

    assert set(by_number) == {task.order for task in plan.tasks if task.state == "to_do"}
    for task in plan.tasks:
        if task.state == "to_do":
            for caution in meant_for(task, base):
                assert stands_in(caution, by_number[task.order]), (task.id, caution)


@pytest.mark.parametrize("name", NAMES)
def test_standing_stops_stand_on_page_one(name: str):
    plan = plan_of(name)
    first = arrange(plan, rules(), reader_of(name))[0]
    words = " ".join(" ".join((block.label, block.text, *block.items)) for block in first.blocks)

    for stop in plan.stops:
        if stop.state == "standing" and stop.shuts:
            assert folded(stop.text) in words


@pytest.mark.parametrize("name", NAMES)
def test_both_renderers_say_every_word_of_the_pages(name: str):
    printed = outputs(name)
    blocks = [block for page in arrange(plan_of(name), rules(), reader_of(name)) for block in page.blocks]
    said = [text for block in blocks for text in (block.label, block.text, *block.items) if text]

    for output, text in printed.items():
        lost = [
            words
            for words in said
            if words not in text and re.sub(r"^(\d+)\. ", r"\1 ", words) not in text  # a task's number in the margin
        ]
        assert not lost, (output, lost[:3])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_no_line_is_wider_than_asked(name: str, width: int):
    text = plan_terminal(plan_of(name), rules(), reader_of(name), width=width, colour=False)

    assert max(map(len, text.splitlines())) <= width


@pytest.mark.parametrize("name", NAMES)
def test_nothing_internal_leaks(name: str):
    base, plan = rules(), plan_of(name)
    text = as_read(re.sub(r"`[^`]*`", "", plan_markdown(plan, base, reader_of(name), True)))
    text = re.sub(r"\b\w+=\.\.\. [^)]*\)", "", text)  # how an answer is typed
    text = re.sub(r"\((\w+)\)", lambda found: "" if found[1] in base.questions else found[0], text)
    ids = {*base.tasks, *base.questions, *base.facts, *base.limits, *base.layouts}

    assert not ids.intersection(IDS.findall(text))
    assert not [stop for stop in base.stops if "-" in stop and re.search(rf"\bstop {stop}\b", text)]
    assert not re.search(
        r"\bNone\b(?! of)|dont_know|\bTrue[,;).]|\bFalse\b|must_know|with_helper|to_do|\{|\bnan\b", text
    )


def test_full_prints_the_method_of_every_task():
    base, plan = rules(), plan_of("desk")
    text = outputs("desk", full=True)["60"]

    for task in plan.tasks:
        for step in (step for step in base.tasks[task.id].method if step not in task.left_out):
            assert stands_in(step, text), (task.id, step)
