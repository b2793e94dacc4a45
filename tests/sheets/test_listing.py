"""The sale sheet as text, Markdown and HTML: whole, honest in its words, and inert."""

import html
import re
from functools import cache

import pytest
from markdown_it import MarkdownIt
from render_machines import TODAY, rules

from revive.cli import main
from revive.engine.claims import study_sale
from revive.engine.planner import make_plan
from revive.model import Answer, Record, Work
from revive.record import read_record
from revive.render import sale_texts
from revive.render.blocks import Page
from revive.render.listing import sale_pages
from revive.render.measures import in_units
from revive.render.sale_forms import sale_html, sale_markdown, sale_text
from sheets.clubs import SAMPLES

HOSTILE = (
    "<script>alert(1)</script><img src=x onerror=alert(2)> </title> [red]x[/red] **b** [go](http://e.example) {date} "
    "{done_list} {{ 7 * 7 }} \x1b[31m\u202e\x9b2J =1+1 `c`"
)
FORMS = {"text": sale_text, "markdown": sale_markdown, "html": sale_html}
NO_WARRANTY = re.compile(
    r"\b(guarantee[ds]?|guaranteed|perfect|faultless|flawless|as new|like new|always|warranty|warranted|reliable|sound)\b",
    re.I,
)


def pages_of(record: Record, units: str = "metric") -> tuple[Page, ...]:
    plan = make_plan(rules(), record, TODAY, "0.1")
    study = study_sale(rules(), record, plan, TODAY)
    return in_units(sale_pages(rules(), record, plan, study, "2026-11-25-12345678"), units, plan.machine)


@cache
def sample(name: str) -> tuple[Page, ...]:
    return pages_of(read_record(SAMPLES / name, rules()))


RECORDS = ("flat-twin/1-first-answers.yaml", "flat-twin/5-run.yaml", "seller-twin/3-opened.yaml")


def words_of(page: Page) -> str:
    return "\n".join("\n".join((block.label, block.text, *block.items)) for block in page.blocks)


def as_read(form: str, text: str) -> str:
    if form == "markdown":
        text = MarkdownIt("commonmark", {"html": True}).render(text)
    if form != "text":
        text = html.unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", text, flags=re.S))
    return " ".join(text.split())


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("name", RECORDS)
def test_every_word_stands_in_every_form(name: str, form: str):
    pages = sample(name)
    text = as_read(form, FORMS[form](pages))
    said = [words for page in pages for words in words_of(page).split("\n") if words]
    if form == "text":
        titles = {block.text for page in pages for block in page.blocks if block.kind == "heading" and block.level < 3}
        said = [words.upper() if words in titles else words for words in said]

    assert len(said) > 60
    assert not [words for words in said if " ".join(words.split()) not in text]


@pytest.mark.parametrize("name", RECORDS)
def test_what_must_be_read_first_comes_before_what_may_be_said(name: str):
    blocks = sample(name)[0].blocks
    labels = [block.label for block in blocks]

    assert blocks[labels.index("Read this first")].items[0].startswith("Not for use on the road")
    assert labels.index("Read this first") < labels.index("What must be told")
    assert labels.index("What must be told") < labels.index("What was seen, done and measured")


@pytest.mark.parametrize("name", RECORDS)
def test_the_texts_of_all_standing_stops_are_published(name: str):
    record = read_record(SAMPLES / name, rules())
    study = study_sale(rules(), record, make_plan(rules(), record, TODAY), TODAY)
    text = " ".join(words_of(sample(name)[0]).split())

    assert study.stops
    for held in study.stops:
        if not held.stop.shuts_words_only:
            assert " ".join(held.stop.text.split()) in text


def test_each_number_in_the_description_leads_to_dated_evidence():
    sale, evidence, _ = sample("flat-twin/5-run.yaml")
    numbers = re.findall(r"\[E(\d+)\]", words_of(sale))
    by_number = {block.label.split(",")[0][1:]: block for block in evidence.blocks if re.match(r"E\d+, ", block.label)}

    assert len(numbers) == len(set(numbers)) > 20
    assert set(numbers) == set(by_number)
    assert all(block.items for block in by_number.values())
    assert "Done: oil every bore and let it creep before the crank moves (" in words_of(evidence)


def test_no_brace_and_no_id_is_left():
    for name in RECORDS:
        for page in sample(name):
            text = words_of(page)
            assert not re.search(r"\{\w+\}", text)
            assert not re.search(r"\bdont_know\b|\bnan\b|[:(] None\b|must_know", text)


def test_our_own_words_hold_no_warranty():
    """What the rules and this module word themselves; a word that a phrase forbids may be named as forbidden."""
    own = [text for name, value in vars(sale_texts).items() if name.isupper() for text in _texts(value)]
    own = [text for text in own if not text.startswith("No warranty words")]
    own += [claim.proved for claim in rules().claims.values()]
    own += [told["text"] for told in rules().disclosures.values()]

    assert len(own) > 100
    assert not [text for text in own if NO_WARRANTY.search(text.replace("sound: {turn_noise}", ""))]


def _texts(value: object) -> list[str]:
    if isinstance(value, str):
        return [value]
    parts = value.values() if isinstance(value, dict) else value if isinstance(value, tuple) else ()
    return [text for part in parts for text in _texts(part)]


def test_the_seller_is_told_what_not_to_write_what_to_photograph_and_that_law_differs():
    text = words_of(sample("seller-twin/3-opened.yaml")[2])

    for words in (
        '"road legal"',
        '"runs well"',
        "Photographs to take",
        "A disclaimer does not undo a false statement.",
        "consumer, data and road law differ by country",
        "Cover names, addresses and full numbers",
        "Consumer Rights Act 2015",
    ):
        assert words in text


def test_photographs_of_parts_that_are_not_there_are_left_out():
    two_stroke = Record(
        answers={
            "layout": Answer("two_stroke_premix"),
            "front_brake": Answer("drum_cable"),
            "rear_brake": Answer("drum_rod"),
        }
    )
    text = words_of(pages_of(two_stroke)[2])

    assert "Brake hose date print" not in text
    assert "Under the rocker or cam cover" not in text
    assert "Tank inside" in text


def test_full_numbers_and_the_owner_are_not_published_but_stand_in_the_evidence_sheet():
    record = Record({"name": "Grey twin", "owner": "A. Member, 1 Road", "frame": "AB 913 406 7890"})
    sale, evidence, _ = pages_of(record)

    assert "7890" in words_of(sale)
    assert "406" not in words_of(sale)
    assert "Member" not in words_of(sale)
    assert "AB 913 406 7890" in words_of(evidence)


def test_old_readings_say_that_they_were_not_repeated():
    answers = {
        "layout": Answer("flat_twin_wet"),
        "comp_low_bar": Answer(8.4, "2024-05-01", "A. Member", "measured"),
        "comp_high_bar": Answer(8.8, "2024-05-01", "A. Member", "measured"),
        "evidence_kept": Answer("yes", "2026-11-20"),
    }
    record = Record(answers=answers, done={"comp_test": Work("2024-05-01", details={"gauge": "screw-in, borrowed"})})
    sale, evidence, _ = pages_of(record)
    line = next(text for text in words_of(sale).split("\n") if text.startswith("Compression on 1 May 2024"))

    assert "lowest 8.4, highest 8.8 bar. Since then not repeated. [E" in line
    assert "8.4 bar, 1 May 2024, tool: screw-in, borrowed. Since then not repeated. Guide: " in words_of(evidence)


def test_a_date_covers_every_day_of_its_evidence():
    days = {"oil_drain": "2026-11-02", "oil_fill": "2026-11-05", "filter_replace": "2026-11-04"}
    answers = {
        "layout": Answer("flat_twin_wet"),
        "filter_kind": Answer("paper_internal"),
        "oil_look": Answer("dark", "2026-11-01"),
        "evidence_kept": Answer("yes", "2026-11-20"),
    }
    record = Record(answers=answers, done={task: Work(day) for task, day in days.items()})

    assert "Oil and filter were renewed between 2 November 2026 and 5 November 2026." in words_of(pages_of(record)[0])
    undated = Record(answers=answers, done={**record.done, "oil_fill": Work()})
    assert "Oil and filter were renewed on days of which the last on record is 4 November 2026." in words_of(
        pages_of(undated)[0]
    )


@pytest.mark.parametrize("form", FORMS)
def test_words_from_a_record_stay_words(form: str):
    answers = {
        "layout": Answer("flat_twin_wet", "2026-11-20", HOSTILE, "seen"),
        "run_noise": Answer("normal", "2026-11-20", HOSTILE, "seen"),
        "evidence_kept": Answer("yes", "2026-11-20", HOSTILE, "seen"),
    }
    done = {
        "heat_cycles": Work("2026-11-20", HOSTILE, HOSTILE, {HOSTILE: HOSTILE}),
        "first_start": Work("2026-11-20", HOSTILE, HOSTILE, {"tries": HOSTILE}),
    }
    readings = ({"what": HOSTILE, "value": HOSTILE, "on": HOSTILE, HOSTILE: HOSTILE},)
    record = Record({"name": HOSTILE, "owner": HOSTILE, "frame": HOSTILE, "make": HOSTILE}, answers, done, {}, readings)
    text = FORMS[form](pages_of(record))

    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", text)
    assert "{{ 7 * 7 }}" in as_read(form, text)
    if form != "text":
        page = MarkdownIt("commonmark", {"html": True}).render(text) if form == "markdown" else text
        assert not re.search(r"<(script|img|a)\b|</title>(?=.*</title>)", page, re.S)
        assert "&lt;script&gt;" in page
    if form == "markdown":
        assert "<strong>b</strong>" not in MarkdownIt("commonmark").render(text)


def test_units_are_the_readers_and_metric_stays_beside_them():
    record = read_record(SAMPLES / "flat-twin/5-run.yaml", rules())
    text = words_of(pages_of(record, "imperial")[0])

    assert re.search(r"\d psi \(8\.5 to 8\.9 bar\)", text)


def test_the_command_prints_writes_and_refuses(tmp_path, capsys):
    record, out = str(SAMPLES / "seller-twin/3-opened.yaml"), tmp_path / "sheet.html"

    assert main(["listing", record, "--today", TODAY]) == 0
    assert "----- the description ends here -----" in capsys.readouterr().out
    assert main(["listing", record, "--today", TODAY, "--as", "html", "--out", str(out)]) == 0
    assert out.read_text().startswith("<!DOCTYPE html>")
    assert main(["listing", str(tmp_path / "none.yaml")]) == 1
    assert "there is no such file" in capsys.readouterr().err
