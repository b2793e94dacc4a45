"""Quantities as people write them."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from revive.model import ReviveError
from revive.units import _EXACT, convert, find_unit, names_of, parse, remark

# Factors of the SI Brochure, 9th edition (BIPM), and NIST Special Publication 811, appendix B, worked by hand.
READ = [
    ("30 psi", "bar", 2.0684272),
    ("30psi", "bar", 2.0684272),
    ("2.1 bar", "bar", 2.1),
    ("101.325 kPa", "bar", 1.01325),
    ("1 atm", "bar", 1.01325),
    ("1 kgf/cm2", "bar", 0.980665),
    ("690 kPa", "psi", 100.0760),
    ("250 ml", "l", 0.25),
    ("3 pt", "l", 1.70478375),
    ("3 imp pt", "l", 1.70478375),
    ("3 US pt", "l", 1.419529419),
    ("1 us gal", "l", 3.785411784),
    ("1 gallon", "l", 4.54609),
    ("10 fl oz", "ml", 284.130625),
    # Units of Measurement Regulations 1995 (UK), schedule: the fluid ounce and the pint.
    ("1 imp fl oz", "ml", 28.4130625),
    ("1 imp pt", "ml", 568.26125),
    ("10 US fl oz", "ml", 295.735296),
    ("350 cc", "l", 0.35),
    ("12,4 V", "V", 12.4),
    ("12.4V", "V", 12.4),
    ("850 mV", "V", 0.85),
    ("70 F", "C", 21.111111),
    ("70°F", "C", 21.111111),
    ("-40 deg F", "C", -40),
    ("−5 °C", "C", -5),
    ("293.15 K", "C", 20),
    ("20 C", "F", 68),
    ("1/2 in", "mm", 12.7),
    ("1 1/2 in", "mm", 38.1),
    ("1½ in", "mm", 38.1),
    ("½ in", "mm", 12.7),
    ('5/8"', "mm", 15.875),
    ("2 thou", "mm", 0.0508),
    ("1 mile", "km", 1.609344),
    ("90 min", "h", 1.5),
    ("18 months", "years", 1.5),
    ("1 week", "days", 7),
    ("10 lbf ft", "N m", 13.558179),
    ("1 kgf m", "N m", 9.80665),
    ("100 cSt", "mm2/s", 100),
    ("1 P", "mPa s", 100),
    ("0.87 g/cm3", "kg/m3", 870),
    ("5 µm", "um", 5),
    ("12 %", "percent", 12),
    ("5", "bar", 5),
    (" 1e3 ", "mm", 1000),
    ("0,300 l", "l", 0.3),
    ("7 kicks", "kicks", 7),
    ("1 kick", "kicks", 1),
]


@pytest.mark.parametrize(("text", "unit", "number"), READ)
def test_quantities_are_read(text, unit, number):
    assert parse(text, unit) == pytest.approx(number, rel=1e-6)


REFUSED = [
    ("30 psi", "mm", "psi is a unit of pressure; a length in mm was expected"),
    ("30 ps", "bar", "Did you mean 'psi'"),
    ("3 barr", "bar", "Did you mean 'bar"),
    ("about 3 bar", "bar", "a number in bar was expected"),
    ("", "bar", "a number in bar was expected"),
    ("1,200 km", "km", "two ways"),
    ("1.2.3 bar", "bar", "is not a number"),
    ("1/0 in", "mm", "divided by 0"),
    ("3 oz", "ml", "fl oz"),
    ("70 degrees", "C", "degrees|angle"),
    ("5 V", "", "a number was expected"),
    ("5 V", "kicks", "a number in kicks was expected"),
    ("1e999", "mm", "too large"),
    ("1" * 5000 + "/2", "mm", "too large"),
    ("5 ms", "m", "no unit that is known"),
    ("9 ° ", "C", "angle"),
]


@pytest.mark.parametrize(("text", "unit", "words"), REFUSED)
def test_what_cannot_be_read_says_what_was_found_and_wanted(text, unit, words):
    with pytest.raises(ReviveError, match=words) as refused:
        parse(text, unit)

    assert str(refused.value).count("\n    ") == 1


def test_pints_are_told_apart_and_it_is_said_which_was_taken():
    assert parse("3 US pt", "l") < parse("3 pt", "l")
    assert "imperial" in remark("3 pt") and "568.3" in remark("3 pt") and "US pt" in remark("3 pt")
    assert "US gal" in remark("2 gallons")
    for clear in ("3 US pt", "3 imp pt", "3 imperial pints", "3 l", "nothing"):
        assert remark(clear) == ""


def test_every_spelling_is_found_in_small_letters_too():
    for word, unit in _EXACT.items():
        assert find_unit(word) == unit
        assert find_unit(word.lower()).dimension == unit.dimension, word


@settings(deadline=None)
@given(st.floats(-1e6, 1e6), st.data())
def test_there_and_back_is_the_same_quantity(number, data):
    dimension = data.draw(st.sampled_from(sorted({unit.dimension for unit in _EXACT.values()})))
    one, other = (find_unit(data.draw(st.sampled_from(names_of(dimension)))) for _ in range(2))

    assert convert(convert(number, one, other), other, one) == pytest.approx(number, rel=1e-9, abs=1e-6)


@settings(deadline=None)
@given(st.text(max_size=30), st.sampled_from(["bar", "mm", "C", "", "kicks"]))
def test_any_text_is_read_or_refused_in_words(text, unit):
    try:
        assert isinstance(parse(text, unit), float)
    except ReviveError as refused:
        assert "expected" in str(refused) or "\n    " in str(refused)
    assert isinstance(remark(text), str)
