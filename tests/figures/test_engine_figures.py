"""Oil, settling, priming, compression and soak: direction, limits and refusals."""

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from revive.figures import FigureError, reckon
from revive.figures.oil_grade import split_grade
from revive.figures.residue import drains_under
from revive.figures.viscosity import line_through, on_line

plain = settings(deadline=None)


@plain
@given(st.floats(10, 1000), st.floats(0.05, 0.5), st.floats(-20, 119), st.floats(0.1, 20))
def test_oil_thins_with_heat(kv40, share, at_c, warmer):
    kv100 = kv40 * share
    assume(kv100 >= 3)
    sheet = {"kv40_mm2_s": kv40, "kv100_mm2_s": kv100}
    try:
        warm = reckon("oil_viscosity", {**sheet, "at_c": at_c + warmer})
    except FigureError as refused:
        assert "thinner than 2" in str(refused)
        return

    assert warm.value < reckon("oil_viscosity", {**sheet, "at_c": at_c}).value


@plain
@given(st.floats(10, 1000), st.floats(0.05, 0.9))
def test_the_line_gives_back_the_two_points_it_was_drawn_through(kv40, share):
    line = line_through((40, kv40), (100, kv40 * share))

    assert on_line(*line, 40) == pytest.approx(kv40)
    assert on_line(*line, 100) == pytest.approx(kv40 * share)


def test_cold_oil_carries_its_warning_and_warm_oil_does_not():
    sheet = {"kv40_mm2_s": 160, "kv100_mm2_s": 18}

    assert "no limit for cold cranking" in reckon("oil_viscosity", {**sheet, "at_c": -0.1}).note
    assert "no limit for cold cranking" not in reckon("oil_viscosity", {**sheet, "at_c": 0}).note


def test_exchanged_viscosities_are_noticed():
    with pytest.raises(FigureError, match="exchanged"):
        reckon("oil_viscosity", {"kv40_mm2_s": 18, "kv100_mm2_s": 160, "at_c": 20})


@pytest.mark.parametrize(
    ("text", "parts"),
    [("20W-50", ("20W", "50")), ("20w50", ("20W", "50")), ("SAE 10W/40", ("10W", "40")), ("sae40", ("", "40"))],
)
def test_grades_are_read_as_people_write_them(text, parts):
    assert split_grade(text) == parts


@pytest.mark.parametrize("text", ["", "W", "20W-55", "7W-40", "80W-90", "SAE 90", "motor oil", "20W-50-60", "²0W-50"])
def test_what_is_no_engine_oil_grade_is_refused(text):
    with pytest.raises(FigureError, match="engine"):
        reckon("oil_grade", {"grade": text, "at_c": 10})


def test_a_grade_without_w_promises_nothing_in_the_cold():
    figure = reckon("oil_grade", {"grade": "SAE 50", "at_c": -10})

    assert figure.value == "not stated"
    assert "crank_at_c" not in figure.also
    assert "no cold limit" in figure.note


GRAIN = {"particle_um": 20, "particle_kg_m3": 2600, "oil_kg_m3": 870, "viscosity_mpa_s": 300, "depth_mm": 80}


@plain
@given(st.floats(1, 60), st.floats(1.01, 2), st.sampled_from(["particle_um", "particle_kg_m3"]))
def test_bigger_and_heavier_grains_settle_sooner(size, times, which):
    grain = {**GRAIN, "particle_um": size}

    assert reckon("settling", {**grain, which: grain[which] * times}).value < reckon("settling", grain).value


@plain
@given(st.floats(10, 5000), st.floats(1.01, 10))
def test_settling_time_goes_with_viscosity_and_depth(mpa_s, times):
    base = reckon("settling", {**GRAIN, "viscosity_mpa_s": mpa_s}).value

    assert reckon("settling", {**GRAIN, "viscosity_mpa_s": mpa_s * times}).value == pytest.approx(base * times)
    assert reckon("settling", {**GRAIN, "viscosity_mpa_s": mpa_s, "depth_mm": 160}).value == pytest.approx(base * 2)


def test_what_floats_is_refused():
    for density in (870, 800):
        with pytest.raises(FigureError, match="does not sink"):
            reckon("settling", {**GRAIN, "particle_kg_m3": density})


@plain
@given(st.floats(0.01, 50), st.floats(20, 600), st.floats(1, 1000), st.floats(0.05, 1))
def test_priming_time_gives_the_volume_back(pump_ml, rpm, volume_ml, efficiency):
    inputs = {"pump_ml_per_crank_rev": pump_ml, "crank_rpm": rpm, "volume_ml": volume_ml, "efficiency": efficiency}
    figure = reckon("prime_time", inputs)

    assert pump_ml * rpm / 60 * efficiency * figure.value == pytest.approx(volume_ml)
    assert 10 * (figure.also["bursts"] - 1) <= figure.value * (1 + 1e-9)
    assert figure.value <= 10 * figure.also["bursts"] * (1 + 1e-9)
    assert figure.also["elapsed_s"] == pytest.approx(figure.value + 60 * max(0, figure.also["bursts"] - 1))


@pytest.mark.parametrize(("volume", "bursts", "elapsed"), [(0, 0, 0), (25, 1, 10), (25.1, 2, 70.04), (50, 2, 80)])
def test_bursts_are_ten_seconds_each(volume, bursts, elapsed):
    # 1 ml a turn at 300 rpm and 0.5: 2.5 ml a second.
    also = reckon("prime_time", {"pump_ml_per_crank_rev": 1, "crank_rpm": 300, "volume_ml": volume}).also

    assert (also["bursts"], also["elapsed_s"]) == (bursts, pytest.approx(elapsed))


@plain
@given(st.floats(20, 300), st.floats(1, 300), st.floats(5, 100), st.floats(1, 100))
def test_cranking_longer_takes_more_charge(amps, seconds, ah, charge):
    inputs = {"starter_a": amps, "battery_ah": ah, "state_of_charge_pct": charge}
    one = reckon("prime_charge", {**inputs, "cranking_s": seconds})
    two = reckon("prime_charge", {**inputs, "cranking_s": seconds * 2})

    assert two.value == pytest.approx(2 * one.value)
    assert one.also["low"] <= one.also["high"]
    assert one.value * ah * charge / 1e4 * 3600 == pytest.approx(amps * seconds)


@pytest.mark.parametrize(
    ("seconds", "charge", "can"),
    # 100 A from 14 Ah: 60 s take 11.9 % at least and 32 % by the high figure; 120 s twice that.
    [(60, 100, "yes"), (120, 100, "doubtful"), (600, 100, "no"), (10, 49, "no"), (10, 0, "no")],
)
def test_whether_the_battery_can_finish_the_prime(seconds, charge, can):
    inputs = {"starter_a": 100, "cranking_s": seconds, "battery_ah": 14, "state_of_charge_pct": charge}

    assert reckon("prime_charge", inputs).also["can_finish"] == can


@plain
@given(st.floats(2, 15.9), st.floats(0.01, 0.1), st.floats(-400, 4500), st.floats(1, 500))
def test_more_ratio_reads_more_and_more_altitude_less(ratio, more, altitude, higher):
    here = reckon("compression_expected", {"ratio": ratio, "altitude_m": altitude})

    assert reckon("compression_expected", {"ratio": ratio + more, "altitude_m": altitude}).value > here.value
    assert reckon("compression_expected", {"ratio": ratio, "altitude_m": altitude + higher}).value < here.value
    assert here.also["low"] <= here.value <= here.also["high"]


@plain
@given(st.lists(st.floats(0.5, 20), min_size=2, max_size=6))
def test_spread_does_not_hang_on_the_order_of_cylinders(readings):
    share = reckon("compression_spread", {"readings_bar": readings}).value

    assert 0 < share <= 100
    assert reckon("compression_spread", {"readings_bar": sorted(readings)}).value == share
    assert reckon("compression_spread", {"readings_bar": [one / 2 for one in readings]}).value == pytest.approx(share)


def test_one_reading_has_no_spread():
    for single in ("8.6", 8.6, [8.6]):
        with pytest.raises(FigureError, match="two readings"):
            reckon("compression_spread", {"readings_bar": single})


def test_a_unit_behind_the_last_reading_counts_for_all():
    in_psi = reckon("compression_spread", {"readings_bar": "120, 125 psi"})

    assert in_psi.inputs["readings_bar"] == pytest.approx((8.2737, 8.6184), abs=1e-4)
    assert reckon("compression_spread", {"readings_bar": "120 psi, 8.5 bar"}).also["highest_bar"] == 8.5
    assert reckon("compression_spread", {"readings_bar": "8,6; 9,1"}).also["lowest_bar"] == 8.6


@plain
@given(st.floats(1, 10), st.floats(0, 1))
def test_leak_down_loss_and_hold_add_up(feed, share):
    figure = reckon("leakdown", {"feed_bar": feed, "held_bar": feed * share})

    assert figure.value + figure.also["as_80_psi"] / 0.8 == pytest.approx(100)


def test_held_over_feed_is_refused():
    with pytest.raises(FigureError, match="exchanged"):
        reckon("leakdown", {"feed_bar": 5, "held_bar": 5.1})


@plain
@given(st.floats(2, 500), st.floats(2, 500), st.floats(0, 100))
def test_a_mixed_fill_lies_between_its_oils_and_does_not_care_which_is_named_first(one, other, share):
    def mixed(first, second, pct):
        return reckon("oil_mix", {"kv100_mm2_s": first, "other_kv100_mm2_s": second, "other_pct": pct}).value

    fill = mixed(one, other, share)

    assert min(one, other) * (1 - 1e-9) <= fill <= max(one, other) * (1 + 1e-9)
    assert fill == pytest.approx(mixed(other, one, 100 - share), rel=1e-9)
    assert mixed(one, one, share) == pytest.approx(one, rel=1e-9)
    assert mixed(one, other, 0) == pytest.approx(one, rel=1e-9)


@plain
@given(st.floats(0.001, 0.9), st.integers(0, 20))
def test_each_drain_leaves_less_and_the_count_under_one_percent_is_the_least(share, drains):
    def left(count):
        return reckon("residue", {"fraction_left": share, "drains": count}).value

    needed = drains_under(share, 1.0)

    assert left(drains + 1) <= left(drains)
    assert 100 * share**needed < 1 <= 100 * share ** (needed - 1)
    assert left(0) == 100


@pytest.mark.parametrize(
    ("cc", "cylinders", "bore", "soak", "case"),
    [(800, 2, 8, 40, 15), (50, 1, 3, 15, 3), (1200, 1, 10, 50, 15), (250, 1, 5, 25, 12.5), (400, 4, 3, 15, 5)],
)
def test_soak_volumes_stay_between_least_and_most(cc, cylinders, bore, soak, case):
    also = reckon("soak_volumes", {"displacement_cc": cc, "cylinders": cylinders}).also

    assert [also[key] for key in ("bore_oil_ml", "soak_ml", "crankcase_oil_ml")] == pytest.approx([bore, soak, case])


def test_halves_of_countable_things_are_refused():
    for name, inputs in [
        ("soak_volumes", {"displacement_cc": 500, "cylinders": 1.5}),
        ("residue", {"fraction_left": 0.1, "drains": 1.5}),
        ("chain_wear", {"pitches": 20.5, "pitch_mm": 15.875, "measured_mm": 325}),
    ]:
        with pytest.raises(FigureError):
            reckon(name, inputs)
