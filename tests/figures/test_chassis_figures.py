"""Battery, petrol, brake fluid, tyres, chain, air, rust and rubber: direction, limits and refusals."""

from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from revive.figures import FigureError, reckon
from revive.figures.dew_point import saturation_pa
from revive.figures.tyres import week_start, weeks_in

plain = settings(deadline=None)


@plain
@given(st.floats(9, 12.9), st.floats(0.001, 0.1), st.sampled_from(["flooded", "sealed"]))
def test_more_volts_are_never_less_charge(volts, more, kind):
    def figure(value):
        return reckon("battery_charge", {"volts_rest": value, "kind": kind, "system_voltage": "v12"})

    assert 0 <= figure(volts).value <= figure(volts + more).value <= 100
    assert figure(volts).also["low"] <= figure(volts).value <= figure(volts).also["high"]


@plain
@given(st.floats(1, 1.279), st.floats(0.0001, 0.001))
def test_stronger_acid_freezes_later(gravity, more):
    one, two = (reckon("battery_freezing", {"specific_gravity": g}).value for g in (gravity, gravity + more))

    assert two < one


@plain
@given(st.floats(0, 99), st.floats(0.1, 1))
def test_a_fuller_battery_freezes_later(charge, more):
    one, two = (reckon("battery_freezing", {"state_of_charge_pct": c}).value for c in (charge, charge + more))

    assert two < one


@pytest.mark.parametrize("inputs", [{}, {"specific_gravity": 1.2, "state_of_charge_pct": 50}])
def test_freezing_needs_exactly_one_of_two(inputs):
    with pytest.raises(FigureError, match="one of the two"):
        reckon("battery_freezing", inputs)


def test_a_lithium_battery_has_no_lead_figures():
    with pytest.raises(FigureError, match="lithium"):
        reckon("battery_charge", {"volts_rest": 13.0, "kind": "lithium", "system_voltage": "v12"})


@plain
@given(st.integers(1, 50), st.floats(1, 200))
def test_air_goes_with_cells_and_capacity(cells, ah):
    def air(n, capacity):
        inputs = {"cells": n, "capacity_ah": capacity, "kind": "flooded", "unlimited": "yes"}
        return reckon("charging_ventilation", inputs).value

    assert air(2 * cells, ah) == pytest.approx(2 * air(cells, ah))
    assert air(cells, 2 * ah) == pytest.approx(2 * air(cells, ah))


@plain
@given(st.floats(0, 14), st.floats(0.01, 1), st.floats(-12, 35), st.floats(0.01, 5))
def test_more_alcohol_and_more_warmth_hold_no_less_water(ethanol, more, at_c, warmer):
    def water(share, temperature):
        return reckon("fuel_water", {"ethanol_pct": share, "at_c": temperature}).value

    assert water(ethanol + more, at_c) > water(ethanol, at_c)
    assert water(ethanol, at_c + warmer) >= water(ethanol, at_c)


@plain
@given(st.floats(10, 100), st.floats(0.1, 50))
def test_mixture_gives_the_ratio_back(ratio, petrol):
    oil = reckon("premix", {"ratio": ratio, "petrol_l": petrol}).value

    assert petrol * 1000 / oil == pytest.approx(ratio)


@pytest.mark.parametrize("ratio", ["25:2", "0:1", "1:0", "25:"])
def test_a_ratio_that_is_none_is_refused(ratio):
    with pytest.raises(FigureError):
        reckon("premix", {"ratio": ratio, "petrol_l": 1})


@plain
@given(st.sampled_from(["DOT3", "DOT4", "DOT5.1"]), st.floats(0, 60), st.floats(0, 5))
def test_brake_fluid_takes_up_water_and_boils_sooner(grade, years, more):
    one, two = (reckon("brake_fluid", {"grade": grade, "years": y}).also for y in (years, years + more))

    assert one["water_high_pct"] <= two["water_high_pct"] <= 8
    if "boils_from_c" in two:
        assert two["boils_from_c"] <= one["boils_from_c"]
        assert one["least_wet_c"] <= two["boils_from_c"] <= two["least_dry_c"]
    else:
        assert two["where"] == "may be past the wet limit"


def test_silicone_fluid_has_its_water_apart():
    figure = reckon("brake_fluid", {"grade": "dot 5", "years": 20})

    assert figure.also["where"] == "water lies apart"
    assert figure.also["water_high_pct"] == 0
    assert "Never mix" in figure.note


@plain
@given(st.dates(date(2000, 3, 1), date(2080, 12, 31)))
def test_weeks_begin_on_sunday_and_follow_the_calendar(day):
    sunday = day - timedelta(days=(day.weekday() + 1) % 7)
    first = date(sunday.year, 1, 1)
    first += timedelta(days=(6 - first.weekday()) % 7)
    week = (sunday - first).days // 7 + 1

    assert week_start(2000, 1) + (sunday - date(2000, 1, 2)).days == week_start(sunday.year, week)
    assert 1 <= week <= weeks_in(sunday.year)


@plain
@given(st.integers(0, 26), st.integers(1, 52), st.integers(0, 3000))
def test_a_tyre_ages_by_the_day(year, week, days):
    code = f"{week:02d}{year:02d}"
    made = date(2000, 1, 2) + timedelta(days=week_start(2000 + year, week) - week_start(2000, 1))
    age = reckon("tyre_age", {"code": code, "on": (made + timedelta(days=days)).isoformat()}).value

    assert age * 365.25 == pytest.approx(days)


@pytest.mark.parametrize("code", ["0019", "5419", "5321", "19", "48190", "AB12", "", "4819X", "000", "549"])
def test_a_code_without_such_a_week_is_refused(code):
    with pytest.raises(FigureError, match="code"):
        reckon("tyre_age", {"code": code, "on": "2026-11-25"})


def test_a_year_with_53_sundays_has_week_53():
    assert reckon("tyre_age", {"code": "DOT U2LL LMLR 5323", "on": "2024-01-01"}).also["week"] == 53


def test_a_code_from_the_future_is_refused():
    with pytest.raises(FigureError, match="lies after"):
        reckon("tyre_age", {"code": "4826", "on": "2026-11-22"})


@pytest.mark.parametrize("code", ["270", "509"])
def test_three_digits_end_in_the_middle_of_2000(code):
    years = [reading["year"] for reading in reckon("tyre_age", {"code": code, "on": "2026-11-25"}).also["readings"]]

    assert years == {"270": [1990, 1980], "509": [1999, 1989, 1979]}[code]


@pytest.mark.parametrize("on", ["2026-02-29", "2026-13-01", "26-1-1", "yesterday", "2026-11-31"])
def test_a_day_that_does_not_exist_is_refused(on):
    with pytest.raises(FigureError, match="date"):
        reckon("tyre_age", {"code": "4819", "on": on})


@plain
@given(st.integers(5, 120), st.sampled_from([12.7, 15.875, 19.05]), st.floats(0, 9))
def test_chain_elongation_round_trip(pitches, pitch, percent):
    inputs = {"pitches": pitches, "pitch_mm": pitch, "measured_mm": pitches * pitch * (1 + percent / 100)}
    figure = reckon("chain_wear", inputs)

    assert figure.value == pytest.approx(percent, abs=1e-9)
    if abs(percent - 2) > 1e-6:
        assert figure.also["verdict"] == ("renew" if percent > 2 else "serviceable")


@pytest.mark.parametrize("measured", [314, 355])
def test_a_wrong_count_or_pitch_is_noticed(measured):
    with pytest.raises(FigureError, match="New it is 317"):
        reckon("chain_wear", {"pitches": 20, "pitch_mm": 15.875, "measured_mm": measured})


def test_pitch_or_size_is_needed_and_they_may_not_clash():
    with pytest.raises(FigureError, match="pitch_mm or size"):
        reckon("chain_wear", {"pitches": 20, "measured_mm": 318})
    with pytest.raises(FigureError, match=r"not 12\.7"):
        reckon("chain_wear", {"pitches": 20, "measured_mm": 255, "pitch_mm": 12.7, "size": "525"})


@plain
@given(st.floats(-30, 55), st.floats(2, 99), st.floats(0.1, 1), st.floats(0.1, 5))
def test_dew_point_rises_with_damp_and_warmth_and_never_passes_the_air(air, rh, wetter, warmer):
    def dew(temperature, humidity):
        return reckon("dew_point", {"air_c": temperature, "rh_pct": humidity}).value

    assert dew(air, rh + wetter) > dew(air, rh)
    assert dew(air + warmer, rh) > dew(air, rh)
    assert dew(air, rh) <= air
    assert saturation_pa(dew(air, rh)) == pytest.approx(saturation_pa(air) * rh / 100)


@plain
@given(st.floats(-20, 40))
def test_saturated_air_is_at_its_dew_point(air):
    assert reckon("dew_point", {"air_c": air, "rh_pct": 100}).value == pytest.approx(air, abs=1e-9)


@pytest.mark.parametrize(
    ("air", "rh", "metal", "forms"),
    [
        (20, 60, 11, "water"),
        (20, 60, 13, "nothing"),
        (0, 90, -1.35, "frost"),
        (0, 90, -1.2, "nothing"),
        (0, 90, 0.5, "nothing"),
        (5, 90, -2, "frost"),
    ],
)
def test_water_frost_or_nothing_on_the_metal(air, rh, metal, forms):
    # Dew point 12.0 C in the first two; frost point -1.27 and dew point -1.44 in the middle ones.
    assert reckon("dew_point", {"air_c": air, "rh_pct": rh, "metal_c": metal}).also["forms"] == forms


@plain
@given(st.floats(0, 10), st.floats(40, 90), st.floats(1, 100), st.floats(1, 500), st.sampled_from(["steel", "zinc"]))
def test_damp_dirt_salt_and_years_take_more_metal(air, rh, so2, cl, metal):
    base = {"air_c": air, "rh_pct": rh, "so2_mg_m2_d": so2, "cl_mg_m2_d": cl, "metal": metal}
    value = reckon("corrosion", base).value

    for name, more in (("rh_pct", 1), ("so2_mg_m2_d", 1), ("cl_mg_m2_d", 1)):
        assert reckon("corrosion", {**base, name: base[name] + more}).value > value
    losses = [reckon("corrosion", {**base, "years": years}).also["average_um"] for years in (1, 5, 20, 40)]
    assert losses == sorted(losses)


@plain
@given(st.floats(21, 100), st.sampled_from(["steel", "zinc"]))
def test_the_straight_line_leaves_the_power_law_upwards_after_20_years(years, metal):
    inputs = {"air_c": 10, "rh_pct": 75, "so2_mg_m2_d": 5, "cl_mg_m2_d": 5, "metal": metal, "years": years}
    also = reckon("corrosion", inputs).also

    assert also["average_linear_um"] > also["average_um"]
    assert also["upper_linear_um"] > also["upper_um"] > also["average_um"]


@plain
@given(st.floats(1, 60), st.floats(-10, 50), st.floats(0.1, 5), st.floats(20, 200))
def test_warmer_stores_age_rubber_faster(years, stored, warmer, energy):
    base = {"years": years, "reference_c": 20, "activation_kj_mol": energy}
    cool, warm = (reckon("rubber_ageing", {**base, "stored_c": c}) for c in (stored, stored + warmer))

    assert warm.value > cool.value
    assert cool.also["low"] <= cool.value <= cool.also["high"]


@plain
@given(st.floats(0, 60), st.floats(-10, 50), st.floats(-10, 50))
def test_equivalent_years_round_trip(years, stored, reference):
    there = reckon("rubber_ageing", {"years": years, "stored_c": stored, "reference_c": reference}).value
    if there <= 130:
        back = reckon("rubber_ageing", {"years": there, "stored_c": reference, "reference_c": stored}).value
        assert back == pytest.approx(years, abs=1e-9)
