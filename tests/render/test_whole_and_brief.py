"""Cards: whole for the next hours of work, brief for what comes later, and any one of them alone on request."""

import re

import pytest
from render_machines import NAMES, plan_of, reader_of, rules

from revive.model import GATES
from revive.render.pages import arrange
from revive.render.terminal import plan_terminal

DAY_AT_MOST_MINUTES, MOST_LINES = 420, 1250


def folded(text: str) -> str:
    return " ".join(text.split())


def cards(name: str, full: bool = False, wanted: tuple[str, ...] = ()) -> dict[int, list[object]]:
    """Task number -> the blocks of its card, heading first."""
    found: dict[int, list[object]] = {}
    for page in arrange(plan_of(name), rules(), reader_of(name), full, wanted):
        number = 0
        for block in page.blocks:
            if block.kind == "heading":
                number = int(block.text.split(".")[0]) if block.level == 4 else 0
            if number:
                found.setdefault(number, []).append(block)
    return found


@pytest.mark.parametrize("name", NAMES)
def test_work_for_the_next_gate_stands_whole_and_later_work_in_short(name: str):
    plan = plan_of(name)
    whole = {number for number, card in cards(name).items() if any(block.kind == "steps" for block in card)}
    next_gate = GATES.index(plan.verdict.next_gate)
    gates = {task.order: GATES.index(task.gate) for task in plan.tasks if task.state == "to_do"}

    assert whole >= {number for number, gate in gates.items() if gate <= next_gate}
    assert all(gates[number] <= next_gate + 1 for number in whole)
    assert len(whole) < len(cards(name))


@pytest.mark.parametrize("name", NAMES)
def test_a_brief_card_says_who_how_long_and_every_caution(name: str):
    base, plan = rules(), plan_of(name)
    by_number = {task.order: task for task in plan.tasks}
    brief = {number: card for number, card in cards(name).items() if not any(one.kind == "steps" for one in card)}

    assert len(brief) > 5 or name == "look only"
    for number, card in brief.items():
        task = by_number[number]
        assert re.search(r"\((?:one person|with a helper|skilled hands|a workshop), \d", card[0].text)
        labels = {block.label for block in card}
        assert "Why" in labels and ("Done when" in labels or not base.tasks[task.id].done_when)
        told = [item for block in card if block.kind == "care" for item in block.items]
        assert len(told) == len([one for one in base.tasks[task.id].cautions if one not in task.left_out])


@pytest.mark.parametrize("name", NAMES)
def test_a_plan_is_no_longer_than_can_be_read(name: str):
    text = plan_terminal(plan_of(name), rules(), reader_of(name), width=100, colour=False)

    assert len(text.splitlines()) < MOST_LINES


@pytest.mark.parametrize("width", [40, 100])
def test_a_card_alone_carries_its_cautions_those_of_its_gate_and_every_standing_stop(width: int):
    base, plan = rules(), plan_of("half")
    task = next(task for task in plan.tasks if task.id == "prime_starter")
    text = folded(plan_terminal(plan, base, "owner", width=width, colour=False, cards=("prime_starter",)))

    for step in (step for step in base.tasks[task.id].method if step not in task.left_out):
        assert folded(re.split(r"[a-z]+_[a-z_]+", step)[0]) in text
    for caution in (*base.tasks[task.id].cautions, *base.gates[task.gate].cautions):
        assert caution in task.left_out or folded(re.split(r"[a-z]+_[a-z_]+", caution)[0]) in text
    standing = [stop for stop in plan.stops if stop.state == "standing" and stop.shuts]
    assert standing and all(folded(stop.text) in text for stop in standing)
    assert "DO NOT START" in text and "maker's manual" in text
    assert list(cards("half", wanted=("prime_starter",))) == [task.order]


def test_cards_come_in_the_order_of_the_gates():
    pages = arrange(plan_of("half"), rules(), "owner", cards=("first_start", "oil_drain"))

    gates = [page.id.removeprefix("gate-") for page in pages if page.id.startswith("gate-")]
    assert gates == sorted(gates, key=GATES.index)
    assert len(gates) == 2


def test_the_day_is_no_longer_than_a_day():
    plan = plan_of("touch")
    day = next(page for page in arrange(plan, rules(), "owner") if page.id == "next").blocks[1]
    minutes = {task.order: task.minutes["likely"] for task in plan.tasks}

    assert day.label == "The day's work, in this order"
    assert 60 < sum(minutes[int(item.split(".")[0])] for item in day.items) <= DAY_AT_MOST_MINUTES
