"""Numbers, dates and tyre codes as people type them."""

import pytest

from revive.model import ReviveError, RuleBase
from revive.wizard.understood import typed_number

TODAY = "2026-11-25"


@pytest.mark.parametrize(
    ("name", "typed", "value", "said"),
    [
        ("prime_gauge_bar", "30 psi", 2.0684, ""),
        ("prime_gauge_bar", "2.1 bar", 2.1, ""),
        ("oil_capacity_l", "3 pt", 1.7048, "Taken as imperial"),
        ("drained_water_ml", "250 ml", 250, ""),
        ("battery_volts", "12,4 V", 12.4, ""),
        ("years_stored", "14", 14, ""),
        ("years_stored", "18 months", 1.5, ""),
        ("years_stored", "1998", 28, "Since 1998: 28 years."),
        ("years_stored", "June 2011", 15.4, "Since Jun 2011: 15.4 years."),
        ("years_stored", "2011-06", 15.4, "Since Jun 2011: 15.4 years."),
        ("year_made", "1974", 1974, ""),
        ("tyre_age_front_y", "2319", 7.5, "Week 23 of 2019: 7.5 years old."),
        ("tyre_age_front_y", "12", 12, ""),
        ("tyre_age_rear_y", "274", 42.4, "the older decade is taken, 1984: 42.4 years old."),
    ],
)
def test_what_people_type_is_understood_and_said_back(
    base: RuleBase, name: str, typed: str, value: float, said: str
) -> None:
    number = typed_number(base.questions[name], typed, TODAY)

    assert number.value == pytest.approx(value, abs=0.01)
    assert said in number.said


@pytest.mark.parametrize(
    ("name", "typed", "reason"),
    [
        ("tyre_age_front_y", "5419", "week 54; a year has 53 at most"),
        ("tyre_age_front_y", "2399", "still to come"),
        ("years_stored", "2030-01", "not a month that has been"),
        ("years_stored", "90", "outside 0 to 80 years"),
        ("years_stored", "long", "a number in years was expected"),
        ("prime_gauge_bar", "3 pt", "pressure"),
        ("oil_capacity_l", "1,200", "two ways"),
    ],
)
def test_what_cannot_be_meant_is_refused_with_the_reason(base: RuleBase, name: str, typed: str, reason: str) -> None:
    with pytest.raises(ReviveError, match=reason):
        typed_number(base.questions[name], typed, TODAY)
