"""Figures of a plan about oil: settling, what a drain leaves, cranking in the cold, priming. Pure.

Each function yields nothing where no task still to be done needs its figure. The wording says what follows for the
work; the numbers and their limits are those of `revive.figures`.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.engine.figure_inputs import Given, Inputs
from revive.engine.figures_machine import charge_now, is_lithium
from revive.figures import Figure

Row = Mapping[str, Any]
MILD_C, COLD_C = 25.0, 5.0
"""Temperatures for which settling is shown too, where nobody measured the place."""
LEAST_STILL_H = 24.0
"""Hours unmoved that the method of the drain asks for in any case."""
COLD_WORRY_C = 0.0
HALF_PCT = 50.0
"""Charge under which a starter is taken to turn too slowly (from memory), as the figure itself has it."""


def settling(have: Inputs) -> Iterator[Row]:
    """How thick the old oil is, and how long grit takes to settle in it after the machine was moved."""
    tasks = have.due("oil_sample", "oil_tank_drain", "oil_drain")
    if not tasks or have.word("is_two_stroke") != "no" or have.word("storage_place") == "flooded":
        return
    air = have.best("air_c", "working_air_c")
    thick = {"kv40_mm2_s": have.best(limit="old_oil_kv40_mm2_s"), "kv100_mm2_s": have.best(limit="old_oil_kv100_mm2_s")}
    depth = have.best(limit="oil_tank_depth_mm" if have.word("is_dry_sump") == "yes" else "oil_depth_mm")
    grain = {
        "particle_um": have.best(limit="settle_grit_um"),
        "particle_kg_m3": have.best(limit="settle_grit_kg_m3"),
        "oil_kg_m3": have.best(limit="oil_kg_m3"),
    }

    def at(at_c: Given | None) -> tuple[dict[str, Given | None], Figure | None, dict[str, Given | None], Figure | None]:
        oil = {**thick, "at_c": at_c}
        viscosity = have.reckon("oil_viscosity", oil)
        dynamic = Given(viscosity.also["viscosity_mpa_s"], "figure") if viscosity else None
        fall = {**grain, "viscosity_mpa_s": dynamic, "depth_mm": depth}
        return oil, viscosity, fall, have.reckon("settling", fall)

    oil, viscosity, fall, wait = at(air)
    if not (air and viscosity and wait):
        return
    times = viscosity.value / oil["kv40_mm2_s"].value if oil["kv40_mm2_s"] else 0.0
    yield have.row(
        viscosity,
        oil,
        (),
        f"At {air.value:g} C such oil is {times:.0f} times as thick as at 40 C: it drains and settles that much "
        "slower. A warm room helps, warming it by running never.",
    )
    yield have.row(
        wait, fall, tasks, _settling_words(float(wait.value), air, [at(Given(c, "")) for c in (MILD_C, COLD_C)])
    )


def _settling_words(hours: float, air: Given, other: list[Any]) -> str:
    words = (
        f"After it was lifted or moved by trailer grit takes about {_hours(hours)} to lie on the floor again, oil at "
    )
    words += f"{air.value:g} C"
    if air.origin != "record" and all(wait for *_, wait in other):
        mild, cold = (_hours(wait.value) for *_, wait in other)
        words += f" (at {MILD_C:g} C {mild}, at {COLD_C:g} C {cold})"
    if hours > LEAST_STILL_H:
        return f"{words}: let it stand that long, level and unmoved, or in a warmer room."
    return f"{words}: let it stand {LEAST_STILL_H:g} h all the same, level and unmoved."


def residue(have: Inputs) -> Iterator[Row]:
    """How much of the old oil is left after the plan's fills, and how many would get it under 1 %."""
    tasks = have.due("oil_fill", "oil_change_second")
    if not tasks or have.word("recirculating") != "yes":
        return
    drains = sum(task in have.planned for task in ("oil_drain", "oil_change_second"))
    inputs = {
        "fraction_left": have.best(limit="oil_left_by_drain"),
        "drains": Given(float(max(drains, 1)), "plan"),
    }
    figure = have.reckon("residue", inputs)
    if figure:
        fills = figure.also["drains_under_1_pct"]
        left = f"{drains} drains of this plan leave" if drains > 1 else "One drain leaves"
        yield have.row(
            figure,
            inputs,
            tasks,
            f"{left} about {figure.value:.2g} % of the old oil behind; {fills} drains, each with a run between, bring "
            "it under 1 %. Sludge that lies still is not washed out by them.",
        )


def cold_cranking(have: Inputs) -> Iterator[Row]:
    """Whether the starter may be used at the day's temperature on the new oil."""
    tasks = have.due("prime_starter", "first_start")
    if not tasks or have.word("recirculating") != "yes":
        return
    air, grade = have.best("air_c", "working_air_c"), _grade(have)
    have.want("oil_grade_new", "air_c")
    freezing = air is not None and air.origin == "record" and air.value <= COLD_WORRY_C
    if grade is None and not freezing:
        return
    inputs = {"grade": grade or Given("20W-50", "fallback", ask=have.can_ask("oil_grade_new")), "at_c": air}
    figure = have.reckon("oil_grade", inputs)
    if figure is None or air is None:
        return
    name = inputs["grade"].value if inputs["grade"] else ""
    if figure.value == "not stated":
        words = f"A single grade such as SAE {name} promises nothing in the cold: under 0 C warm engine and oil first."
    elif figure.value == "no":
        limit = figure.also["crank_at_c"]
        words = (
            f"TOO COLD: {name} may be cranked down to {limit:g} C and it is {air.value:g} C. Warm engine and oil first."
        )
    else:
        limit = figure.also["crank_at_c"]
        words = f"Fresh {name} may be cranked down to {limit:g} C; at {air.value:g} C the oil does not forbid it."
    yield have.row(figure, inputs, tasks, words)


def _grade(have: Inputs) -> Given | None:
    """The grade as it stands on the can; the question's choices are sae_40 and w20_50."""
    told = have.answer("oil_grade_new")
    if told is None or not isinstance(told.value, str):
        return None
    winter, _, summer = told.value.partition("_")
    return told._replace(value=summer if winter == "sae" else f"{winter[1:]}W-{summer}")


def priming(have: Inputs) -> Iterator[Row]:
    """How long priming on the starter should take, and whether this battery can do it."""
    tasks = have.due("prime_starter")
    starter = have.word("starter_kind")
    if not tasks or starter in ("", "none") or have.word("recirculating") != "yes":
        return
    rpm = have.answer("crank_rpm")
    inputs = {
        "pump_ml_per_crank_rev": have.best(limit="pump_ml_per_crank_rev", layout="pump_low_ml"),
        "crank_rpm": rpm._replace(origin="fallback") if rpm else None,
        "volume_ml": have.answer("prime_dry_ml"),
    }
    if inputs["volume_ml"]:
        inputs["volume_ml"] = inputs["volume_ml"]._replace(origin="layout")
    figure = have.reckon("prime_time", inputs)
    if figure is None:
        return
    pump = inputs["pump_ml_per_crank_rev"]
    large = have.answer("pump_high_ml") if pump and pump.origin == "layout" else None
    quick = have.reckon("prime_time", {**inputs, "pump_ml_per_crank_rev": large})
    yield {
        **have.row(figure, inputs, tasks, _priming_words(have, figure, quick, starter == "kick")),
        **({"range": {"low": quick.value, "high": figure.value}} if quick else {}),
    }
    if starter in ("electric", "both"):
        yield from _prime_charge(have, float(figure.value), tasks)


def _priming_words(have: Inputs, slow: Figure, quick: Figure | None, kick: bool) -> str:
    seconds = float(slow.value)
    span = f"{quick.value:.0f} to {seconds:.0f} s" if quick else f"{seconds:.0f} s"
    bursts = int(slow.also["bursts"])
    rest = have.case.limits.get("prime_rest_s", 60.0) * (2 if kick or have.word("system_voltage") == "v6" else 1)
    clock = (seconds + (bursts - 1) * rest) / 60
    words = f"Expect oil after about {span} of cranking in all, filter and gallery filled by hand first"
    per_burst = have.case.limits.get("kicks_per_burst", 20.0)
    each = f"{per_burst:g} kicks, {per_burst * bursts:.0f} in all" if kick else "10 s"
    if bursts > 1:
        words += f": up to {bursts} bursts of {each}, {clock:.0f} min by the clock with the rests of {rest:g} s."
    else:
        words += f": one burst of {each.split(',')[0]}."
    budget = have.case.limits.get("prime_budget_s")
    if budget is not None and seconds > budget:
        words += (
            f" The long end is over the budget of {budget:g} s: feed oil at the switch hole first, or have a workshop "
            "prime it by pressure."
        )
    return words


def _prime_charge(have: Inputs, seconds: float, tasks: tuple[str, ...]) -> Iterator[Row]:
    volts = have.word("system_voltage")
    if volts not in ("v6", "v12") or ("battery_replace" not in have.to_do and is_lithium(have)):
        return
    charge = state_of_charge(have)
    inputs = {
        "starter_a": have.best(limit="starter_6v_a" if volts == "v6" else "starter_12v_a"),
        "cranking_s": Given(seconds, "figure"),
        "battery_ah": have.best("battery_ah", "battery_small_ah"),
        "state_of_charge_pct": charge,
    }
    figure = have.reckon("prime_charge", inputs)
    if figure is None or charge is None:
        return
    if charge.origin == "figure":
        subject = "This battery"
    elif charge.origin == "plan":
        subject = "A new, charged battery"
    else:
        subject = f"A battery {charge.value:g} % charged"
    ampere_hours = inputs["battery_ah"]
    subject += f" of {ampere_hours.value:g} Ah" if ampere_hours else ""
    verdict = {
        "yes": "can do it",
        "no": "cannot do it: charge it first",
        "doubtful": "may not do it: charge it full first, and again between the bursts",
    }[figure.also["can_finish"]]
    if charge.value < HALF_PCT:
        words = (
            f"{subject} is only {charge.value:.0f} % charged: charge it first, the starter turns too slowly to prime."
        )
        yield have.row(figure, inputs, tasks, words)
        return
    words = f"{subject} {verdict}. The cranking takes {figure.value:.2g} to {figure.also['high']:.2g} % of its charge."
    if charge.origin == "fallback":
        words += " Read the volts at rest and write them down: then this is reckoned for yours."
    yield have.row(figure, inputs, tasks, words)


def state_of_charge(have: Inputs) -> Given | None:
    """The charge (%) to count on: full where the plan fits a new battery, else from its volts at rest, else a fallback."""
    if "battery_replace" in have.to_do:
        return Given(100.0, "plan")
    found = charge_now(have)
    return Given(found[1].value, "figure") if found else have.best(limit="battery_charge_taken_pct")


def _hours(hours: float) -> str:
    return f"{hours:.0f} h" if hours < 48 else f"{hours / 24:.0f} days"
