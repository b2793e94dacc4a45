"""Page one: short, in the right order, and right for every state and reader."""

import re

import pytest
from render_machines import NAMES, plan_of, reader_of, rules, with_open_gates

from revive.plan import Plan
from revive.render.pages import arrange
from revive.render.terminal import plan_terminal


def page_one(plan: Plan, reader: str = "owner", width: int = 80) -> str:
    text = plan_terminal(plan, rules(), reader, width=width, colour=False)
    return text.split("The next working day\n")[0]


def folded(text: str) -> str:
    return " ".join(text.split())


def test_a_flat_twin_from_the_desk_fits_on_one_screen():
    lines = [line for line in page_one(plan_of("desk")).splitlines() if line]

    assert len(lines) <= 24


@pytest.mark.parametrize(
    "words",
    [
        "plan of 25 November 2026",
        "Nothing is open yet",
        "All told, nothing seen",
        "DO NOT START. No starter button, kick, push or petrol tap",
        "Why: The pump draws settled dirt, water or a rotten filter into bearings",
        "Dry bearings",
        "First working day: Make the place safe; photograph; hold it upright, level and unable to fall",
        "take the battery off the machine",
        "take all petrol off the machine",
        "take the plugs out; look into every bore",
        "take the settled oil in two jars",
        "Then answer again: revive ask",
        "Turning, SHUT: Do not turn the engine",
        "Cranking and priming, SHUT: No cranking",
        "Firing, SHUT: Do not fire it",
        "To a workshop if you find: steel chips",
        "Presume dead by age: oil filter; intake rubber; petrol hose",
        "Buy first: marked can for old oil",
    ],
)
def test_a_flat_twin_from_the_desk_is_told(words: str):
    assert words in folded(page_one(plan_of("desk")))


def test_the_first_three_lines_are_the_ones_that_save_the_engine():
    title, verdict, hands_off = page_one(plan_of("desk")).splitlines()[:3]

    assert title == "Grey twin: plan of 25 November 2026"
    assert verdict.startswith("Nothing is open yet: do not turn, crank or start it.")
    assert "DO NOT START" in hands_off


@pytest.mark.parametrize(
    ("last", "wanted", "unwanted"),
    [
        ("touch", "No starter button, kick, push or petrol tap", "By hand only"),
        ("turn", "By hand only, plugs out. Key away, tag it DO NOT START", "Cranking only"),
        ("crank", "Cranking only, with plugs out, leads earthed and petrol away. It is not to be fired", "Key away"),
        ("fire", "It may be started in the open air, with a helper", "DO NOT START"),
        ("roll", "Private ground only", "It may be started"),
        ("road", "new findings shut a gate again", "DO NOT START"),
    ],
)
def test_what_may_not_be_done_follows_the_gates(last: str, wanted: str, unwanted: str):
    text = folded(page_one(with_open_gates("desk", last)))

    assert wanted in text
    assert unwanted not in text


@pytest.mark.parametrize("name", ["seller", "look only"])
def test_a_gate_that_the_goal_does_not_use_is_never_called_open(name: str):
    text = folded(page_one(plan_of(name), reader_of(name)))

    assert (
        "Not in this plan: turning, cranking and priming, firing, moving, road. That does not make them open." in text
    )
    assert "DO NOT START" in text


def test_a_seller_is_told_what_may_and_may_not_be_said():
    text = folded(page_one(plan_of("seller"), "seller"))

    assert "In this work it was not turned by hand, not primed, not started, not ridden: say so." in text
    assert "No warranty words." in text


def test_the_club_officer_gets_stops_helpers_and_a_line_to_sign():
    plan = plan_of("club")
    text = folded(page_one(plan, "club_officer"))

    for stop in plan.stops:
        if stop.state == "standing":
            assert folded(stop.title) in text
            assert folded(stop.clears) in text
    for task in plan.tasks:
        if task.who != "owner":
            assert re.search(rf"(?:^|[ :;]){task.order}[ ,.;]", text.split("Not to be done alone")[1]), task.id
    assert "Member, date: ____" in text


def test_finished_work_and_work_due_again_are_counted():
    plan = plan_of("half")
    done = sum(task.state == "done" for task in plan.tasks)
    text = folded(page_one(plan))

    assert done > 5
    assert f"{done} tasks on record as done." in text
    assert "All told" not in text


@pytest.mark.parametrize("name", NAMES)
def test_the_next_day_never_passes_a_gate_that_is_shut(name: str):
    plan, base = plan_of(name), rules()
    first_of = {gate.first_task: gate.id for gate in base.gates.values() if gate.first_task}
    state = {gate.id: gate.state for gate in plan.gates}
    next_page = next((page for page in arrange(plan, base, reader_of(name)) if page.id == "next"), None)
    day = [
        item for block in next_page.blocks for item in block.items if block.label.startswith(("Safe", "Then", "The"))
    ]
    titles = {base.tasks[task].title: gate for task, gate in first_of.items() if gate != "touch"}

    assert day
    for title, gate in titles.items():
        assert state[gate] == "open" or not any(title in item for item in day)


def test_gate_states_are_in_words():
    text = plan_terminal(with_open_gates("desk", "touch"), rules(), "owner", width=100, colour=False)

    assert "Gate 1, hands may go on: OPEN on the evidence of 21 November 2026" in text
    assert "Gate 2, first turning of the crank, by hand: SHUT by a stop" in text
    assert "Gate 6, public road: SHUT, work due" in text


def test_assumed_work_names_the_look_that_comes_first():
    text = folded(plan_terminal(plan_of("nobody knows"), rules(), "owner", width=100, colour=False))

    assert "If so (assumed, not seen: look first," in text
    assert "[if the look says so]" in text
