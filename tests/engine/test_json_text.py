"""Our JSON text, read back by the standard library, and how it lies on the page."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as some

from revive.frozen import Frozen
from revive.json_text import json_text

LEAVES = (
    some.none() | some.booleans() | some.integers() | some.floats(allow_nan=False, allow_infinity=False) | some.text()
)
VALUES = some.recursive(LEAVES, lambda inner: some.lists(inner) | some.dictionaries(some.text(), inner), max_leaves=30)


class Nut(Frozen):
    """A small value with fields."""

    size_mm: float
    marks: tuple[str, ...] = ()


@given(some.dictionaries(some.text(), VALUES) | some.lists(VALUES))
def test_the_standard_library_reads_the_same_value(value):
    assert json.loads(json_text(value)) == value


def test_fields_and_items_have_a_line_each():
    value = {"nuts": [Nut(8, ("left",)), Nut(10.5)], "none": (), "name": 'A "twin" ä'}

    assert json_text(value).splitlines() == [
        "{",
        '  "nuts": [',
        '    {"size_mm": 8, "marks": ["left"]},',
        '    {"size_mm": 10.5, "marks": []}',
        "  ],",
        '  "none": [],',
        '  "name": "A \\"twin\\" ä"',
        "}",
    ]
    assert json_text([Nut(6)]).splitlines() == ["[", '  {"size_mm": 6, "marks": []}', "]"]


@given(some.text())
def test_no_character_steers_a_terminal(text):
    said = json_text({"note": text})

    assert not [
        sign for sign in said.replace("\n", "") if sign < " " or "\x7f" <= sign <= "\x9f" or sign in "\u202e\u2066"
    ]
    assert json.loads(said) == {"note": text}


@pytest.mark.parametrize("value", [{"a": float("nan")}, [float("inf")], {"a": [float("-inf")]}])
def test_numbers_that_json_does_not_have_are_refused(value):
    with pytest.raises(ValueError):
        json_text(value)


@pytest.mark.parametrize("value", [{"a": {3}}, [object()]])
def test_what_json_does_not_have_is_refused(value):
    with pytest.raises(TypeError):
        json_text(value)
