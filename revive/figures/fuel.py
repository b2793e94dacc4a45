"""Petrol: the water that alcohol petrol can hold, and the oil of a two-stroke mixture.

Method: water held by E10, straight line between published points of temperature; other shares of alcohol in the ratio
of one laboratory test. Mixture: petrol / ratio.
Source: E10 holds 0.5 vol % at 60 F and 0.3 % at 10 F (trade guides that restate the US EPA memorandum "Water Phase
Separation in Oxygenated Gasoline", 1995); laboratory values for E0, E10, E15 of 0, 0.398, 0.842 vol %: University of
Nebraska-Lincoln, CropWatch. Mixture: definition.
Units: vol %, C, ml, l.
Valid: 0 to 15 % ethanol; -12.2 to 15.6 C. Above that the value of 15.6 C is kept, which is on the safe side. It gives
no number of days until petrol draws that much from the air: published times conflict.
Errors: ranges only.
"""

from revive.figures.core import Figure, interpolate

WATER_E10 = ((-12.2, 0.3), (15.6, 0.5))
LAB_E10 = 0.398
LAB = ((0.0, 0.0), (10.0, 0.398), (15.0, 0.842))


def fuel_water(ethanol_pct: float, at_c: float) -> Figure:
    """Water (vol %) that stays dissolved; low is the laboratory's, high the trade figure, the value lies midway."""
    share = interpolate(LAB, ethanol_pct) / LAB_E10
    high = interpolate(WATER_E10, at_c) * share
    low = high * LAB_E10 / WATER_E10[-1][1]
    value = (low + high) / 2
    return Figure(
        "fuel_water",
        value,
        "vol %",
        "line between 0.3 % at -12.2 C and 0.5 % at 15.6 C for E10; laboratory ratio for other shares of alcohol",
        "US EPA memorandum 1995, restated by trade guides; University of Nebraska-Lincoln, CropWatch, laboratory test",
        "Beyond it a layer of alcohol and water drops to the bottom, sooner when it gets cold. No additive undoes it: "
        "drain the petrol. Straight petrol holds next to none. How long that takes in air is not settled.",
        {"low": low, "high": high, "ml_per_l": 10 * value},
    )


def premix(ratio: float, petrol_l: float) -> Figure:
    """Oil (ml) to add to the petrol; the ratio counts parts of petrol to one of oil."""
    oil_ml = 1000 * petrol_l / ratio
    return Figure(
        "premix",
        oil_ml,
        "ml",
        "petrol / ratio",
        "definition: parts of petrol to one part of oil",
        "The maker's ratio governs, for the kind of oil that he names. Mix in a can outdoors, shake, no flame near.",
        {"ml_per_l": 1000 / ratio, "oil_pct": 100 / (ratio + 1)},
    )
