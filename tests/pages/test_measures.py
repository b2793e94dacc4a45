"""Measures as shown: right to the figure that is printed, metric beside it, and hands off what is no quantity."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st
from page_machines import plan_of, rules

from revive.render.blocks import Block, Page
from revive.render.measures import in_prose, in_units, show
from revive.render.pages import arrange
from revive.render.terminal import plan_terminal
from revive.units import parse


@pytest.mark.parametrize(
    ("metric", "imperial"),
    [  # worked by hand from 1 in = 25.4 mm, 1 lb = 0.45359237 kg, 1 imperial gallon = 4.54609 l
        ("0.3 l", "0.53 imp pt (0.3 l)"),
        ("9 l", "2 imp gal (9 l)"),
        ("200 ml", "7 imp fl oz (200 ml)"),
        ("0.2 l", "7 imp fl oz (0.2 l)"),
        ("0.05 l", "1.8 imp fl oz (0.05 l)"),
        ("500 ml", "0.88 imp pt (500 ml)"),
        ("5 ml", "5 ml"),
        ("2 to 5 ml", "2 to 5 ml"),
        ("0.01 l", "10 ml (0.01 l)"),
        ("5 to 20 ml", "0.18 to 0.7 imp fl oz (5 to 20 ml)"),
        ("0.1 to 3 l", "0.18 to 5.3 imp pt (0.1 to 3 l)"),
        ("0.3 to 6 l", "0.53 to 11 imp pt (0.3 to 6 l)"),
        ("0 to 0.2 l", "0 to 7 imp fl oz (0 to 0.2 l)"),
        ("2 bar", "29 psi (2 bar)"),
        ("0 to 6 bar", "0 to 87 psi (0 to 6 bar)"),
        ("25.4 mm", "1 in (25.4 mm)"),
        ("0.05 mm", "0.002 in (0.05 mm)"),
        ("500 km", "311 miles (500 km)"),
        ("80 km/h", "50 mph (80 km/h)"),
        ("20 N m", "15 lbf ft (20 N m)"),
        ("-40 C", "-40 F (-40 C)"),
        ("50 to 60 C", "122 to 140 F (50 to 60 C)"),
        ("within 5 C of the air", "within 9 F (5 C) of the air"),
        ("2 kg", "4.4 lb (2 kg)"),
        ("10 m", "33 ft (10 m)"),
    ],
)
def test_a_quantity_in_a_sentence_is_turned_and_keeps_its_metric(metric: str, imperial: str):
    assert in_prose(f"Take {metric}, slowly.", "imperial") == f"Take {imperial}, slowly."


@pytest.mark.parametrize(
    "words",
    [
        "20W-50", "250 cc", "M6 bolt", "12 V and 9.6 V", "page 8.11: 10 s", "under 30 psi", "10 min", "5 mg/m2 d", "DOT 4",
        "class 5 Cars", "1 l/min", "2 mm2", "5 m2", "edition 1241C, note", "30 psi, that is 2.07 bar/2", "25:1 l", "task 3",
    ],
)  # fmt: skip
def test_what_is_no_quantity_of_ours_is_left_alone(words: str):
    assert in_prose(words, "imperial") == words


def test_metric_readers_see_the_words_as_they_are():
    assert in_prose("0.3 l at 2 bar", "metric") == "0.3 l at 2 bar"


@given(st.floats(0.01, 5000), st.sampled_from(["l", "ml", "mm", "bar", "km", "kg", "N m", "m"]))
def test_what_is_shown_is_within_five_hundredths_of_what_is_meant(value: float, unit: str):
    shown = show(value, unit, "imperial")

    assert parse(shown, unit) == pytest.approx(value, rel=0.051)


@given(st.integers(-40, 300))
def test_a_temperature_is_shown_to_half_a_degree_or_better(celsius: int):
    assert parse(show(celsius, "C", "imperial"), "C") == pytest.approx(celsius, abs=0.3)


@pytest.mark.parametrize(
    ("amount_ml", "unit", "ml_in_one"),
    [  # imperial pint and fluid ounce in ml: Units of Measurement Regulations 1995 (UK), schedule
        *((ml, "ml", 1.0) for ml in (1, 2, 5, 10, 14)),
        *((ml, "imp fl oz", 28.4130625) for ml in (14.5, 15, 20, 50, 100, 200, 250, 284)),
        *((ml, "imp pt", 568.26125) for ml in (285, 300, 400, 500)),
    ],
)
def test_a_volume_is_said_in_the_measure_of_its_size_from_drops_to_a_pint(amount_ml, unit, ml_in_one):
    for shown in (show(amount_ml, "ml", "imperial"), show(amount_ml / 1000, "l", "imperial")):
        number, name = shown.split(" ", 1)

        assert name == unit
        assert float(number) == pytest.approx(amount_ml / ml_in_one, abs=0.5 if float(number) >= 10 else 0.05)
        assert float(number) >= 0.5 or unit == "ml"


def test_what_is_typed_and_how_an_answer_is_typed_stays_as_it_is():
    blocks = (
        Block("command", "revive note RECORD drained_l=2 l"),
        Block("list", items=("drained_l=... How much? (a number from 0 to 8 l)", "0.5 l of oil")),
    )
    turned = in_units((Page("x", blocks),), "imperial", {})[0].blocks

    assert turned[0] == blocks[0]
    assert turned[1].items == (blocks[1].items[0], "0.88 imp pt (0.5 l) of oil")


def test_no_metric_figure_is_lost_from_an_imperial_plan():
    plan, base = plan_of("half"), rules()
    quantity = re.compile(r"(?<![\w.,/:=+-])-?\d+(?:\.\d+)? (?:l|ml|mm|bar|C|km|N m)\b(?![/²³^=])")
    pages = arrange(plan, base, "owner", True)
    metric, imperial = (
        " ".join(text for page in shown for block in page.blocks for text in (block.text, *block.items))
        for shown in (pages, in_units(pages, "imperial", plan.machine))
    )
    metric, imperial = (quantity.findall(text) for text in (metric, re.sub(r"\d+ ml (?=\(0\.\d+ l\))", "", imperial)))

    assert len(metric) > 100
    assert imperial == metric


def test_the_terminal_says_that_measures_are_rounded_and_imperial():
    text = " ".join(plan_terminal(plan_of("half"), rules(), "owner", width=80, colour=False, units="imperial").split())

    assert "The metric figure counts. Pints, gallons and fluid ounces are imperial, not American." in text
    assert "imperial, not American" not in plan_terminal(plan_of("half"), rules(), "owner", width=80, colour=False)
