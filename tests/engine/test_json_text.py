"""Our JSON text against the standard library's, letter for letter."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as some

from revive.json_text import json_text

LEAVES = (
    some.none() | some.booleans() | some.integers() | some.floats(allow_nan=False, allow_infinity=False) | some.text()
)
VALUES = some.recursive(
    LEAVES, lambda inner: some.lists(inner) | some.tuples(inner) | some.dictionaries(some.text(), inner), max_leaves=30
)


@given(VALUES)
def test_the_text_is_that_of_the_standard_library(value):
    assert json_text(value) == json.dumps(value, ensure_ascii=False, indent=2, allow_nan=False)


@pytest.mark.parametrize("value", [float("nan"), float("inf"), [float("-inf")]])
def test_numbers_that_json_does_not_have_are_refused(value):
    with pytest.raises(ValueError):
        json_text(value)


@pytest.mark.parametrize("value", [{1: 2}, {"a": {3}}, object()])
def test_what_json_does_not_have_is_refused(value):
    with pytest.raises(TypeError):
        json_text(value)
