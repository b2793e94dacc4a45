"""The club's sheets: what the overview, each plan and the order list say, and that words stay words."""

import csv
import html
import json
import re
import shutil
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from render_machines import TODAY, rules

from revive.engine.club import machine_row, may_pool
from revive.engine.planner import make_plan
from revive.model import Answer, Record
from revive.record import read_record
from revive.render.club_csv import cell, overview_row
from revive.render.club_pages import Totals, orders_html, overview_html
from sheets.clubs import GOOD, as_read, club, read, rows

HOSTILE = '=cmd|"/c calc"!A1 <script>alert(1)</script><img src=x onerror=alert(2)> [red]x[/red] **b** {{ 7 * 7 }}'
FORMULAS = ("=1+1", "+1", "-2", "@sum", "  =3", "＝5")


def test_every_machine_gets_its_own_plan_in_two_forms_and_stands_in_the_overview(folder: Path):
    assert club(folder) == 0

    names = {Path(name).name for name in GOOD}
    assert {path.name for path in (folder / "club-sheets" / "machines").iterdir()} == {
        f"{name}.{ending}" for name in names for ending in ("html", "md")
    }
    overview = read(folder, "overview.html")
    for name in names:
        assert f'href="machines/{name}.html"' in overview
    assert {row["machine"] for row in rows(folder, "overview.csv")} == names


def test_the_overview_says_where_each_stands_what_comes_next_and_what_stops_it(folder: Path):
    club(folder)
    told = {row["machine"]: row for row in rows(folder, "overview.csv")}
    page = as_read(read(folder, "overview.html"))

    for name in GOOD:
        record = read_record(folder / f"{Path(name).name}.yaml", rules())
        plan = make_plan(rules(), record, TODAY)
        row = told[Path(name).name]
        assert row["stands"] == plan.verdict.sentence
        assert plan.verdict.sentence in page
        assert [row[f"gate_{gate.id}"] for gate in plan.gates] == [gate.state for gate in plan.gates]
        allowed = [task for task in plan.tasks if task.allowed_now and not task.optional]
        first = allowed[0] if allowed else next(task for task in plan.tasks if task.state == "to_do")
        assert row["next_step"].startswith(f"{first.order}. {first.title}")
        for stop in plan.stops:
            if stop.state in ("standing", "assumed"):
                assert stop.text in row["stops"]
                assert " ".join(stop.text.split()) in page
                assert " ".join(stop.clears.split()) in page
        counted = sum(int(row[key]) for key in ("member_alone", "member_watched", "with_a_helper", "skilled_hands"))
        assert counted + int(row["a_workshop"]) == sum(task.state == "to_do" for task in plan.tasks)


@pytest.mark.parametrize("ending", ["html", "md"])
def test_every_safety_sentence_of_a_plan_is_in_its_club_sheet(folder: Path, ending: str):
    club(folder)
    ids = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")
    for name in GOOD:
        record = read_record(folder / f"{Path(name).name}.yaml", rules())
        plan = make_plan(rules(), record, TODAY)
        text = read(folder, f"machines/{Path(name).name}.{ending}")
        text = as_read(MarkdownIt("commonmark").render(text) if ending == "md" else text)
        wanted = [stop.text for stop in plan.stops if stop.state in ("standing", "assumed")]
        wanted += [words for gate in plan.gates for words in rules().gates[gate.id].cautions]
        wanted += [
            words
            for task in plan.tasks
            if task.state == "to_do"
            for words in rules().tasks[task.id].cautions
            if words not in task.left_out
        ]
        assert len(wanted) > 40
        for words in wanted:
            pieces = [re.escape(" ".join(piece.split())) for piece in ids.split(words) if piece.strip()]
            assert re.search(r".{0,160}?".join(pieces), text), words
        for line in ("Not to be done alone", "Lines to sign", "Member and a named witness who is skilled"):
            assert line in text


def test_tasks_that_are_not_done_alone_say_who_must_be_there(folder: Path):
    club(folder)
    told = {(row["machine"], row["title"]): row for row in rows(folder, "not-alone.csv")}

    drain = told["2-first-day", rules().tasks["prime_starter"].title]
    assert "a crank or kick lever that moves" in drain["why"]
    assert drain["there_must_be"] == "a second person, clear of the machine"
    for name in GOOD:
        record = read_record(folder / f"{Path(name).name}.yaml", rules())
        for task in make_plan(rules(), record, TODAY).tasks:
            if task.state == "to_do" and task.who != "owner":
                assert (Path(name).name, task.title) in told


def test_home_tools_bring_a_second_look_at_brake_work():
    answers = {"layout": Answer("flat_twin_wet"), "front_brake": Answer("disc"), "plan_goal": Answer("ride")}
    answers["brake_fluid_look"] = Answer("brown", "2026-11-20")
    told = {}
    for level in ("owner_kit", "skilled_kit", "dont_know"):
        record = Record(answers={**answers, "years_stored": Answer(20.0), "workshop_level": Answer(level)})
        row = machine_row(rules(), record, make_plan(rules(), record, TODAY))
        told[level] = {one["title"]: one["there"] for one in row["alone"]}
    title = rules().tasks["brake_hose_replace"].title

    assert told["owner_kit"][title] == "skilled hands that do it; skilled hands check it before it rolls"
    assert told["dont_know"] == told["owner_kit"]
    assert "check it before it rolls" not in told["skilled_kit"][title]


def hostile_record(words: str) -> str:
    quoted = json.dumps(words)
    return (
        f"record: 1\nmachine:\n  name: {quoted}\n  owner: {quoted}\n  frame: {quoted}\n"
        "answers: {layout: flat_twin_wet, plan_goal: ride, years_stored: 14}\n"
    )


def test_words_from_a_record_stay_words_in_every_sheet(folder: Path):
    (folder / "hostile.yaml").write_text(hostile_record(HOSTILE))
    club(folder)

    for name in ("overview.html", "order-list.html", "machines/hostile.html", "machines/hostile.md", "overview.csv"):
        text = read(folder, name)
        assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f]", text), name
        if name.endswith("html"):
            assert not re.search(r"<(script|img)\b", text), name
        if name.endswith("md"):
            assert not re.search(r"<(script|img)\b", MarkdownIt("commonmark", {"html": True}).render(text))
    assert "{{ 7 * 7 }}" in html.unescape(read(folder, "overview.html"))
    row = next(row for row in rows(folder, "overview.csv") if row["machine"] == "hostile")
    assert row["name"].startswith("'=cmd")


def test_controls_that_reach_a_row_by_any_way_reach_no_sheet():
    words = f"{HOSTILE} \x1b[31m\u202e\x9b2J\r\n\t=1"
    record = Record({"name": words, "owner": words}, {"layout": Answer("flat_twin_wet")})
    row = {
        "label": words,
        "problems": [],
        "sheet": "",
        **machine_row(rules(), record, make_plan(rules(), record, TODAY)),
    }
    broken = {"label": words, "problems": [words]}
    totals = Totals()
    for each in (row, broken):
        totals.add(each)
    pages = [*overview_html(lambda: iter((row, broken)), totals, TODAY, words, words)]
    pages += orders_html(lambda: iter((row, broken)), totals, TODAY, words)
    cells = [str(cell(value)) for value in (*overview_row(row), *overview_row(broken))]

    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", "".join([*pages, *cells]))
    assert not re.search(r"<(script|img)\b", "".join(pages))


@pytest.mark.parametrize("words", FORMULAS)
def test_no_cell_is_a_formula(folder: Path, words: str):
    (folder / "formula.yaml").write_text(hostile_record(words))
    shutil.copy(folder / "formula.yaml", folder / "=1+1.yaml")
    club(folder)

    for name in ("overview.csv", "order-list.csv", "order-totals.csv", "not-alone.csv"):
        with open(folder / "club-sheets" / name, encoding="utf-8", newline="") as file:
            cells = [cell for row in csv.reader(file) for cell in row]
        assert len(cells) > 20
        assert not [cell for cell in cells if re.match(r"[\s]*[=+\-@\t\r＝＋－＠]", cell)], name


def test_the_order_list_sums_only_what_is_the_same(folder: Path):
    club(folder)
    lines = rows(folder, "order-list.csv")
    totals = {(row["item"], row["grade"], row["unit"]): row for row in rows(folder, "order-totals.csv")}

    assert {row["machine"] for row in lines} == {Path(name).name for name in GOOD}
    for key, total in totals.items():
        own = [
            row for row in lines if (row["item"], row["grade"], row["unit"]) == key and row["sum_with_others"] == "yes"
        ]
        assert float(total["quantity"]) == pytest.approx(sum(float(row["quantity"]) for row in own))
        assert total["machines"] == ", ".join(sorted({row["machine"] for row in own}))
    never = re.compile(r"tyre|brake hose|belt|shell|seal|coil|battery|oil filter|gasket|bearing|pad set|screw")
    assert not [key for key in totals if never.search(key[0])]
    assert all(row["buy"] == "now" for row in lines if row["sum_with_others"] == "yes")


@pytest.mark.parametrize(
    ("item", "graded", "pooled"),
    [
        ("nitrile gloves", False, True),
        ("marked can for old brake fluid", False, True),
        ("engine oil of the maker's grade", False, False),
        ("engine oil of the maker's grade", True, True),
        ("oil filter in date (this one and one for the second oil)", False, False),
        ("paint filter", False, True),
        ("fuse of the maker's rating", False, False),
        ("battery of the maker's size and kind", False, False),
    ],
)
def test_what_may_be_ordered_together(item: str, graded: bool, pooled: bool):
    assert may_pool(item, graded) is pooled


def test_oil_is_summed_by_grade_once_the_grade_is_on_record():
    base = {"layout": Answer("flat_twin_wet"), "plan_goal": Answer("ride"), "years_stored": Answer(14.0)}
    base |= {"oil_capacity_l": Answer(2.5), "clutch_kind": Answer("dry")}
    lines = {}
    for grade in ("w20_50", "dont_know"):
        record = Record(answers={**base, "oil_grade_new": Answer(grade)})
        row = machine_row(rules(), record, make_plan(rules(), record, TODAY))
        lines[grade] = [line for line in row["orders"] if line["item"] == "engine oil of the maker's grade"]

    assert lines["w20_50"] and all(line["pooled"] and "20W-50" in line["grade"] for line in lines["w20_50"])
    assert lines["dont_know"] and not any(line["pooled"] or line["grade"] for line in lines["dont_know"])


def test_the_hand_out_for_a_batch_is_ordered_once_for_each_machine():
    answers = {"user_role": Answer("club_officer"), "layout": Answer("flat_twin_wet"), "plan_goal": Answer("ride")}
    tags = {}
    for size in (1.0, 30.0):
        record = Record(answers={**answers, "batch_size": Answer(size)})
        row = machine_row(rules(), record, make_plan(rules(), record, TODAY))
        tags[size] = {line["item"]: line["quantity"] for line in row["orders"]}

    assert tags[30.0]['warning tag "do not crank"'] == 1
    assert tags[30.0] == tags[1.0]


def test_what_is_overdue_is_said():
    def told(**answers: Answer) -> list[str]:
        record = Record(answers={"layout": Answer("flat_twin_wet"), **answers})
        return machine_row(rules(), record, make_plan(rules(), record, TODAY))["overdue"]

    assert told() == ["No entry of the record carries a date."]
    assert told(oil_look=Answer("dark", "2026-11-20")) == []
    assert any("Nothing was put on record for 178 days" in text for text in told(oil_look=Answer("dark", "2026-05-31")))
    stood = told(hand_turn=Answer("locked", "2026-10-01"), oil_level=Answer("mid", "2026-11-20"))
    assert any("over a month" in text for text in stood)
