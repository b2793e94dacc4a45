"""Settling against published values and a reference library."""

import pytest

from revive.figures import FigureError, reckon
from revive.figures.settling import settling, stokes_speed_m_s


def settle(size_um, particle, fluid, mpa_s):
    inputs = {"particle_um": size_um, "particle_kg_m3": particle, "oil_kg_m3": fluid, "viscosity_mpa_s": mpa_s}
    return reckon("settling", {**inputs, "depth_mm": 100})


@pytest.mark.parametrize(("size_um", "speed_m_s"), [(5, 9.507e-7), (20, 1.5211e-5), (100, 3.8028e-4)])
def test_steel_in_oil_as_perry_has_it(size_um, speed_m_s):
    # Perry's Chemical Engineers' Handbook, 8th edition, section 6, as computed by the library fluids.
    figure = settle(size_um, 7850, 870, 100)

    assert figure.also["speed_mm_h"] / 3.6e6 == pytest.approx(speed_m_s, rel=1e-4)
    assert figure.value == pytest.approx(0.1 / speed_m_s / 3600, rel=1e-4)


def test_perry_example_lies_between_stokes_and_the_longest_time():
    # 70 um, 2600 in 1000 kg/m3, 1 mPa s: 0.00414250 m/s by the full law, 0.00427134 by Stokes (library fluids, its
    # documentation prints the first).
    figure = settle(70, 2600, 1000, 1)

    assert figure.also["speed_mm_h"] / 3.6e6 == pytest.approx(0.00427134, rel=1e-5)
    assert figure.also["low"] < 0.1 / 0.00414250 / 3600 < figure.also["high"]


def test_a_case_outside_stokes_is_refused():
    # GPSA Engineering Data Book, 13th edition, example 7-1: droplets of 150 um, 31.2 in 2.07 lb/ft3, 0.012 mPa s sink
    # at 0.46 ft/s. Stokes would say four times that; its Reynolds number is far over 0.5, so no figure may come out.
    particle, gas, metre_per_foot = 31.2 * 16.01846, 2.07 * 16.01846, 0.3048

    assert stokes_speed_m_s(150e-6, particle - gas, 1.2e-5) > 2 * 0.46 * metre_per_foot
    with pytest.raises(FigureError, match="Reynolds number"):
        settling(150, particle, gas, 0.012, 100)


def test_largest_lead_ball_that_stokes_covers_in_glycerine():
    # Irodov, Problems in General Physics, 1.338: glycerine of 13.9 P, Reynolds number 0.5; 5 mm (5.19 with 11340 and
    # 1260 kg/m3). The printed answer is from memory, so the law itself is worked through beside it.
    speed = stokes_speed_m_s(0.00519, 11340 - 1260, 1.39)

    assert 1260 * speed * 0.00519 / 1.39 == pytest.approx(0.5, abs=0.005)


def test_ball_in_glycerine():
    # 2 mm steel of 7850 in glycerine of 1260 kg/m3, 1.49 Pa s: 9.642e-3 m/s with g 9.81.
    assert stokes_speed_m_s(0.002, 7850 - 1260, 1.49) == pytest.approx(9.642e-3, rel=1e-3)


def test_stokes_agrees_with_fluids():
    fluids = pytest.importorskip("fluids", reason="reference library of terminal velocities")
    for size_um, particle, fluid, mpa_s in [(5, 7850, 870, 100), (50, 2600, 870, 40), (10, 2600, 850, 5)]:
        speed = fluids.v_terminal(D=size_um * 1e-6, rhop=particle, rho=fluid, mu=mpa_s / 1e3, Method="Stokes")
        full = fluids.v_terminal(D=size_um * 1e-6, rhop=particle, rho=fluid, mu=mpa_s / 1e3)
        figure = settle(size_um, particle, fluid, mpa_s)

        assert figure.also["speed_mm_h"] / 3.6e6 == pytest.approx(speed, rel=1e-6)
        assert figure.also["speed_mm_h"] / 3.6e6 == pytest.approx(full, rel=0.02)
