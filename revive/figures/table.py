"""Names, inputs and results of all figures. Data only: no figure's module is imported by reading this."""

from revive.figures.core import Input, Spec

_YES_NO = {"yes": "yes", "no": "no"}
_BATTERY_KINDS = {"flooded": "filler caps and loose acid", "sealed": "sealed, acid held in fibre mat or gel"}
_VOLTS = {"v6": "6 volts", "v12": "12 volts"}
_VOLT_WORDS = {"6": "v6", "6v": "v6", "12": "v12", "12v": "v12"}
_METALS = {"steel": "plain carbon steel", "zinc": "zinc and zinc plate"}
_DOT = {"DOT3": "glycol", "DOT4": "glycol", "DOT5": "silicone", "DOT5.1": "glycol"}
_DOT_WORDS = {word.replace("DOT", spell): word for word in _DOT for spell in ("dot", "dot_", "")}

_SPECS = (
    Spec(
        "oil_viscosity",
        "mm2/s",
        "how thick an oil is at a temperature, from its data sheet",
        "viscosity",
        (
            Input("kv40_mm2_s", "mm2/s", "viscosity at 40 C on the oil's data sheet", low=2, high=5000),
            Input("kv100_mm2_s", "mm2/s", "viscosity at 100 C on the oil's data sheet", low=2, high=500),
            Input("at_c", "C", "temperature of the oil", low=-40, high=150),
        ),
        ("a", "b", "viscosity_mpa_s"),
    ),
    Spec(
        "oil_mix",
        "mm2/s",
        "what a fill of two plain oils comes to at 100 C, and its grade",
        "mixture",
        (
            Input("kv100_mm2_s", "mm2/s", "viscosity at 100 C of the oil that was meant", low=2, high=500),
            Input("other_kv100_mm2_s", "mm2/s", "viscosity at 100 C of the other oil", low=2, high=500),
            Input("other_pct", "%", "share of the other oil in the fill", low=0, high=100),
        ),
        ("grades", "thinner_pct"),
        ("grades",),
    ),
    Spec(
        "oil_grade",
        "",
        "cold limits of an engine-oil grade, and whether the starter may be used at a temperature",
        "oil_grade",
        (
            Input("grade", "", "the grade on the can, as 20W-50", "text"),
            Input("at_c", "C", "temperature of engine and oil", low=-50, high=60),
        ),
        (
            "crank_at_c",
            "crank_max_mpa_s",
            "pump_at_c",
            "pump_max_mpa_s",
            "margin_c",
            "kv100_min",
            "kv100_below",
            "hths_min_mpa_s",
            "obsolete_categories",
            "wet_clutch",
        ),
    ),
    Spec(
        "settling",
        "h",
        "how long dirt takes to settle in still oil",
        "settling",
        (
            Input("particle_um", "um", "size of the particle", low=1, high=1000),
            Input(
                "particle_kg_m3", "kg/m3", "density of the particle: road grit 2600, steel 7850", low=100, high=20000
            ),
            Input("oil_kg_m3", "kg/m3", "density of the oil", low=600, high=1500),
            Input("viscosity_mpa_s", "mPa s", "viscosity of the oil at its temperature", low=0.1, high=1e6),
            Input("depth_mm", "mm", "depth of the oil", low=1, high=2000),
        ),
        ("low", "high", "speed_mm_h", "reynolds"),
    ),
    Spec(
        "prime_time",
        "s",
        "seconds of cranking until oil has filled what is dry",
        "priming",
        (
            Input("pump_ml_per_crank_rev", "ml", "oil moved for each turn of the crank", low=0.001, high=100),
            Input("crank_rpm", "rpm", "cranking speed, plugs out", low=10, high=3000),
            Input("volume_ml", "ml", "what is still dry: pump, pick-up, oilways, filter", low=0, high=5000),
            Input("efficiency", "", "share of its size that the cold pump really moves", "fraction", 0.05, 1, 0.5),
        ),
        ("low", "high", "bursts", "elapsed_s"),
    ),
    Spec(
        "prime_charge",
        "%",
        "share of the battery's charge that the cranking takes",
        "priming",
        (
            Input("starter_a", "A", "current of the starter, plugs out", low=5, high=500),
            Input("cranking_s", "s", "cranking in all, rests not counted", low=0, high=600),
            Input("battery_ah", "Ah", "capacity on the battery's label", low=1, high=150),
            Input("state_of_charge_pct", "%", "state of charge", low=0, high=100),
        ),
        ("low", "high", "can_finish", "left_pct"),
    ),
    Spec(
        "battery_charge",
        "%",
        "state of charge of a lead battery from its volts at rest",
        "battery",
        (
            Input("volts_rest", "V", "volts at the posts, rested off charge", low=0, high=18),
            Input("kind", "", "kind of lead battery", "choice", choices=_BATTERY_KINDS),
            Input("system_voltage", "", "battery voltage", "choice", choices=_VOLTS, other_words=_VOLT_WORDS),
        ),
        ("low", "high", "specific_gravity", "rest_h_least", "rest_h_better", "recharge"),
    ),
    Spec(
        "battery_freezing",
        "C",
        "temperature at which the acid of a flooded battery freezes",
        "battery",
        (
            Input("specific_gravity", "", "from the hydrometer, corrected to 26.7 C", low=1, high=1.28, default=None),
            Input("state_of_charge_pct", "%", "state of charge, instead", low=0, high=100, default=None),
        ),
        ("low", "high", "specific_gravity"),
    ),
    Spec(
        "charging_ventilation",
        "m3/h",
        "fresh air that a charging lead battery needs",
        "battery",
        (
            Input("cells", "cells", "cells in all: 3 for 6 V, 6 for 12 V", low=1, high=200),
            Input("capacity_ah", "Ah", "capacity on the battery's label", low=1, high=1000),
            Input("kind", "", "kind of lead battery", "choice", choices=_BATTERY_KINDS),
            Input("unlimited", "", "yes for a charger without a voltage limit", "yes_no", choices=_YES_NO),
        ),
        ("inlet_cm2", "gas_a_per_100ah"),
    ),
    Spec(
        "fuel_water",
        "vol %",
        "water that alcohol petrol holds before a watery layer drops out",
        "fuel",
        (
            Input("ethanol_pct", "%", "alcohol in the petrol: 10 for E10", low=0, high=15),
            Input("at_c", "C", "temperature of the petrol", low=-12.3, high=40),
        ),
        ("low", "high", "ml_per_l"),
    ),
    Spec(
        "premix",
        "ml",
        "two-stroke oil for an amount of petrol",
        "fuel",
        (
            Input("ratio", "", "petrol to oil: 25 or 25:1", "ratio", 10, 100),
            Input("petrol_l", "l", "petrol", low=0.01, high=100),
        ),
        ("ml_per_l", "oil_pct"),
    ),
    Spec(
        "brake_fluid",
        "C",
        "least boiling points of a brake fluid and the water that years bring in",
        "brake_fluid",
        (
            Input("grade", "", "grade on the cap or bottle", "choice", choices=_DOT, other_words=_DOT_WORDS),
            Input("years", "years", "since the fluid was last changed", low=0, high=130),
        ),
        ("least_dry_c", "least_wet_c", "water_low_pct", "water_high_pct", "where", "boils_from_c", "boils_to_c"),
    ),
    Spec(
        "tyre_age",
        "years",
        "age of a tyre from its date code",
        "tyres",
        (
            Input("code", "", "last group of the code on the wall: 4819, or three digits", "text"),
            Input("on", "", "the day that counts, as 2026-11-25", "date"),
        ),
        ("week", "year", "low", "high", "readings"),
        ("readings",),
    ),
    Spec(
        "tyre_tread",
        "mm",
        "tread left over the legal least",
        "tyres",
        (
            Input("depth_mm", "mm", "least depth over the middle three quarters", low=0, high=20),
            Input("country", "", "where it is ridden: great_britain, germany, austria, maryland, virginia", "text"),
            Input("cc", "cc", "engine size", low=0, high=3000),
        ),
        ("legal", "least_mm", "country"),
    ),
    Spec(
        "chain_wear",
        "%",
        "how much longer than new a drive chain is",
        "chain",
        (
            Input("pitches", "", "pin-to-pin steps measured over, 20 is usual", low=5, high=200),
            Input("pitch_mm", "mm", "pitch when new: 12.7, 15.875 or 19.05", low=6, high=40, default=None),
            Input("measured_mm", "mm", "length over those pitches, pulled tight", low=30, high=8000),
            Input("size", "", "number stamped on the chain, instead of the pitch: 525", "text", default=None),
        ),
        ("limit_pct", "limit_mm", "verdict", "general_limit_pct", "pitch_mm", "inner_width_mm"),
    ),
    Spec(
        "compression_expected",
        "bar",
        "compression reading to expect from ratio and altitude",
        "compression",
        (
            Input("ratio", "", "compression ratio: 9 or 9:1", "ratio", 2, 16),
            Input("altitude_m", "m", "altitude of the place", low=-400, high=5000),
            Input("exponent", "", "polytropic exponent of the cranking stroke", low=1, high=1.4, default=1.3),
        ),
        ("low", "high", "air_bar", "psi", "of_sea_level"),
    ),
    Spec(
        "compression_spread",
        "%",
        "lowest compression reading as a share of the highest",
        "compression",
        (Input("readings_bar", "bar", "one reading a cylinder, as 8.6,9.1", "numbers", 0.1, 30),),
        ("lowest_bar", "highest_bar", "passes_70", "passes_75", "passes_floor"),
    ),
    Spec(
        "leakdown",
        "%",
        "leak-down loss of one cylinder",
        "compression",
        (
            Input("feed_bar", "bar", "pressure fed in", low=0.5, high=10),
            Input("held_bar", "bar", "pressure that the cylinder holds", low=0, high=10),
        ),
        ("band", "aircraft_limit_pct", "passes_aircraft", "as_80_psi"),
    ),
    Spec(
        "dew_point",
        "C",
        "dew point, and whether water forms on cold metal",
        "dew_point",
        (
            Input("air_c", "C", "temperature of the air", low=-40, high=60),
            Input("rh_pct", "%", "relative humidity, as a hygrometer shows it", low=1, high=100),
            Input("metal_c", "C", "temperature of the metal", low=-60, high=200, default=None),
        ),
        ("frost_point_c", "forms", "margin_c", "vapour_g_m3"),
    ),
    Spec(
        "corrosion",
        "um",
        "rust in the first year out of doors, and over the years",
        "corrosion",
        (
            Input("air_c", "C", "mean temperature of the year", low=-17.1, high=28.7),
            Input("rh_pct", "%", "mean relative humidity of the year", low=34, high=93),
            Input("so2_mg_m2_d", "mg/m2 d", "sulphur dioxide: country 2, town 10, works 80", low=0.7, high=150.4),
            Input("cl_mg_m2_d", "mg/m2 d", "salt: inland 3, near the sea 60, on it 300", low=0.4, high=760.5),
            Input("metal", "", "steel or zinc", "choice", choices=_METALS),
            Input("years", "years", "time in the open", low=1, high=100, default=1.0),
        ),
        ("class", "average_um", "upper_um", "average_linear_um", "upper_linear_um", "rule"),
    ),
    Spec(
        "rubber_ageing",
        "years",
        "years at another temperature that age rubber as much",
        "rubber",
        (
            Input("years", "years", "time in store", low=0, high=130),
            Input("stored_c", "C", "mean temperature of the store", low=-20, high=60),
            Input("reference_c", "C", "temperature to compare with", low=-20, high=120, default=25.0),
            Input("activation_kj_mol", "kJ/mol", "activation energy of the ageing", low=20, high=200, default=80.0),
        ),
        ("low", "high", "rate"),
    ),
    Spec(
        "residue",
        "%",
        "old oil left after drains and fills",
        "residue",
        (
            Input("fraction_left", "", "share that one drain leaves: 0.15 or 15 %", "fraction", 0.001, 0.9),
            Input("drains", "", "drains, each with a fresh fill and a run", low=0, high=50),
        ),
        ("drains_under_1_pct",),
    ),
    Spec(
        "soak_volumes",
        "ml",
        "oil for each bore before turning, and to soak a stuck one",
        "soak",
        (
            Input("displacement_cc", "cc", "size of the whole engine", low=20, high=3000),
            Input("cylinders", "cylinders", "number of cylinders", low=1, high=8),
        ),
        ("bore_oil_ml", "soak_ml", "crankcase_oil_ml", "cylinder_cc"),
    ),
)

FIGURES: dict[str, Spec] = {spec.id: spec for spec in _SPECS}
