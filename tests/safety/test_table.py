"""The shipped rules hold what table.yaml states, every safety rule is stated there, and the notation says what it says."""

from functools import cache

import pytest

from revive.loading import default_rules_folder, load_rules
from revive.model import GATES, SEVERITIES, RuleBase
from safety.notation import parse, plain, show
from safety.table import Table, table


@cache
def shipped() -> RuleBase:
    base, problems = load_rules(default_rules_folder())
    assert base is not None, "\n".join(map(str, problems))
    return base


def test_the_shipped_rules_hold_everything_that_the_table_states():
    assert Table(shipped()).differences(shipped()) == []


def test_every_rule_that_holds_a_gate_or_raises_a_stop_is_stated_in_the_table():
    """Read the rule, judge it, and then add its line; `python tests/safety/row.py RULE` prints it in the notation."""
    assert Table(shipped()).unstated(shipped()) == []


def test_every_gate_is_stated_and_no_statement_is_about_nothing():
    assert set(table()["gates"]) == set(GATES)
    assert all(row["severity"] in SEVERITIES for row in table()["rules"].values())
    assert len(table()["rules"]) > 300 and len(table()["stops"]) > 25
    assert all(row["clears"] for row in table()["stops"].values())


@pytest.mark.parametrize(
    ("text", "made"),
    [
        ("a = b", ("is", "a", ("b",))),
        ("a in {b, c}", ("is", "a", ("b", "c"))),
        ("a has b", ("has", "a", "b")),
        ("a >= 3", ("compare", "a", "at_least", ("number", 3.0), 1.0)),
        ("a < keeps_y", ("compare", "a", "less_than", ("limit", "keeps_y"), 1.0)),
        ("a <= 0.7 * other", ("compare", "a", "at_most", ("fact", "other"), 0.7)),
        ("not (a = b or done(c))", ("not", ("any", (("is", "a", ("b",)), ("done", "c"))))),
        ("a = b and c = d or always", ("any", (("all", (("is", "a", ("b",)), ("is", "c", ("d",)))), ("always",)))),
    ],
)
def test_the_notation_means(text, made):
    assert parse(text, {"keeps_y"}) == made
    assert parse(show(made), {"keeps_y"}) == made


@pytest.mark.parametrize("text", ["a", "a =", "a = b c", "(a = b", "a in {}", "a ! b"])
def test_half_a_statement_is_refused(text):
    with pytest.raises(ValueError):
        parse(text, ())


def test_order_and_brackets_make_no_difference_and_everything_else_does():
    one = plain(parse("a = b and (c in {e, d} and f > 1)", ()))

    assert one == plain(parse("(f > 1 and c in {d, e}) and a = b", ()))
    assert one != plain(parse("a = b and (c in {e, d} and f >= 1)", ()))
    assert one != plain(parse("a = b and (c = d and f > 1)", ()))
    assert one != plain(parse("a = b or (c in {e, d} and f > 1)", ()))
