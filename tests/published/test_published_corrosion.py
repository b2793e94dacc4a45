"""Corrosion against ISO 9223:2012 and ISO 9224:2012."""

import pytest

from revive.figures import FigureError, reckon
from revive.figures.corrosion import EXPONENTS, class_of, linear_factor, power_factor

# ISO 9223:2012, equations for carbon steel and zinc, worked by hand: T, RH, SO2, Cl, steel um, zinc um, classes.
FIRST_YEAR = [
    (10, 75, 5, 5, 23.222, "C2", 1.0117, "C3"),
    (10, 80, 10, 3, 33.244, "C3", 1.5539, "C3"),
    (5, 80, 2, 3, 9.388, "C2", 0.6687, "C2"),
    (10, 80, 80, 60, 112.592, "C5", 4.3179, "C5"),
    (20, 75, 5, 5, 17.991, "C2", 0.8424, "C3"),
]


@pytest.mark.parametrize(("air", "rh", "so2", "cl", "steel", "steel_class", "zinc", "zinc_class"), FIRST_YEAR)
def test_first_year_loss_and_class(air, rh, so2, cl, steel, steel_class, zinc, zinc_class):
    inputs = {"air_c": air, "rh_pct": rh, "so2_mg_m2_d": so2, "cl_mg_m2_d": cl}
    of_steel, of_zinc = (reckon("corrosion", {**inputs, "metal": metal}) for metal in ("steel", "zinc"))

    assert of_steel.value == pytest.approx(steel, rel=5e-5)
    assert of_zinc.value == pytest.approx(zinc, rel=1e-4)
    assert (of_steel.also["class"], of_zinc.also["class"]) == (steel_class, zinc_class)


# ISO 9223:2012, table 2, upper limits in um of the first year.
@pytest.mark.parametrize(
    ("metal", "limits"),
    [("steel", (1.3, 25, 50, 80, 200, 700)), ("zinc", (0.1, 0.7, 2.1, 4.2, 8.4, 25))],
)
def test_class_limits(metal, limits):
    for name, limit, following in zip(
        ("C1", "C2", "C3", "C4", "C5", "CX"), limits, ("C2", "C3", "C4", "C5", "CX", "over CX"), strict=True
    ):
        assert class_of(limit, metal) == name
        assert class_of(limit * 1.001, metal) == following


# ISO 9224:2012, table 3: t^b. Exponents of table 2; copper and aluminium check the law, no figure is given for them.
B = {"steel B1": 0.523, "steel B2": 0.575, "Zn B1": 0.813, "Zn B2": 0.873}
B |= {"Cu B1": 0.667, "Cu B2": 0.726, "Al B1": 0.728, "Al B2": 0.807}
TABLE_3 = {
    2: (1.437, 1.490, 1.757, 1.831, 1.588, 1.654, 1.656, 1.750),
    5: (2.320, 2.523, 3.701, 4.076, 2.926, 3.217, 3.227, 3.665),
    10: (3.334, 3.758, 6.501, 7.464, 4.645, 5.321, 5.346, 6.412),
    15: (4.122, 4.745, 9.040, 10.635, 6.088, 7.142, 7.181, 8.894),
    20: (4.791, 5.599, 11.422, 13.671, 7.375, 8.801, 8.854, 11.218),
    30: (5.923, 7.069, 15.882, 19.477, 9.666, 11.814, None, 15.561),
    50: (7.737, 9.482, 24.058, 30.423, 13.590, 17.118, 17.252, 23.500),
    100: (11.117, 14.125, 42.267, 55.719, 21.577, 28.314, 28.576, 41.115),
}


@pytest.mark.parametrize("years", TABLE_3)
def test_power_law_gives_the_printed_table(years):
    for (name, exponent), printed in zip(B.items(), TABLE_3[years], strict=True):
        if printed is not None:
            assert power_factor(years, exponent) == pytest.approx(printed, abs=0.0006), name


def test_exponents_of_steel_and_zinc():
    assert EXPONENTS == {"steel": (0.523, 0.575), "zinc": (0.813, 0.873)}


def test_trap_slip_in_a_copy_of_the_table():
    # A copy of ISO 9224:2012, table 3, has 11.814 for aluminium B1 at 30 years; that is copper's B2. t^b is 11.894.
    assert power_factor(30, 0.728) == pytest.approx(11.894, abs=0.001)


def test_trap_after_20_years_two_rules_are_given_and_said():
    # ISO 9224:2012, D(t > 20): steel 6.044 and 7.208, zinc 16.065 and 19.638 at 30 years.
    assert [linear_factor(30, b) for b in EXPONENTS["steel"]] == pytest.approx([6.044, 7.208], abs=0.001)
    assert [linear_factor(30, b) for b in EXPONENTS["zinc"]] == pytest.approx([16.065, 19.638], abs=0.001)
    inputs = {"air_c": 10, "rh_pct": 75, "so2_mg_m2_d": 5, "cl_mg_m2_d": 5, "metal": "steel"}
    late = reckon("corrosion", {**inputs, "years": 30})

    assert late.also["average_um"] == pytest.approx(late.value * 5.923, rel=2e-4)
    assert late.also["average_linear_um"] == pytest.approx(late.value * 6.044, rel=2e-4)
    assert "20-year slope" in late.also["rule"]
    assert "average_linear_um" not in reckon("corrosion", {**inputs, "years": 20}).also


def test_trap_the_loss_is_a_loss_and_not_a_rate():
    # A public model labels the rate b r t^(b-1) as loss: after one year it would give 0.523 of the first-year loss.
    inputs = {"air_c": 10, "rh_pct": 75, "so2_mg_m2_d": 5, "cl_mg_m2_d": 5, "metal": "steel"}
    figure = reckon("corrosion", {**inputs, "years": 1})

    assert figure.also["average_um"] == pytest.approx(figure.value)
    assert reckon("corrosion", {**inputs, "years": 10}).also["average_um"] > figure.value


# ISO 9223:2012, table 3: the calibrated range.
@pytest.mark.parametrize(
    ("name", "low", "high"),
    [("air_c", -17.1, 28.7), ("rh_pct", 34, 93), ("so2_mg_m2_d", 0.7, 150.4), ("cl_mg_m2_d", 0.4, 760.5)],
)
def test_outside_the_calibrated_range_no_figure_is_given(name, low, high):
    inputs = {"air_c": 10, "rh_pct": 75, "so2_mg_m2_d": 5, "cl_mg_m2_d": 5, "metal": "steel"}

    assert reckon("corrosion", {**inputs, name: low}).value < reckon("corrosion", {**inputs, name: high}).value
    for outside in (low - 0.1, high + 0.1):
        with pytest.raises(FigureError, match=name):
            reckon("corrosion", {**inputs, name: outside})


def test_a_shed_is_said_not_to_be_outdoors():
    inputs = {"air_c": 10, "rh_pct": 75, "so2_mg_m2_d": 5, "cl_mg_m2_d": 5, "metal": "steel"}

    assert "a shed is not outdoors" in reckon("corrosion", inputs).note
