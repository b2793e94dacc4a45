"""The sample records and the plans beside them: each plan is the one that its record gives today."""

import json
import os
import re
import struct
import subprocess
import sys
from collections import Counter
from itertools import pairwise
from pathlib import Path
from resource import RUSAGE_CHILDREN, getrusage

import pytest
from make_samples import CLUB_SHEETS, PICTURE, ROOT, SAMPLES, day_of, forms_of, plans_of, records, sheets

from revive.loading import default_rules_folder, load_rules
from revive.record import read_record

RECORDS = records()
names = [str(record.relative_to(SAMPLES).with_suffix("")) for record in RECORDS]
REMAKE = "Read the plan as its owner would; if the new one is right, remake them all: python tests/make_samples.py"
# How far each record has come, as the story beside it tells: the last open gate, and the next one.
STORY = {
    "club-batch/blue-first-run": ("fire", None),
    "club-batch/red-soaking": ("touch", "turn"),
    "club-batch/white-first-answers": (None, "touch"),
    "flat-twin/1-first-answers": (None, "touch"),
    "flat-twin/2-first-day": ("touch", "turn"),
    "flat-twin/3-opened": ("turn", "crank"),
    "flat-twin/4-primed": ("crank", "fire"),
    "flat-twin/5-run": ("fire", "roll"),
    "seller-twin/1-first-answers": (None, "touch"),
    "seller-twin/2-first-look": ("touch", "turn"),
    "seller-twin/3-opened": ("turn", "crank"),
    "seller-twin/4-primed": ("crank", "fire"),
    "seller-twin/5-run": ("claim", None),
}


@pytest.fixture(scope="module")
def base():
    loaded, problems = load_rules(default_rules_folder())
    assert loaded is not None, problems
    return loaded


@pytest.mark.parametrize("record", RECORDS, ids=names)
def test_the_plans_beside_a_record_are_those_that_it_gives(record):
    for place, text in plans_of(record):
        kept = place.read_bytes().decode("utf-8") if place.exists() else ""
        if kept != text:
            first = next(
                (
                    n
                    for n, (old, new) in enumerate(zip(kept.split("\n"), text.split("\n"), strict=False), 1)
                    if old != new
                ),
                min(kept.count("\n"), text.count("\n")) + 1,
            )
            pytest.fail(f"{place.relative_to(ROOT)}:{first} is not what revive plan says now. {REMAKE}", pytrace=False)


@pytest.mark.parametrize("record", RECORDS, ids=names)
def test_a_record_stands_where_its_story_says(record):
    plan = json.loads(record.with_suffix(".plan.json").read_text(encoding="utf-8"))

    assert (plan["verdict"]["open_to"], plan["verdict"]["next_gate"]) == STORY[names[RECORDS.index(record)]]


def test_no_plan_lies_about_without_its_record():
    kept = set(SAMPLES.rglob("*.plan.*"))

    assert kept == {record.with_suffix(f".{ending}") for record in RECORDS for ending in forms_of(record).values()}


def test_the_sale_and_club_sheets_are_those_that_the_records_give():
    made = dict(sheets())
    stale = [
        str(place.relative_to(ROOT)) for place, text in made.items() if not place.exists() or as_kept(place) != text
    ]

    assert stale == [], REMAKE
    assert len(made) >= 7
    assert set(CLUB_SHEETS.rglob("*.html")) == {place for place in made if CLUB_SHEETS in place.parents}


def test_every_story_has_a_page_to_open():
    folders = {page.parent.name for page in SAMPLES.glob("*/*.plan.html")} | {CLUB_SHEETS.parent.name}

    assert folders == {record.parent.name for record in RECORDS}
    assert all(20_000 < page.stat().st_size < 300_000 for page in SAMPLES.rglob("*.html"))


def test_the_readme_shows_the_picture_of_a_page_with_words_for_those_who_cannot_see_it():
    data = PICTURE.read_bytes()
    width, height = struct.unpack(">II", data[16:24])
    shown = re.findall(r"!\[([^\]]*)\]\(([^)]*)\)", (ROOT / "README.md").read_text(encoding="utf-8"))

    assert data[:8] == b"\x89PNG\r\n\x1a\n" and data[12:16] == b"IHDR" and data[-8:-4] == b"IEND"
    assert 600 <= width <= 2000 and 0.7 <= height / width <= 2
    assert 20_000 < len(data) < 500_000
    assert [place for _, place in shown] == [str(PICTURE.relative_to(ROOT))]
    assert len(shown[0][0]) > 60 and "gate" in shown[0][0]


def test_no_plan_of_a_sample_is_too_long_to_be_read():
    """On a terminal of 80 columns. Every caution of every task is in it, and those alone are some 400 lines."""
    lengths = {
        name: len(as_kept(record.with_suffix(".plan.txt")).splitlines())
        for name, record in zip(names, RECORDS, strict=True)
    }

    assert all(lines < 1900 for lines in lengths.values()), lengths


def as_kept(place):
    return place.read_bytes().decode("utf-8")


@pytest.mark.parametrize("record", RECORDS, ids=names)
def test_a_record_says_that_it_is_invented(record, base):
    text = record.read_text(encoding="utf-8")

    assert "nvented" in text.split("record: 1")[0]
    assert read_record(record, base).machine["name"].endswith("(invented)")


def test_each_step_of_a_story_keeps_all_that_the_step_before_knew(base):
    for folder in ("flat-twin", "seller-twin"):
        steps = [read_record(record, base) for record in RECORDS if record.parent.name == folder]
        assert len(steps) == 5
        for before, after in pairwise(steps):
            said = {entry["question"]: entry["value"] for entry in after.earlier if "question" in entry}
            for name, answer in before.answers.items():
                assert name in after.answers
                assert after.answers[name].value == answer.value or name in said
            assert set(before.done) <= set(after.done)
            assert len(before.readings) <= len(after.readings)


def test_the_samples_show_what_a_record_can_hold(base):
    found = [read_record(record, base) for record in RECORDS]
    kinds = Counter(str(reading["what"]) for record in found for reading in record.readings)

    assert {"prime_burst", "compression_bar", "leakdown_pct"} <= set(kinds)
    assert {answer.how for record in found for answer in record.answers.values()} >= {"", "told", "papers", "measured"}
    assert any(record.maker for record in found) and any(record.earlier for record in found)
    assert any("T" in work.on and work.note for record in found for work in record.done.values())


@pytest.mark.parametrize("record", RECORDS, ids=names)
def test_a_plan_takes_less_than_a_second(record):
    """Processor time of the whole command, the least of three: what else runs on the machine is not counted."""
    command = [sys.executable, "-m", "revive", "plan", str(record), "--today", day_of(record)]
    took = []
    while len(took) < 3 and min(took, default=1.0) >= 1:
        before = getrusage(RUSAGE_CHILDREN)
        done = subprocess.run(command, capture_output=True, cwd=ROOT, env={**os.environ, "PYTHONPATH": str(ROOT)})
        after = getrusage(RUSAGE_CHILDREN)
        took.append(after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime)
        assert done.returncode == 0, done.stderr

    assert min(took) < 1


def test_the_page_about_the_samples_names_every_record():
    page = Path(SAMPLES / "README.md").read_text(encoding="utf-8")

    assert all(name.split("/")[0] in page and record.name in page for name, record in zip(names, RECORDS, strict=True))
