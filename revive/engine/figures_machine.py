"""Figures of a plan about the rest of the machine: battery, petrol, brake fluid, tyres, chain, damp and rust. Pure.

Each function yields nothing where no task still to be done needs its figure, or the part is not there.
"""

import re
from collections.abc import Iterator, Mapping
from typing import Any

from revive.engine.figure_inputs import Given, Inputs
from revive.figures import Figure

Row = Mapping[str, Any]
FREEZES_C = -30.0
"""Acid that freezes only below this is left out, except where the frost is hard."""
PITCHES_MM = (12.7, 15.875, 19.05)
COUNTED_PITCHES = 20.0
# climate: (mean air C, mean humidity %, sulphur dioxide, chloride, both in mg/m2 d), orders of size from memory
CLIMATES = {
    "dry_hot": (22.0, 45.0, 2.0, 3.0),
    "temperate": (10.0, 80.0, 5.0, 3.0),
    "humid": (22.0, 85.0, 5.0, 3.0),
    "coastal": (12.0, 80.0, 5.0, 60.0),
    "hard_frost": (3.0, 80.0, 2.0, 3.0),
}
SHEDS = ("dry_shed", "damp_shed")
OUTDOORS = ("outdoors_covered", "outdoors_open")
RUST_TASKS = ("frame_inspect", "wheel_check", "disc_check", "tank_inspect", "fork_tube_repair", "exhaust_repair")
OPENED = ("rocker_covers_off", "sump_drop", "head_lift", "preserve_again")


def charge_now(have: Inputs) -> tuple[dict[str, Given | None], Figure] | None:
    """The state of charge that the volts on record show, with its inputs; None for lithium or where it cannot be told."""
    system, volts = have.answer("system_voltage"), have.answer("battery_volts")
    if system is None or system.value not in ("v6", "v12") or is_lithium(have):
        return None
    inputs = {
        "volts_rest": volts if volts and volts.origin == "record" else None,
        "kind": _lead_kind(have, "sealed"),
        "system_voltage": system,
    }
    figure = have.reckon("battery_charge", inputs)
    return (inputs, figure) if figure else None


def is_lithium(have: Inputs) -> bool:
    """Whether the battery is known to be no lead battery; "don't know" is not knowing."""
    kind = have.answer("battery_kind")
    return kind is not None and kind.value == "lithium" and kind.origin == "record"


def _lead_kind(have: Inputs, careful: str) -> Given:
    """Flooded or sealed as recorded; else the one that is on the careful side."""
    kind = have.answer("battery_kind")
    if kind is not None and kind.value in ("flooded", "sealed"):
        return kind
    return Given(careful, "fallback", ask=have.can_ask("battery_kind"))


def battery_figures(have: Inputs) -> Iterator[Row]:
    """Charge of the battery as it is, when its acid freezes, and fresh air while it charges."""
    cranks = have.due("prime_starter") if have.word("starter_kind") in ("electric", "both") else ()
    charging = (*have.due("battery_charge", "battery_test"), *cranks)
    found = charge_now(have) if charging and "battery_replace" not in have.to_do else None
    if found:
        inputs, figure = found
        words = f"At rest it is about {figure.value:.0f} % charged."
        words += " Charge it before any cranking." if figure.also["recharge"] == "yes" else ""
        yield have.row(figure, inputs, charging, words)
        yield from _freezing(have, figure)
    yield from _ventilation(have)


def _freezing(have: Inputs, charge: Figure) -> Iterator[Row]:
    tasks = have.due("battery_charge")
    inputs: dict[str, Given | None] = {"state_of_charge_pct": Given(charge.value, "figure")}
    figure = have.reckon("battery_freezing", inputs)
    if not tasks or figure is None or have.word("battery_kind") == "sealed":
        return
    if float(figure.value) > FREEZES_C or have.word("climate") == "hard_frost":
        yield have.row(
            figure,
            inputs,
            tasks,
            f"So little charged, its acid freezes at about {round(float(figure.value))} C. If it stood colder: thaw it slowly and "
            "look for splits before any charging.",
        )


def _ventilation(have: Inputs) -> Iterator[Row]:
    tasks, place, system = have.due("battery_charge"), have.word("work_space"), have.answer("system_voltage")
    if not tasks or place in ("", "open_air") or is_lithium(have):
        return
    cells = {"v6": 3.0, "v12": 6.0}.get(str(system.value)) if system else None
    inputs = {
        "cells": Given(cells, system.origin) if system and cells else None,
        "capacity_ah": have.best("battery_ah", "battery_large_ah"),
        "kind": _lead_kind(have, "flooded"),
        "unlimited": Given("yes", "fallback"),
    }
    figure = have.reckon("charging_ventilation", inputs)
    if figure:
        yield have.row(
            figure,
            inputs,
            tasks,
            f"While it charges it needs {figure.value:.2g} m3 of fresh air an hour: an opening of "
            f"{figure.also['inlet_cm2']:.0f} cm2 or more low down and the same high up. No living room, no flame.",
        )


def fuel_water(have: Inputs) -> Iterator[Row]:
    """Water that the petrol in the tank can have taken up before it separated."""
    tasks = have.due("tank_drain")
    if not tasks or have.word("fuel_amount") in ("none", "tank_away"):
        return
    told, fuel = have.case.answers.get("last_fuel"), have.answer("last_fuel")
    known = {"e5": 5.0, "e10": 10.0}.get(str(fuel.value)) if fuel and fuel.origin == "record" else None
    if told is None or (known is None and fuel and fuel.origin == "record"):
        return
    inputs = {
        "ethanol_pct": Given(known, "record") if known else have.best(limit="alcohol_in_petrol_pct"),
        "at_c": have.best("air_c", "working_air_c"),
    }
    figure, share = have.reckon("fuel_water", inputs), inputs["ethanol_pct"]
    if figure and share:
        yield have.row(
            figure,
            inputs,
            tasks,
            f"Petrol with {share.value:g} % of alcohol holds about {figure.also['ml_per_l']:.2g} ml of water in each litre "
            "here. What the damp brought in beyond that lies at the bottom with the alcohol: drain all of it, use none.",
        )


def premix(have: Inputs) -> Iterator[Row]:
    """Oil for the first petrol of a two-stroke."""
    tasks = have.due("premix_safety_fill")
    if not tasks or have.word("is_two_stroke") != "yes":
        return
    pumped = have.word("oil_pump_two_stroke") == "yes"
    inputs = {
        "ratio": have.best(limit="premix_parts_with_pump" if pumped else "premix_parts"),
        "petrol_l": have.best(limit="first_petrol_l"),
    }
    figure, ratio, petrol = have.reckon("premix", inputs), inputs["ratio"], inputs["petrol_l"]
    if figure and ratio and petrol:
        yield have.row(
            figure,
            inputs,
            tasks,
            f"{figure.value:.0f} ml of two-stroke oil into {petrol.value:g} l of petrol, {ratio.value:g}:1.",
        )


def brake_fluid(have: Inputs) -> Iterator[Row]:
    """What years have done to the brake fluid."""
    tasks = have.due("brake_fluid_change")
    kind = have.word("brake_fluid_kind")
    if not tasks or have.word("hydraulic_brakes") != "yes" or kind == "mineral":
        return
    told = have.answer("brake_fluid_grade")
    grade = told and Given(str(told.value).upper().replace("_", "."), told.origin)
    if kind == "silicone" and (grade is None or grade.origin != "record"):
        grade = Given("DOT5", "record")
    inputs = {
        "grade": grade or Given("DOT3", "fallback", ask=have.can_ask("brake_fluid_grade")),
        "years": have.answer("years_stored"),
    }
    figure, years = have.reckon("brake_fluid", inputs), inputs["years"]
    if figure is None or years is None:
        return
    if figure.also["where"] == "water lies apart":
        words = "Silicone fluid takes up no water: drops lie in the low places, boil at 100 C and rust the bores."
    else:
        words = (
            f"In {years.value:g} years or more it may have drawn up to {figure.also['water_high_pct']:.2g} % of water"
        )
        if figure.also["where"] == "inside the wet limit":
            words += f": count on boiling from {figure.also['boils_from_c']:.0f} C."
        else:
            words += (
                f": past what its grade is proved for ({figure.value:g} C wet). Renew it; look for rust in the bores."
            )
    yield have.row(figure, inputs, tasks, words)


def tyre_age(have: Inputs) -> Iterator[Row]:
    """Age of each tyre whose date code is on record, with the work on the tyres or among the readings."""
    tasks = have.due("tyres_look", "tyres_replace", "road_ready_check", "ride_short")
    for code in _tyre_codes(have) if tasks else ():
        inputs = {"code": Given(code, "record"), "on": Given(have.case.today[:10], "plan")}
        figure = have.reckon("tyre_age", inputs)
        if figure is None:
            continue
        made = ", or ".join(f"week {one['week']} of {one['year']}" for one in figure.also["readings"])
        words = f"Tyre code {code}: made in {made}, {figure.value:.1f} years old."
        keeps = have.case.limits.get("tyre_keeps_y")
        if keeps is not None and float(figure.value) >= keeps:
            words += f" From {keeps:g} years on it is renewed whatever its tread."
        yield have.row(figure, inputs, tasks, words)


def _tyre_codes(have: Inputs) -> list[str]:
    done = have.case.record.done
    work = next((done[task] for task in ("tyres_replace", "tyres_look") if task in done), None)
    texts = [str(work.details["codes"])] if work and "codes" in work.details else []
    if not texts:
        texts = [str(one.get("value", "")) for one in have.case.record.readings if one.get("what") == "tyre_code"]
    return list(dict.fromkeys(code for text in texts for code in re.findall(r"(?<![\w.])\d{3,4}(?![\w.])", text)))


def chain_wear(have: Inputs) -> Iterator[Row]:
    """Wear of the drive chain, where its length was measured."""
    tasks = have.due("chain_service", "chain_replace", "road_ready_check", "ride_short")
    work = have.case.record.done.get("chain_service")
    length = work.details.get("length_20_pitches_mm") if work else None
    if not tasks or "chain_replace" in have.case.record.done or not isinstance(length, int | float):
        return
    pitch = next((p for p in PITCHES_MM if 0.995 <= length / (COUNTED_PITCHES * p) <= 1.1), None)
    inputs = {
        "pitches": Given(COUNTED_PITCHES, "record"),
        "pitch_mm": Given(pitch, "fallback") if pitch else None,
        "measured_mm": Given(float(length), "record"),
    }
    figure = have.reckon("chain_wear", inputs)
    if figure:
        verdict = "renew it with both sprockets" if figure.also["verdict"] == "renew" else "serviceable by its length"
        yield have.row(
            figure,
            inputs,
            tasks,
            f"Taken as a chain of {pitch:g} mm pitch it is {figure.value:.1f} % longer than new (limit "
            f"{figure.also['limit_pct']:g} %): {verdict}.",
        )


def dew_point(have: Inputs) -> Iterator[Row]:
    """How warm metal has to be so that no water forms on it when the engine is opened."""
    tasks = have.due(*OPENED)
    if not tasks:
        return
    have.want("air_c", "air_rh_pct")
    inputs = {"air_c": have.answer("air_c"), "rh_pct": have.answer("air_rh_pct")}
    if any(one is None or one.origin != "record" for one in inputs.values()):
        return
    figure = have.reckon("dew_point", inputs)
    if figure:
        frost = figure.also.get("frost_point_c")
        what, below = ("frost", frost) if frost is not None else ("water", figure.value)
        yield have.row(
            figure,
            inputs,
            tasks,
            f"In this air {what} forms on metal colder than {round(float(below))} C: let the engine warm through before it "
            "is opened, and close it again before the night.",
        )


def corrosion(have: Inputs) -> Iterator[Row]:
    """Rust to expect on bare steel after the years in store."""
    tasks, place = have.due(*RUST_TASKS), have.word("storage_place")
    climate, years = have.answer("climate"), have.answer("years_stored")
    if not tasks or place not in (*SHEDS, *OUTDOORS) or climate is None or years is None or years.value < 1:
        return
    names = ("air_c", "rh_pct", "so2_mg_m2_d", "cl_mg_m2_d")
    inputs: dict[str, Given | None] = {
        name: Given(number, "fallback")
        for name, number in zip(names, CLIMATES.get(str(climate.value), ()), strict=False)
    }
    inputs |= {"metal": Given("steel", "fallback"), "years": years}
    figure = have.reckon("corrosion", inputs) if len(inputs) == len(names) + 2 else None
    if figure is None:
        return
    words = (
        f"Bare steel in the open loses about {figure.value:.0f} um in the first year in such a climate and "
        f"{figure.also['average_um']:.0f} to {figure.also['upper_um']:.0f} um in {years.value:g} years; pits go deeper."
    )
    if place in SHEDS:
        words += " A shed is not outdoors: less rain and salt, longer damp. Take it as an order of size and look."
    else:
        words += " Single years differ by half and more: look and measure."
    yield have.row(figure, inputs, tasks, words)
