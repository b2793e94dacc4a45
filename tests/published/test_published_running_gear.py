"""Tyre codes, tread law and chains against published values."""

import pytest

from revive.figures import reckon
from revive.figures.chain import general_limit_pct, size_of
from revive.figures.tyres import readings

# Published readings of codes: Motor Cycle News (1004), a trade page on tyres (1413), a maker's example (4819).
CODES = [("1004", 10, 2004), ("4819", 48, 2019), ("1413", 14, 2013)]


@pytest.mark.parametrize(("code", "week", "year"), CODES)
def test_four_digit_codes(code, week, year):
    # 49 CFR 574.5(b)(3).
    also = reckon("tyre_age", {"code": code, "on": "2026-11-25"}).also

    assert (also["week"], also["year"]) == (week, year)
    assert also["low"] == also["high"]


def test_week_01_is_the_first_full_week_from_sunday():
    # 49 CFR 574.5(b)(3). 2023 began on a Sunday; 2024 on a Monday, so its first full week begins on 7 January.
    assert reckon("tyre_age", {"code": "0123", "on": "2023-01-01"}).value == 0
    assert reckon("tyre_age", {"code": "0124", "on": "2024-01-07"}).value == 0
    assert reckon("tyre_age", {"code": "0124", "on": "2024-01-14"}).value == pytest.approx(7 / 365.25)


def test_three_digits_are_every_decade_and_the_oldest_counts():
    # Dealer's page on codes: 274 is week 27 of 1994; the decade is open, so 1984 and 1974 fit too.
    figure = reckon("tyre_age", {"code": "274", "on": "2026-11-25"})

    assert (1994, 27) in readings("274") and (1984, 27) in readings("274")
    assert figure.value == figure.also["high"] > 50
    assert figure.also["low"] == pytest.approx(32.4, abs=0.1)
    assert "decade" in figure.note


# Least tread: source, country, cc, depth, legal.
TREAD = [
    # Road Vehicles (Construction and Use) Regulations 1986, regulation 27: 1.0 mm over 50 cc; pattern visible up to 50.
    ("great_britain", 500, 1.0, "yes"),
    ("great_britain", 500, 0.9, "no"),
    ("great_britain", 50, 0.5, "yes"),
    ("great_britain", 50, 0.0, "no"),
    # StVZO s. 36(2): 1.6 mm, mopeds 1.0 mm.
    ("germany", 500, 1.6, "yes"),
    ("germany", 500, 1.5, "no"),
    ("germany", 50, 1.0, "yes"),
    # KDV s. 4(4): 1.6 mm, mopeds 1.0 mm.
    ("austria", 500, 1.59, "no"),
    ("austria", 49, 1.0, "yes"),
    # COMAR 11.14.03.05: 1/32 in, 0.79 mm.
    ("maryland", 500, 0.8, "yes"),
    ("maryland", 500, 0.78, "no"),
    # 19VAC30-70-400 item 5: 2/32 in, 1.59 mm.
    ("virginia", 500, 1.59, "yes"),
    ("virginia", 500, 1.58, "no"),
    # Anywhere else: the strictest of those.
    ("atlantis", 500, 1.59, "no"),
    ("atlantis", 500, 1.6, "yes"),
]


@pytest.mark.parametrize(("country", "cc", "depth", "legal"), TREAD)
def test_tread_against_the_law(country, cc, depth, legal):
    figure = reckon("tyre_tread", {"depth_mm": depth, "country": country, "cc": cc})

    assert figure.also["legal"] == legal
    assert figure.value == pytest.approx(depth - figure.also["least_mm"])


def test_unknown_country_is_said():
    figure = reckon("tyre_tread", {"depth_mm": 3, "country": "germny", "cc": 500})

    assert figure.also["country"] == "unknown"
    assert "strictest known" in figure.note


def test_chain_of_24_pitches():
    # Published worked example: 24 pitches of 19.05 mm, 457.2 new, 462.3 measured: 1.12 %.
    figure = reckon("chain_wear", {"pitches": 24, "pitch_mm": 19.05, "measured_mm": 462.3})

    assert figure.value == pytest.approx(1.1155, abs=1e-4)


def test_chain_of_20_pitches_at_two_percent():
    # 317.5 new, 323.85 at 2 %, worked by hand. The 2 % itself is from memory and is said to be.
    figure = reckon("chain_wear", {"pitches": 20, "pitch_mm": 15.875, "measured_mm": 323.85})

    assert figure.value == pytest.approx(2.0)
    assert figure.also["verdict"] == "serviceable", "the limit itself is not over it"
    assert figure.also["limit_mm"] == pytest.approx(323.85)
    assert "from memory" in figure.source


@pytest.mark.parametrize(("teeth", "percent"), [(40, 3.0), (67, 3.0), (68, 200 / 68), (100, 2.0)])
def test_general_limit_of_the_chain_maker(teeth, percent):
    # Diamond Chain, maintenance FAQ: 3 %, over 67 teeth 200/N.
    assert general_limit_pct(teeth) == pytest.approx(percent)
    assert reckon("chain_wear", {"pitches": 20, "size": "525", "measured_mm": 318}).also["general_limit_pct"] == 3


# Trade tables of sizes: pitch and inner width, mm (widths as listed, rounded there).
SIZES = [
    ("420", 12.70, 6.35),
    ("520", 15.875, 6.35),
    ("525", 15.875, 7.95),
    ("530", 15.875, 9.53),
    ("630", 19.05, 9.53),
]


@pytest.mark.parametrize(("size", "pitch", "width"), SIZES)
def test_stamped_sizes(size, pitch, width):
    assert size_of(size) == (pytest.approx(pitch, abs=1e-3), pytest.approx(width, abs=0.02))


def test_irregular_sizes_do_not_follow_the_rule():
    # Same tables: 428 is 7.75 to 7.94 mm wide and not 28/80 in (8.89 mm); 532 is irregular.
    assert 7.75 <= size_of("428")[1] <= 7.94
    assert size_of("532") == (15.875, None)
