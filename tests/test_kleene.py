"""The three-valued logic against the published tables, typed in full.

Source of every table: strong three-valued logic, S. C. Kleene, Introduction to Metamathematics (1952), section 64
(t, f, u there; True, False, None here). Nothing in this file is worked out by the code under test.
"""

import pytest

from revive.engine.conditions import Sight, compile_condition, truth_and, truth_not, truth_or
from revive.model import Condition, Question

T, F, U = True, False, None
Truth = bool | None

#    a  b    a and b  a or b  if a, b
TABLE = [
    (T, T, T, T, T),
    (T, F, F, T, F),
    (T, U, U, T, U),
    (F, T, F, T, T),
    (F, F, F, F, T),
    (F, U, F, U, T),
    (U, T, U, T, T),
    (U, F, F, U, U),
    (U, U, U, U, U),
]
NOT = [(T, F), (F, T), (U, U)]

#    a  b  c    all three  any of three
THREE = [
    (T, T, T, T, T),
    (T, T, F, F, T),
    (T, T, U, U, T),
    (T, F, F, F, T),
    (T, F, U, F, T),
    (T, U, U, U, T),
    (F, F, F, F, F),
    (F, F, U, F, U),
    (F, U, U, F, U),
    (U, U, U, U, U),
]

QUESTIONS = {
    name: Question(name, 1, "?", "choice", "", choices={"yes": "it is", "no": "it is not"}) for name in ("a", "b", "c")
}
ANSWERS = {T: "yes", F: "no", U: None}
A, B, C = (("is", name, ("yes",)) for name in "abc")


def judged(condition: Condition, as_need: bool = False, **given: Truth) -> Truth:
    """The worth of a condition over a, b and c, each made true, false or unknown by its answer."""
    values = {name: ANSWERS[truth] for name, truth in given.items()}
    return compile_condition(condition, QUESTIONS, as_need)(Sight(values, values, frozenset(), {}))


@pytest.mark.parametrize(("a", "b", "both", "either", "_"), TABLE)
def test_and_or_functions(a: Truth, b: Truth, both: Truth, either: Truth, _: Truth) -> None:
    assert truth_and(a, b) is both
    assert truth_or(a, b) is either


@pytest.mark.parametrize(("a", "not_a"), NOT)
def test_not_function(a: Truth, not_a: Truth) -> None:
    assert truth_not(a) is not_a


@pytest.mark.parametrize("as_need", [False, True])
@pytest.mark.parametrize(("a", "b", "both", "either", "if_then"), TABLE)
def test_compiled_pairs(a: Truth, b: Truth, both: Truth, either: Truth, if_then: Truth, as_need: bool) -> None:
    assert judged(("all", (A, B)), as_need, a=a, b=b) is both
    assert judged(("any", (A, B)), as_need, a=a, b=b) is either
    assert judged(("when", A, B), as_need, a=a, b=b) is if_then


@pytest.mark.parametrize("as_need", [False, True])
@pytest.mark.parametrize(("a", "not_a"), NOT)
def test_compiled_not(a: Truth, not_a: Truth, as_need: bool) -> None:
    assert judged(("not", A), as_need, a=a) is not_a


@pytest.mark.parametrize(("a", "b", "c", "all_three", "any_of_three"), THREE)
def test_three_in_every_order(a: Truth, b: Truth, c: Truth, all_three: Truth, any_of_three: Truth) -> None:
    for x, y, z in ((a, b, c), (a, c, b), (b, a, c), (b, c, a), (c, a, b), (c, b, a)):
        assert truth_and(x, y, z) is all_three
        assert truth_or(x, y, z) is any_of_three
        assert judged(("all", (A, B, C)), a=x, b=y, c=z) is all_three
        assert judged(("any", (A, B, C)), a=x, b=y, c=z) is any_of_three


def test_none_at_all() -> None:
    assert truth_and() is True
    assert truth_or() is False


@pytest.mark.parametrize("operator", ["at_least", "more_than", "at_most", "less_than"])
@pytest.mark.parametrize("reference", [("number", 5.0), ("limit", "top"), ("fact", "b")])
def test_an_unknown_number_compares_as_unknown(operator: str, reference: tuple[str, object]) -> None:
    """Kleene's u goes in where a number is not known, whichever side of the comparison it stands on."""
    number = Question("a", 1, "?", "number", "", unit="mm", high=10)
    test = compile_condition(("compare", "a", operator, reference, 1.0), {"a": number, "b": number})
    assert test(Sight({"a": None, "b": 5.0}, {}, frozenset(), {"top": 5.0})) is None
    if reference[0] == "fact":
        assert test(Sight({"a": 5.0, "b": None}, {}, frozenset(), {"top": 5.0})) is None


@pytest.mark.parametrize(
    ("operator", "below", "on", "above"),
    [("at_least", F, T, T), ("more_than", F, F, T), ("at_most", T, T, F), ("less_than", T, F, F)],
)
def test_a_known_number_compares_as_it_says(operator: str, below: Truth, on: Truth, above: Truth) -> None:
    number = Question("a", 1, "?", "number", "", unit="mm", high=10)
    for reference in (("number", 10.0), ("limit", "top"), ("fact", "b")):
        test = compile_condition(("compare", "a", operator, reference, 0.5), {"a": number, "b": number})
        found = [test(Sight({"a": a, "b": 10.0}, {}, frozenset(), {"top": 10.0})) for a in (4.9, 5.0, 5.1)]
        assert found == [below, on, above]


def test_done_is_never_unknown() -> None:
    assert compile_condition(("done", "oil_drain"), {})(Sight({}, {}, frozenset({"oil_drain"}), {})) is True
    assert compile_condition(("done", "oil_drain"), {})(Sight({}, {}, frozenset(), {})) is False
