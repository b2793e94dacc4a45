"""The lists as they are read: nothing dropped in any form, answers that come of ticks, hostile words that stay words."""

import csv
import html
import io
import json
import re
import shlex
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from markdown_it import MarkdownIt
from render_machines import TODAY, rules

from revive.cli import main
from revive.engine.lists import SIX_BOXES, lists_for, workshop_sheet
from revive.engine.planner import make_plan
from revive.engine.schedule import make_schedule
from revive.model import Answer, Record, Work
from revive.record import read_record
from revive.render.lists_data import lists_csv, lists_json
from revive.render.lists_html import lists_html
from revive.render.lists_page import DUST, FITS, GOVERNS, PETROL, SOLVENT, WASTE_LAW, arrange_lists, waste_amount
from revive.render.markdown import pages_markdown
from revive.render.measures import in_units
from revive.render.terminal import pages_terminal

HOSTILE = "\x1b[31mRed\x9b2J =1+1 <script>alert(1)</script> [x](http://e.example) `a` \u202e\n@end"
BEARINGS = """record: 1
machine: {name: Red twin (invented)}
answers:
  layout: flat_twin_wet
  plan_goal: ride
  cylinders: 2
  oil_capacity_l: 2.2
  drained_debris: [bright_flakes]
done:
  site_prepare: {on: 2026-11-01}
  photo_record: {on: 2026-11-01}
  oil_drain: {on: 2026-11-02}
"""
FORMS = ("wide", "narrow", "markdown", "html", "csv", "json")


@cache
def machine():
    record = Record(
        machine={"name": "Red twin"},
        answers={
            "layout": Answer("flat_twin_wet", on="2026-11-01"),
            "plan_goal": Answer("ride", on="2026-11-01"),
            "drained_debris": Answer(("bright_flakes",), on="2026-11-02"),
        },
        done={"photo_record": Work(on="2026-11-01"), "oil_drain": Work(on="2026-11-02")},
    )
    plan = make_plan(rules(), record, TODAY)
    plan = replace(plan, schedule=make_schedule(rules(), plan.tasks, start=TODAY))
    return plan, lists_for(rules(), record, plan)


def shown(form: str, plan=None, data=None, only: str = "", units: str = "metric", path: str = "red.yaml") -> str:
    """The lists in one form, as text."""
    plan, data = plan or machine()[0], data or machine()[1]
    if form == "json":
        return lists_json(data, plan, only)
    if form == "csv":
        return lists_csv(data, plan, rules(), path, only, units)
    pages = in_units(arrange_lists(data, plan, rules(), path, only), units, plan.machine)
    if form == "markdown":
        return pages_markdown(pages)
    return lists_html(pages) if form == "html" else pages_terminal(pages, 60 if form == "narrow" else 100, False)


def words(text: str, form: str) -> str:
    """What a reader of this form reads, on one line."""
    if form == "csv":
        text = " ".join(" ".join(row) for row in csv.reader(io.StringIO(text)))
    elif form == "json":
        text = " ".join(_strings(json.loads(text)))
    elif form in ("markdown", "html"):
        page = MarkdownIt("commonmark").render(text) if form == "markdown" else text
        text = html.unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", page, flags=re.S))
    return " ".join(text.split())


def _strings(value: object):
    if isinstance(value, dict):
        for name, item in value.items():
            yield name
            yield from _strings(item)
    elif isinstance(value, list):
        for item in value:
            yield from _strings(item)
    else:
        yield str(value)


@pytest.mark.parametrize("form", FORMS)
def test_every_thing_box_and_kind_of_waste_stands_in_every_form(form: str):
    _, data = machine()
    read = words(shown(form), form)
    things = [*data["shopping"]["buy_now"], *data["shopping"]["decide_after_look"]]

    assert len(things) > 40 and data["workshop"] and len(data["waste"]["kinds"]) > 5
    assert [row["item"] for row in things if row["item"] not in read] == []
    assert [text for text in SIX_BOXES.values() if text not in read] == []
    assert [text for text in data["workshop"]["besides"] if text not in read] == []
    low = read.lower()
    assert [row["kind"] for row in data["waste"]["kinds"] if row["kind"].lower() not in low] == []


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("only", ["shopping", "workshop", "waste"])
def test_the_cautions_of_a_list_stand_in_every_form_of_it(form: str, only: str):
    plan, data = machine()
    read = words(shown(form, only=only), form)
    tasks = {task.id: task for task in plan.tasks}
    cautions = {
        "shopping": [FITS, PETROL],
        "workshop": [
            text
            for name in data["workshop"]["for"]
            for text in rules().tasks[name].cautions
            if text not in tasks[name].left_out
        ],
        "waste": [WASTE_LAW, DUST, SOLVENT, *data["waste"]["cautions"], "Never mix. Own can each: oil, oil with water"],
    }[only]

    assert GOVERNS in read and len(cautions) >= 2
    assert [text for text in cautions if " ".join(text.split()) not in read] == []


@pytest.mark.parametrize("form", FORMS)
def test_one_list_alone_leaves_the_others_out(form: str):
    read = words(shown(form, only="workshop"), form)

    assert "holes in shell and carrier" in read
    assert "spark plug of the maker's grade" not in read and "oily rags" not in read.lower()


def test_every_share_is_shown_and_the_shares_make_the_sum():
    oil = next(row for row in machine()[1]["shopping"]["buy_now"] if row["item"].startswith("engine oil of"))
    plan, read = machine()[0], words(shown("wide"), "wide")
    numbers = {task.id: task.order for task in plan.tasks}
    line = re.search(r"engine oil of the maker's grade: about ([\d.]+) l.*?\(([^)]*)\)", read)

    assert line and float(line[1]) == pytest.approx(oil["quantity"])
    shares = dict(part.split(": ") for part in line[2].split("; "))
    assert set(shares) == {str(numbers[share["task"]]) for share in oil["for"]} and len(shares) > 3
    assert sum(float(share.removesuffix(" l")) for share in shares.values()) == pytest.approx(float(line[1]))


def test_imperial_measure_keeps_the_metric_figure_behind_it():
    # 0.05 l is 1.8 imperial fluid ounces, of which there are 35.195 in a litre
    for form in ("wide", "markdown", "html"):
        assert "penetrating oil: 1.8 imp fl oz (0.05 l)" in words(shown(form, units="imperial"), form)
    assert "penetrating oil: 0.05 l (" in shown("wide")
    row = next(
        row for row in csv.DictReader(io.StringIO(shown("csv", units="imperial"))) if row["item"] == "penetrating oil"
    )
    assert (row["quantity"], row["unit"], row["shown"]) == ("0.05", "l", "1.8 imp fl oz")


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ({"litres": 5.4, "at_least": False}, "5.4 l"),
        ({"litres": 5.4, "at_least": True}, "at least 5.4 l"),
        ({"litres": 3.9, "litres_least": 2.9, "at_least": False}, "2.9 to 3.9 l"),
        ({"count": 2.0, "count_unit": "piece", "at_least": False}, "2"),
        ({"usual": {"least": 1, "most": 3, "unit": "set"}, "at_least": True}, "usually 1 to 3 sets, from memory"),
        (
            {"litres": 2.0, "usual": {"least": 0, "most": 20, "unit": "l"}, "at_least": True},
            "2 l poured in, and what was there before: usually 0 to 20 l, from memory",
        ),
        ({"at_least": True}, "not known before the work"),
    ],
)
def test_an_amount_of_waste_says_how_far_it_is_known(row: dict, said: str):
    empty = {"litres": None, "litres_least": None, "count": None, "count_unit": "", "usual": None}

    assert waste_amount({**empty, **row}) == said


@pytest.mark.parametrize(
    ("ticks", "answer"),
    [("All 6 ticked", "all_confirmed"), ("1 to 5 ticked", "some"), ("None ticked", "none_confirmed")],
)
def test_the_command_below_the_sheet_puts_the_ticks_on_record(tmp_path: Path, capsys, ticks: str, answer: str):
    path = tmp_path / "red twin's.yaml"
    path.write_text(BEARINGS)
    assert main(["lists", str(path), "--only", "workshop", "--today", TODAY, "--as", "markdown"]) == 0
    line = next(line for line in capsys.readouterr().out.split("\n") if line.startswith(f"**{ticks}:**"))
    command = shlex.split(re.search(r"`(.*)`", line)[1])

    assert command[:2] == ["revive", "note"]
    assert main([*command[1:], "--today", TODAY]) == 0
    record = read_record(str(path), rules())
    assert record.answers["shop_answers"].value == answer
    assert record.answers["shop_answers"].how in ("", "seen")


def test_all_six_in_writing_are_needed_where_the_bearings_were_renewed(tmp_path: Path):
    base = rules()
    record = Record(
        answers={
            "layout": Answer("flat_twin_wet", on="2026-11-01"),
            "plan_goal": Answer("ride", on="2026-11-01"),
            "crank_rework": Answer("yes_recorded", on="2026-11-20"),
            "shop_answers": Answer("some", on="2026-11-20"),
        },
        done={"photo_record": Work(on="2026-11-01")},
    )
    full = replace(record, answers={**record.answers, "shop_answers": Answer("all_confirmed", on="2026-11-21")})

    def standing(one: Record) -> set[str]:
        return {stop.id for stop in make_plan(base, one, TODAY).stops if stop.state == "standing"}

    assert "bearing-work-unproved" in standing(record)
    assert "bearing-work-unproved" not in standing(full)


def test_a_workshop_that_is_asked_about_no_bearing_gets_no_bearing_lines():
    plan, _ = machine()
    tank = replace(plan.tasks[0], id="tank_repair", title="x", who="shop", state="to_do", left_out=())
    sheet = workshop_sheet(rules(), [tank])

    assert sheet and (sheet["boxes"], sheet["answers"], sheet["for"], sheet["jobs"]) == ({}, None, [], ["tank_repair"])
    assert len(sheet["besides"]) == 3 and sheet["cautions"] == list(rules().tasks["tank_repair"].cautions)


def hostile_text(form: str) -> str:
    plan, data = machine()
    plan = replace(plan, machine={"name": HOSTILE})
    shopping = {**data["shopping"], "buy_now": [{**data["shopping"]["buy_now"][0], "item": HOSTILE}]}
    shopping["buy_now"].append({**shopping["buy_now"][0], "item": "=2+5"})
    return shown(form, plan, {**data, "shopping": shopping}, path=HOSTILE)


@pytest.mark.parametrize("form", FORMS)
def test_no_form_gives_a_control_character_on(form: str):
    assert not re.search("[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", hostile_text(form))


def test_hostile_words_stay_words():
    page = hostile_text("html")
    marked = MarkdownIt("commonmark", {"html": True}).render(hostile_text("markdown"))
    cells = [cell for row in csv.reader(io.StringIO(hostile_text("csv"))) for cell in row]

    assert "<script" not in page and "&lt;script&gt;" in page
    assert "<script" not in marked and "<a " not in marked
    assert "'=2+5" in cells and not [cell for cell in cells if cell[:1] in tuple("=+-@\t\r")]


def test_the_command_writes_every_form_and_refuses_what_it_does_not_know(tmp_path: Path, capsys):
    path, out = tmp_path / "red.yaml", tmp_path / "lists.html"
    path.write_text(BEARINGS)
    for form in ("terminal", "markdown", "csv", "json"):
        assert main(["lists", str(path), "--as", form, "--today", TODAY]) == 0
        assert len(capsys.readouterr().out) > 3000
    assert main(["lists", str(path), "--as", "html", "--today", TODAY, "--out", str(out)]) == 0
    assert out.read_text(encoding="utf-8").count('type="checkbox"') > 60
    assert path.read_text() == BEARINGS
    assert main(["lists", str(path), "--only", "wishes"]) == 2


def test_dates_follow_the_hours_that_are_there(tmp_path: Path, capsys):
    path = tmp_path / "red.yaml"
    path.write_text(BEARINGS)

    def last_date(*more: str) -> str:
        assert main(["lists", str(path), "--only", "shopping", "--as", "json", "--today", TODAY, *more]) == 0
        rows = json.loads(capsys.readouterr().out)["shopping"]["buy_now"]
        return max(row["needed_on"] for row in rows)

    assert last_date("--hours-per-day", "1") > last_date("--hours-per-day", "8")
    assert last_date("--start", "2027-03-01") > "2027-03-01"


def test_a_bare_record_has_lists_too(tmp_path: Path, capsys):
    path = tmp_path / "bare.yaml"
    path.write_text("record: 1\n")

    assert main(["lists", str(path), "--today", TODAY, "--units", "imperial"]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert "plug cap mark: as many as spark plugs in all" in said
    assert "No work for a machine shop or another workshop is in this plan." in said
    assert "How many cylinders has it? (cylinders)" in said
