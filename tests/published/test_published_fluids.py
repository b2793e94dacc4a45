"""Petrol, two-stroke mixture, brake fluid and residue against published values."""

import pytest

from revive.figures import FigureError, reckon

TEASPOON_US_ML = 4.92892
GALLON_US_ML = 3785.41


def water(ethanol_pct, fahrenheit):
    return reckon("fuel_water", {"ethanol_pct": ethanol_pct, "at_c": (fahrenheit - 32) / 1.8})


@pytest.mark.parametrize(("fahrenheit", "percent"), [(60, 0.5), (10, 0.3)])
def test_water_in_e10_by_the_trade_guides(fahrenheit, percent):
    # US EPA memorandum "Water Phase Separation in Oxygenated Gasoline", 1995, as restated: 0.5 % at 60 F, 0.3 % at 10 F.
    assert water(10, fahrenheit).also["high"] == pytest.approx(percent, abs=0.001)


@pytest.mark.parametrize(("fahrenheit", "teaspoons"), [(60, 3.8), (20, 2.8)])
def test_water_in_teaspoons_to_a_us_gallon(fahrenheit, teaspoons):
    # Advanced Fuel Products, technical article: 3.8 teaspoons at 60 F (0.495 %), 2.8 at 20 F (0.365 %).
    percent = 100 * teaspoons * TEASPOON_US_ML / GALLON_US_ML

    assert water(10, fahrenheit).also["high"] == pytest.approx(percent, abs=0.03)


@pytest.mark.parametrize(("ethanol", "teaspoons"), [(10, 3.06), (15, 6.47), (0, 0)])
def test_water_in_the_laboratory(ethanol, teaspoons):
    # University of Nebraska-Lincoln, CropWatch: E10 0.398, E15 0.842, E0 0 vol %.
    percent = 100 * teaspoons * TEASPOON_US_ML / GALLON_US_ML

    assert water(ethanol, 60).also["low"] == pytest.approx(percent, abs=0.002)


def test_trap_e10_holds_half_a_percent_and_not_a_twentieth():
    # A trade page prints .05 %; its own 3.8 teaspoons are 0.495 %.
    figure = water(10, 60)

    assert 0.39 < figure.also["low"] < figure.value < figure.also["high"] < 0.51


def test_trap_no_number_of_days_until_petrol_separates():
    # Published times conflict.
    figure = water(10, 60)

    assert "not settled" in figure.note
    assert not any(word in f"{figure.note} {figure.method} {list(figure.also)}" for word in ("days", "weeks", "100 "))


# 49 CFR 571.116, S5.1.1 and S5.1.2 (as restated): least dry and wet boiling points, F and C.
BOILING = [("DOT3", 401, 205, 284, 140), ("DOT4", 446, 230, 311, 155), ("DOT5", 500, 260, 356, 180)]
BOILING += [("DOT5.1", 500, 260, 356, 180)]


@pytest.mark.parametrize(("grade", "dry_f", "dry_c", "wet_f", "wet_c"), BOILING)
def test_least_boiling_points(grade, dry_f, dry_c, wet_f, wet_c):
    figure = reckon("brake_fluid", {"grade": grade, "years": 2})

    assert (figure.also["least_dry_c"], figure.value) == (dry_c, wet_c)
    assert figure.also["least_dry_c"] == pytest.approx((dry_f - 32) / 1.8, abs=0.5)
    assert figure.value == pytest.approx((wet_f - 32) / 1.8, abs=0.5)


@pytest.mark.parametrize(("years", "percent"), [(1, 2), (1.5, 3)])
def test_water_taken_up_by_brake_fluid(years, percent):
    # Trade text (v8sho, brake fluid): up to 2 % after one year, 3 % after 18 months.
    assert reckon("brake_fluid", {"grade": "DOT4", "years": years}).also["water_high_pct"] == pytest.approx(percent)


def test_after_several_years_7_to_8_percent():
    # Same text.
    for years in (5, 10, 40):
        assert 7 <= reckon("brake_fluid", {"grade": "DOT3", "years": years}).also["water_high_pct"] <= 8


@pytest.mark.parametrize(("years", "fahrenheit"), [(0.5, 369), (1, 320), (1.5, 293)])
def test_boiling_of_wet_dot_3(years, fahrenheit):
    # Same text: typical DOT 3 at 1, 2, 3 % of water, which the years above bring: 187.2, 160.0, 145.0 C.
    also = reckon("brake_fluid", {"grade": "DOT3", "years": years}).also

    assert also["boils_from_c"] == pytest.approx((fahrenheit - 32) / 1.8, abs=0.1)


# Mass balance, worked by hand: share left, drains, % old.
RESIDUE = [(0.10, 1, 10), (0.10, 2, 1), (0.10, 3, 0.1), (0.15, 1, 15), (0.15, 2, 2.25), (0.15, 3, 0.3375)]
RESIDUE += [(0.20, 1, 20), (0.20, 2, 4), (0.20, 3, 0.8)]


@pytest.mark.parametrize(("share", "drains", "percent"), RESIDUE)
def test_old_oil_left(share, drains, percent):
    assert reckon("residue", {"fraction_left": share, "drains": drains}).value == pytest.approx(percent)


def test_share_left_by_a_drain_has_no_default():
    # No published share was found, so it is always stated.
    with pytest.raises(FigureError, match="fraction_left"):
        reckon("residue", {"drains": 2})
