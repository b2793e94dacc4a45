"""Compression readings: what to expect, how far cylinders may differ, and leak-down.

Method: expected gauge = p (r^n - 1), p the pressure of the standard atmosphere; spread = lowest / highest;
loss = (feed - held) / feed.
Source: ISO 2533 (ICAO Doc 7488) for pressure by geopotential altitude; polytropic stroke with n 1.2 to 1.3, 1.4 without
heat loss, by published worked examples (1.3 as the middle is from memory). Spread: General Motors service manual 2006
(lowest at least 70 % of highest and 690 kPa) and car manuals of 1992 and 1997 (75 %). Leak-down: FAA AC 43.13-1B,
chapter 8, paragraph 8-14 (80 psi, under 60/80 hot is looked into); bands of a four-stroke watercraft engine manual
2005, p. 13.
Units: bar gauge, m, %.
Valid: warm engine, throttle wide open, all plugs out; -400 to 5000 m. A decompressor, a large-overlap cam or a closed
throttle reads low on a sound engine. Car and aircraft rules are given for comparison.
Errors: refused for a single reading, a spread over one machine of no pressure, and held over feed.
"""

from collections.abc import Sequence

from revive.figures.core import Figure, FigureError, yes_no

SEA_LEVEL_PA = 101325.0
PSI_BAR = 0.0689475729
FLOOR_BAR = 6.9
AIRCRAFT_LIMIT_PCT = 25.0
LEAK_BANDS = ((15.0, "excellent"), (25.0, "good"), (40.0, "fair"))


def compression_expected(ratio: float, altitude_m: float, exponent: float = 1.3) -> Figure:
    """Gauge reading (bar) to expect, with the range of exponents 1.2 to 1.4 and the share of a sea-level reading."""
    air_bar = pressure_pa(altitude_m) / 1e5
    value, low, high = (air_bar * (ratio**n - 1) for n in (exponent, min(1.2, exponent), max(1.4, exponent)))
    return Figure(
        "compression_expected",
        value,
        "bar",
        "gauge = p (r^n - 1), p of the standard atmosphere at that altitude",
        "ISO 2533 (ICAO Doc 7488); polytropic stroke, n 1.2 to 1.3 in published examples",
        "An estimate: late inlet closing, leak and a slow crank lower it, oil in the bore raises it. Cylinders are "
        "compared with each other and with the maker's figure first. A figure for sea level, times the share that is "
        "left of sea level, is what to expect up here.",
        {
            "low": low,
            "high": high,
            "air_bar": air_bar,
            "psi": value / PSI_BAR,
            "of_sea_level": air_bar * 1e5 / SEA_LEVEL_PA,
        },
    )


def compression_spread(readings_bar: Sequence[float]) -> Figure:
    """Lowest reading as % of the highest, and whether it passes the published rules of thumb."""
    if len(readings_bar) < 2:
        raise FigureError("compression_spread needs two readings or more\n    Write: readings_bar=8.6,9.1")
    lowest, highest = min(readings_bar), max(readings_bar)
    share = round(100 * lowest / highest, 9)
    return Figure(
        "compression_spread",
        share,
        "%",
        "lowest / highest",
        "General Motors service manual 2006 (70 %, and 690 kPa at least); car manuals 1992 and 1997 (75 %)",
        "Rules for car engines, for comparison; the maker's manual governs. All plugs out, throttle open, warm, the "
        "same number of strokes for each. About 15 ml of oil in a low cylinder: a rise points to rings, none to "
        "valves; two low side by side point to the gasket.",
        {
            "lowest_bar": lowest,
            "highest_bar": highest,
            "passes_70": yes_no(share >= 70),
            "passes_75": yes_no(share >= 75),
            "passes_floor": yes_no(lowest >= FLOOR_BAR),
        },
    )


def leakdown(feed_bar: float, held_bar: float) -> Figure:
    """Loss (%), one maker's band for it, and the aircraft practice for comparison."""
    if held_bar > feed_bar:
        raise FigureError(f"held_bar is {held_bar:g}, over the {feed_bar:g} bar fed in\n    Are the two exchanged?")
    loss = round(100 * (feed_bar - held_bar) / feed_bar, 9)
    return Figure(
        "leakdown",
        loss,
        "%",
        "(feed - held) / feed",
        "FAA AC 43.13-1B, chapter 8, paragraph 8-14; bands: four-stroke watercraft engine manual 2005, p. 13",
        "Testers with another orifice read otherwise: compare cylinders on one tester. Air throws the crank round: "
        "piston at top dead centre, crank held, hands and spanner clear. Listen at intake, exhaust, filler, radiator.",
        {
            "band": next((band for limit, band in LEAK_BANDS if loss <= limit), "poor"),
            "aircraft_limit_pct": AIRCRAFT_LIMIT_PCT,
            "passes_aircraft": yes_no(loss <= AIRCRAFT_LIMIT_PCT),
            "as_80_psi": 80 * held_bar / feed_bar,
        },
    )


def pressure_pa(altitude_m: float) -> float:
    """Pressure of the standard atmosphere (Pa) at a geopotential altitude up to 11 km. ISO 2533."""
    return float(SEA_LEVEL_PA * (1 - 0.0065 * altitude_m / 288.15) ** 5.25588)
