"""Dew and frost points against reference libraries of moist air."""

import pytest

from revive.figures import reckon
from revive.figures.dew_point import ICE, saturation_pa

# Dew points by the WMO form of the Magnus formula (WMO-No. 8) and by psychrolib, C.
ROWS = [(20, 50, 9.255, 9.272), (25, 60, 16.693, 16.701), (10, 80, 6.706, 6.713), (15, 70, 9.569, 9.579)]


@pytest.mark.parametrize(("air_c", "rh_pct", "magnus", "library"), ROWS)
def test_dew_point_above_freezing(air_c, rh_pct, magnus, library):
    dew = reckon("dew_point", {"air_c": air_c, "rh_pct": rh_pct}).value

    assert dew == pytest.approx(magnus, abs=0.001)
    assert dew == pytest.approx(library, abs=0.03)


def test_frost_point_and_dew_point_are_kept_apart():
    # 0 C and 90 %: -1.445 over water (WMO-No. 8), -1.274 frost (psychrolib; CoolProp -1.273).
    figure = reckon("dew_point", {"air_c": 0, "rh_pct": 90})

    assert figure.value == pytest.approx(-1.445, abs=0.002)
    assert figure.also["frost_point_c"] == pytest.approx(-1.274, abs=0.03)


# Saturation over water, Pa: WMO form as printed, psychrolib.
PRESSURES = [(0, 611.20, 611.15), (5, 871.74, 872.49), (10, 1226.03, 1228.00), (20, 2332.60, 2338.80)]
PRESSURES += [(25, 3160.06, 3169.22), (30, 4233.72, 4246.03)]


@pytest.mark.parametrize(("air_c", "magnus_pa", "library_pa"), PRESSURES)
def test_saturation_pressure(air_c, magnus_pa, library_pa):
    assert saturation_pa(air_c) == pytest.approx(magnus_pa, abs=0.01)
    assert saturation_pa(air_c) == pytest.approx(library_pa, rel=0.004)


@pytest.mark.parametrize(("air_c", "rh_pct", "g_m3"), [(20, 50, 8.644), (25, 60, 13.820), (10, 80, 7.518)])
def test_vapour_in_the_air(air_c, rh_pct, g_m3):
    # e / (461.5 T) on psychrolib's pressure.
    assert reckon("dew_point", {"air_c": air_c, "rh_pct": rh_pct}).also["vapour_g_m3"] == pytest.approx(g_m3, rel=0.004)


@pytest.mark.parametrize("air_c", [0, 5, 10, 20, 30, 40, 50])
@pytest.mark.parametrize("rh_pct", [20, 40, 60, 80, 95])
def test_grid_agrees_with_psychrolib_and_coolprop(air_c, rh_pct):
    psychrolib = pytest.importorskip("psychrolib", reason="reference library of moist air")
    coolprop = pytest.importorskip("CoolProp.CoolProp", reason="reference library of moist air")
    psychrolib.SetUnitSystem(psychrolib.SI)
    figure = reckon("dew_point", {"air_c": air_c, "rh_pct": rh_pct})
    ours = figure.also.get("frost_point_c", figure.value)
    state = ("T", air_c + 273.15, "P", 101325, "R", rh_pct / 100)

    assert ours == pytest.approx(psychrolib.GetTDewPointFromRelHum(air_c, rh_pct / 100), abs=0.05)
    assert ours == pytest.approx(coolprop.HAPropsSI("D", *state) - 273.15, abs=0.06)


@pytest.mark.parametrize("metal_c", [-30, -20, -10, -5])
def test_ice_constants_agree_with_psychrolib(metal_c):
    psychrolib = pytest.importorskip("psychrolib", reason="reference library of moist air")
    psychrolib.SetUnitSystem(psychrolib.SI)

    assert saturation_pa(metal_c, ICE) == pytest.approx(psychrolib.GetSatVapPres(metal_c), rel=0.005)


def test_ice_and_water_are_not_confused_at_minus_ten():
    # -10 C: 259.90 Pa over ice (psychrolib), 286.8 over water (Magnus).
    assert saturation_pa(-10, ICE) == pytest.approx(259.90, rel=0.002)
    assert saturation_pa(-10) == pytest.approx(286.8, rel=0.002)
