"""The pictures: what they say in words, what they show, and that each says so to those who cannot see it."""

import re
from xml.etree import ElementTree

import pytest
from page_machines import NAMES, READINGS, plan_of, record_of, rules

from revive.model import Answer, MakerFigure, Record
from revive.plan import Plan
from revive.render.drawing import WIDTH, Picture
from revive.render.pictures import Pictures, draw

DRAWN = tuple(name for name in NAMES)


def pictures_of(name: str, units: str = "metric") -> Pictures:
    return draw(plan_of(name), rules(), record_of(name), units)


def every(drawn: Pictures) -> list[Picture]:
    return [drawn.gates, *drawn.days, *drawn.sheets]


def named(drawn: Pictures, name: str) -> Picture | None:
    return next((picture for picture in every(drawn) if picture.name == name), None)


@pytest.mark.parametrize("name", NAMES)
def test_every_picture_has_a_name_words_and_nothing_but_black_and_white(name: str):
    for picture in every(pictures_of(name)):
        tree = ElementTree.fromstring(picture.svg)
        labels = tree.attrib["aria-labelledby"].split()
        held = {part.attrib["id"]: part.text for part in tree if "id" in part.attrib}

        assert tree.attrib["role"] == "img"
        assert [held[label] for label in labels] == [picture.title, picture.told]
        assert len(picture.told) > 20
        assert set(re.findall(r'(?:fill|stroke)="([^"]*)"', picture.svg)) <= {"#111", "#fff", "none"}


@pytest.mark.parametrize("name", NAMES)
def test_nothing_is_drawn_outside_the_sheet(name: str):
    for picture in every(pictures_of(name)):
        tree = ElementTree.fromstring(picture.svg)
        high = float(tree.attrib["viewBox"].split()[3])
        for part in tree:
            kind, of = part.tag, {key: part.attrib.get(key) for key in part.attrib}
            if kind == "rect":
                assert float(of["x"]) >= -1 and float(of["x"]) + float(of["width"]) <= WIDTH + 1
                assert float(of["y"]) >= -1 and float(of["y"]) + float(of["height"]) <= high + 1
            if kind == "line":
                assert all(-1 <= float(of[key]) <= WIDTH + 1 for key in ("x1", "x2"))
                assert all(-1 <= float(of[key]) <= high + 1 for key in ("y1", "y2"))
            if kind == "text":
                wide = len(part.text or "") * float(of["font-size"]) * 0.5
                left = float(of["x"]) - {"start": 0, "middle": wide / 2, "end": wide}[str(of["text-anchor"])]
                assert left >= -2 and left + wide <= WIDTH + 2, (picture.name, part.text)


@pytest.mark.parametrize("name", NAMES)
def test_the_gates_are_told_in_their_order_and_the_machine_stands_before_the_next(name: str):
    plan = plan_of(name)
    told = pictures_of(name).gates.told

    assert re.findall(r"Gate (\d) ", told) == ["1", "2", "3", "4", "5", "6", "7"]
    place = told.index("The machine stands here")
    before = re.findall(r"Gate (\d)", told[:place])
    passed = [gate.id for gate in plan.gates].index(plan.verdict.next_gate) if plan.verdict.next_gate else 7
    assert len(before) == passed
    for gate in plan.gates:
        word = {"open": "OPEN", "shut": "SHUT", "unproven": "UNPROVEN", "not_needed": "not in this plan"}[gate.state]
        assert word in told.split("Gate ")[[g.id for g in plan.gates].index(gate.id) + 1]


def test_every_working_day_and_every_task_of_the_longest_chain_is_told():
    plan = plan_of("half")
    told = " ".join(picture.told for picture in pictures_of("half").days)
    number = {task.id: task.order for task in plan.tasks}

    assert told.count(" h, tasks ") == len(plan.schedule["days"])
    for task in plan.schedule["critical_path"]:
        assert re.search(rf"\b{number[task]}\*", told)
    slack = {task.id for task in plan.tasks if task.state == "to_do"} - set(plan.schedule["critical_path"])
    assert slack
    assert not [task for task in slack if re.search(rf"\b{number[task]}\*", told)]


def test_a_plan_without_a_calendar_has_no_picture_of_days():
    from dataclasses import replace

    bare: Plan = replace(plan_of("half"), schedule={})

    assert draw(bare, rules(), record_of("half")).days == ()


@pytest.mark.parametrize("layout", sorted(rules().layouts))
def test_the_oil_picture_tells_path_dirt_and_points_of_each_layout(layout: str):
    record = Record({}, {"layout": Answer(layout), "cylinders": Answer(2.0), "valves_per_cylinder": Answer(2.0)})
    if "cylinders" in rules().layouts[layout].settles:
        del record.answers["cylinders"]  # type: ignore[attr-defined]
    picture = named(draw(plan_of("bare"), rules(), record), "picture-oil")
    told = rules().layouts[layout]

    assert picture is not None
    shown = " ".join(" ".join(re.findall(r">([^<]*)</text>", picture.svg)).split())
    for words in (*told.oil_path, *told.sediment, *(str(point["see"]) for point in told.points)):
        assert words in picture.told
        assert "".join(words.split()).replace("-", "") in "".join(shown.split()).replace("-", "")


def test_points_are_numbered_once_for_each_valve():
    record = Record({}, {"layout": Answer("flat_twin_wet"), "valves_per_cylinder": Answer(2.0)})
    points = draw(plan_of("bare"), rules(), record).points

    assert [point.numbers for point in points] == [(1, 2, 3, 4)]


def test_without_a_layout_there_is_no_oil_path():
    assert named(draw(plan_of("bare"), rules(), Record()), "picture-oil") is None
    assert draw(plan_of("half"), rules(), None).sheets == ()


def test_priming_tells_each_burst_with_what_was_seen_and_what_was_expected():
    picture = named(pictures_of("half"), "picture-priming")

    assert picture is not None
    assert "3 bursts, 30 s in all" in picture.title
    assert "Burst 2: 10 s, 2 of 4, spits." in picture.told
    # flat twin: 80 ml dry, 1 to 2 ml a turn, 300 rpm, half of it lost: 80/(2*5*0.5) = 16 s and 80/(1*5*0.5) = 32 s
    assert "Oil expected after 16 to 32 s" in picture.told
    assert "Cranking ends at 120 s" in picture.told


def test_no_burst_on_record_gives_no_picture_of_priming():
    assert named(pictures_of("desk"), "picture-priming") is None


def test_a_low_cylinder_is_hatched_and_named_and_the_newest_reading_counts():
    picture = named(pictures_of("half"), "picture-compression")

    assert picture is not None
    assert "Cylinder 1: 9 bar." in picture.told
    assert "Cylinder 2: 7.6 bar, out of line." in picture.told  # under 0.85 x 9 = 7.65
    assert "85% of the highest, 7.65 bar" in picture.told
    assert picture.svg.count("out of line</text>") == 1


def test_even_cylinders_are_not_called_out_of_line():
    readings = tuple(
        {**reading, "value": 8.0} if reading["what"] == "compression_bar" else reading for reading in READINGS
    )
    record = record_of("half")
    even = Record(record.machine, record.answers, record.done, readings=readings)
    picture = named(draw(plan_of("half"), rules(), even), "picture-compression")

    assert picture is not None
    assert "out of line" not in picture.told.replace("no cylinder", "")


def test_the_figure_of_the_maker_is_named_as_such():
    record = record_of("half")
    with_manual = Record(
        record.machine, record.answers, record.done, {"comp_low_bar_min": MakerFigure(6.2, "bar", "p. 31")}, READINGS
    )
    picture = named(draw(plan_of("half"), rules(), with_manual), "picture-compression")

    assert picture is not None
    assert "least, 6.2 bar (the maker's figure)" in picture.told


def test_leak_down_tells_the_spread_from_the_best_cylinder():
    picture = named(pictures_of("half"), "picture-leakdown")

    assert picture is not None
    assert "best cylinder + 15: 27 %" in picture.told  # 12 % + 15
    assert "Cylinder 2: 31 %, out of line." in picture.told


def test_pictures_speak_the_measures_that_are_asked_for():
    picture = named(pictures_of("half", "imperial"), "picture-compression")

    assert picture is not None
    assert "psi" in picture.told
    assert "Cylinder 1: 131 psi." in picture.told  # 9 bar = 130.5 psi
