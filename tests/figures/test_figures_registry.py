"""The registry: names and inputs as promised, lazy imports, purity, refusals, results for derived facts."""

import ast
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import revive.figures
from revive.figures import FIGURES, FigureError, figure_value, reckon

PROMISED = {
    "oil_viscosity": "kv40_mm2_s kv100_mm2_s at_c",
    "oil_mix": "kv100_mm2_s other_kv100_mm2_s other_pct",
    "oil_grade": "grade at_c",
    "settling": "particle_um particle_kg_m3 oil_kg_m3 viscosity_mpa_s depth_mm",
    "prime_time": "pump_ml_per_crank_rev crank_rpm volume_ml efficiency",
    "prime_charge": "starter_a cranking_s battery_ah state_of_charge_pct",
    "battery_charge": "volts_rest kind system_voltage",
    "battery_freezing": "specific_gravity state_of_charge_pct",
    "charging_ventilation": "cells capacity_ah kind unlimited",
    "fuel_water": "ethanol_pct at_c",
    "premix": "ratio petrol_l",
    "brake_fluid": "grade years",
    "tyre_age": "code on",
    "tyre_tread": "depth_mm country cc",
    "chain_wear": "pitches pitch_mm measured_mm",
    "compression_expected": "ratio altitude_m exponent",
    "compression_spread": "readings_bar",
    "leakdown": "feed_bar held_bar",
    "dew_point": "air_c rh_pct metal_c",
    "corrosion": "air_c rh_pct so2_mg_m2_d cl_mg_m2_d metal years",
    "rubber_ageing": "years stored_c reference_c activation_kj_mol",
    "residue": "fraction_left drains",
    "soak_volumes": "displacement_cc cylinders",
}
CASES = {
    "oil_viscosity": {"kv40_mm2_s": 160, "kv100_mm2_s": 18, "at_c": -5},
    "oil_mix": {"kv100_mm2_s": 19, "other_kv100_mm2_s": 6, "other_pct": 15},
    "oil_grade": {"grade": "20W-50", "at_c": 5},
    "settling": {"particle_um": 20, "particle_kg_m3": 2600, "oil_kg_m3": 870, "viscosity_mpa_s": 300, "depth_mm": 80},
    "prime_time": {"pump_ml_per_crank_rev": 1, "crank_rpm": 300, "volume_ml": 80},
    "prime_charge": {"starter_a": 100, "cranking_s": 60, "battery_ah": 14, "state_of_charge_pct": 100},
    "battery_charge": {"volts_rest": 12.5, "kind": "flooded", "system_voltage": "v12"},
    "battery_freezing": {"specific_gravity": 1.2},
    "charging_ventilation": {"cells": 6, "capacity_ah": 14, "kind": "sealed", "unlimited": "no"},
    "fuel_water": {"ethanol_pct": 5, "at_c": 5},
    "premix": {"ratio": "33:1", "petrol_l": 5},
    "brake_fluid": {"grade": "DOT 4", "years": 1},
    "tyre_age": {"code": "4819", "on": "2026-11-25"},
    "tyre_tread": {"depth_mm": 2, "country": "uk", "cc": 650},
    "chain_wear": {"pitches": 20, "size": "525", "measured_mm": 319},
    "compression_expected": {"ratio": 9, "altitude_m": 300},
    "compression_spread": {"readings_bar": "8.6, 9.1"},
    "leakdown": {"feed_bar": 6, "held_bar": 5},
    "dew_point": {"air_c": 3, "rh_pct": 60, "metal_c": -8},
    "corrosion": {"air_c": 10, "rh_pct": 75, "so2_mg_m2_d": 5, "cl_mg_m2_d": 5, "metal": "zinc", "years": 30},
    "rubber_ageing": {"years": 20, "stored_c": 12},
    "residue": {"fraction_left": 0.15, "drains": 2},
    "soak_volumes": {"displacement_cc": 750, "cylinders": 2},
}
FOLDER = Path(revive.figures.__file__).parent


@pytest.mark.parametrize("name", PROMISED)
def test_figures_and_inputs_have_their_promised_names(name):
    names = [item.name for item in FIGURES[name].inputs]

    assert names[: len(PROMISED[name].split())] == PROMISED[name].split()
    optional = [item for item in FIGURES[name].inputs if item.name not in PROMISED[name].split()]
    assert all(item.default is None for item in optional)


def test_no_figure_is_forgotten_in_the_checks():
    assert set(FIGURES) == set(PROMISED) == set(CASES)


@pytest.mark.parametrize("name", CASES)
def test_every_figure_says_method_source_and_limits(name):
    figure = reckon(name, CASES[name])

    assert figure.id == name
    assert figure.unit == FIGURES[name].unit
    assert len(figure.method) > 10 and figure.source and figure.note.endswith(".")
    assert set(figure.also) <= set(FIGURES[name].also)
    assert set(CASES[name]) <= set(figure.inputs)
    if "low" in figure.also and not isinstance(figure.value, str):
        assert figure.also["low"] <= figure.value <= figure.also["high"]


@pytest.mark.parametrize("name", sorted({spec.module for spec in FIGURES.values()}))
def test_every_module_states_method_source_units_range_and_errors(name):
    text = import_module(f"revive.figures.{name}").__doc__ or ""

    for head in ("Method:", "Source:", "Units:", "Valid:", "Errors:"):
        assert f"\n{head}" in text, head


@pytest.mark.parametrize("name", CASES)
def test_every_bounded_number_is_refused_outside_its_range(name):
    spec, tried = FIGURES[name], 0
    for item in spec.inputs:
        if item.kind in ("number", "ratio", "fraction") and item.name in CASES[name]:
            for outside in (item.low - abs(item.low) * 0.01 - 0.001, item.high * 1.01 + 1):
                with pytest.raises(FigureError, match=item.name):
                    reckon(name, {**CASES[name], item.name: outside})
                assert figure_value(name, {**CASES[name], item.name: outside}) is None
                tried += 1

    assert tried or name in ("tyre_age", "compression_spread")


@pytest.mark.parametrize("bad", [float("nan"), float("inf"), True, [], {}, "warm", "", "5 kg"])
def test_a_number_of_another_kind_is_refused(bad):
    with pytest.raises(FigureError):
        reckon("dew_point", {"air_c": bad, "rh_pct": 50})


def test_importing_the_package_imports_no_figure():
    modules = sorted({spec.module for spec in FIGURES.values()})
    code = "import sys, revive.figures; print([m for m in sys.modules if m.startswith('revive.figures.')])"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout

    assert [name for name in modules if f"'revive.figures.{name}'" in loaded] == []


def test_figures_import_nothing_that_reads_prints_or_knows_the_time():
    allowed = {"collections", "dataclasses", "functools", "importlib", "itertools", "math", "re", "typing"}
    ours = {"revive.frozen", "revive.model", "revive.problems", "revive.units", "revive.engine.dates"}
    for path in FOLDER.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
            for name in names:
                pure = name.split(".")[0] in allowed or name in ours or name.startswith("revive.figures")
                assert pure, f"{path.name} imports {name}"


def test_a_mistyped_name_suggests_the_nearest():
    with pytest.raises(FigureError, match="Did you mean 'dew_point'"):
        reckon("dew_pint", {})
    with pytest.raises(FigureError, match="Did you mean 'rh_pct'"):
        reckon("dew_point", {"air_c": 1, "rh_ptc": 2})
    with pytest.raises(FigureError, match="Did you mean 'flooded'"):
        reckon("battery_charge", {"volts_rest": 12, "kind": "floded", "system_voltage": "v12"})


def test_a_missing_input_is_named_with_its_unit():
    with pytest.raises(FigureError, match=r"rh_pct in %: relative humidity"):
        reckon("dew_point", {"air_c": 10})


@pytest.mark.parametrize(
    ("name", "inputs", "key", "value"),
    [
        ("dew_point", {"air_c": "70 F", "rh_pct": "60 %"}, "air_c", 21.111),
        ("residue", {"fraction_left": "15 %", "drains": 1}, "fraction_left", 0.15),
        ("premix", {"ratio": "1:25", "petrol_l": "1 gal"}, "petrol_l", 4.54609),
        ("leakdown", {"feed_bar": "80psi", "held_bar": "60psi"}, "feed_bar", 5.51581),
        ("battery_charge", {"volts_rest": "12,4 V", "kind": "sealed", "system_voltage": "12 V"}, "volts_rest", 12.4),
    ],
)
def test_text_with_a_unit_is_read(name, inputs, key, value):
    assert reckon(name, inputs).inputs[key] == pytest.approx(value, rel=1e-5)


def test_a_fact_gets_a_value_or_a_further_result():
    inputs = {"displacement_cc": 800, "cylinders": 2}

    assert figure_value("soak_volumes", inputs) == 8
    assert figure_value("soak_volumes", inputs, "soak_ml") == 40
    assert figure_value("tyre_tread", {"depth_mm": 2, "country": "uk", "cc": 800}, "legal") == "yes"


def test_a_fact_gets_none_where_the_figure_is_refused():
    assert figure_value("soak_volumes", {"displacement_cc": 5, "cylinders": 2}) is None
    assert figure_value("battery_charge", {"volts_rest": 12, "kind": "lithium", "system_voltage": "v12"}) is None
    assert figure_value("settling", {**CASES["settling"], "particle_kg_m3": 800}) is None
    assert figure_value("battery_charge", {"volts_rest": 12, "kind": None, "system_voltage": "v12"}) is None


def test_a_fact_that_names_what_is_not_there_is_a_mistake_and_not_none():
    for name, inputs, take in [
        ("soak_volume", {}, ""),
        ("soak_volumes", {"cc": 800}, ""),
        ("soak_volumes", {"displacement_cc": 800, "cylinders": 2}, "soak"),
        ("tyre_age", CASES["tyre_age"], "readings"),
    ]:
        with pytest.raises(FigureError, match=r"Did you mean|Known:"):
            figure_value(name, inputs, take)
