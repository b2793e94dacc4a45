"""The reckon command: list, one figure, both forms, help towards the right name."""

import argparse
import json

import pytest

from revive.commands.reckon import run
from revive.figures import FIGURES, FigureError


def reckon(capsys, figure=None, *pairs, form="terminal", today="2026-11-25"):
    assert run(argparse.Namespace(figure=figure, pairs=list(pairs), form=form, today=today)) == 0
    return capsys.readouterr().out


def test_without_a_figure_all_are_listed_one_line_each(capsys):
    lines = reckon(capsys).splitlines()

    assert [line.split()[0] for line in lines] == list(FIGURES)
    assert max(map(len, lines)) <= 120
    assert [entry["id"] for entry in json.loads(reckon(capsys, form="json"))] == list(FIGURES)


def test_json_has_its_promised_keys(capsys):
    data = json.loads(reckon(capsys, "soak_volumes", "displacement_cc=800", "cylinders=2", form="json"))

    assert list(data) == ["id", "value", "unit", "inputs", "method", "source", "note", "also"]
    assert (data["id"], data["value"], data["unit"]) == ("soak_volumes", 8, "ml")
    assert data["inputs"] == {"displacement_cc": 800, "cylinders": 2}
    assert data["also"]["soak_ml"] == 40


def test_the_screen_shows_value_range_method_source_and_note(capsys):
    out = reckon(capsys, "compression_expected", "ratio=9:1", "altitude_m=0")

    assert out.startswith("compression_expected: 16.62 bar (from 13.14 to 20.95)\n")
    for head in ("From: ratio = 9", "Method: ", "Rests on: ISO 2533", "Note: "):
        assert f"\n{head}" in out


def test_units_are_read_and_the_pint_that_was_taken_is_said(capsys):
    out = reckon(capsys, "premix", "ratio=25", "petrol_l=1 gal")

    assert "181.8 ml" in out
    assert "petrol_l: Taken as imperial" in out
    data = json.loads(reckon(capsys, "premix", "ratio=25", "petrol_l=1 gal", form="json"))
    assert "Taken as imperial" in data["note"]


def test_a_figure_without_inputs_says_what_it_needs(capsys):
    out = reckon(capsys, "dew_point")

    assert "air_c (C): temperature of the air" in out
    assert "Write: revive reckon dew_point air_c=… rh_pct=…" in out
    needed = {item["name"]: item["needed"] for item in json.loads(reckon(capsys, "dew_point", form="json"))["inputs"]}
    assert needed == {"air_c": True, "rh_pct": True, "metal_c": False}


def test_a_tyre_is_reckoned_on_the_day_of_the_plan(capsys):
    assert reckon(capsys, "tyre_age", "code=4819", form="json", today="2029-11-25") == reckon(
        capsys, "tyre_age", "code=4819", "on=2029-11-25", form="json"
    )


@pytest.mark.parametrize(
    ("figure", "pairs", "words"),
    [
        ("dew_pint", [], "Did you mean 'dew_point'"),
        ("dew_point", ["air_x=1"], "Did you mean 'air_c'"),
        ("dew_point", ["air_c"], "name=value was expected"),
        ("dew_point", ["=3"], "name=value was expected"),
        ("dew_point", ["air_c=1", "air_c=2"], "given twice"),
        ("dew_point", ["air_c=1 bar", "rh_pct=50"], "a temperature in C was expected"),
        ("dew_point", ["air_c=20 f0", "rh_pct=50"], "no unit that is known"),
        ("dew_point", ["air_c=99", "rh_pct=50"], "from -40 to 60 C"),
        ("dew_point", ["air_c=20"], "rh_pct in %"),
    ],
)
def test_mistakes_are_named_with_a_way_out(figure, pairs, words):
    with pytest.raises(FigureError, match=words):
        run(argparse.Namespace(figure=figure, pairs=pairs, form="terminal", today="2026-11-25"))


def test_control_characters_do_not_reach_the_screen(capsys):
    with pytest.raises(FigureError) as refused:
        run(argparse.Namespace(figure="dew_point", pairs=["\x1b[31mred"], form="terminal", today=None))

    assert "\x1b" not in str(refused.value)
    out = reckon(capsys, "tyre_tread", "depth_mm=2", "country=\x1b[31mred", "cc=500")
    assert "\x1b" not in out
