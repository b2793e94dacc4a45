"""Figures of a plan about the engine itself: oil for the bores, compression, leak-down. Pure.

Each function yields nothing where no task still to be done needs its figure. The wording says what follows for the
work; the numbers and their limits are those of `revive.figures`.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.engine.figure_inputs import Given, Inputs

Row = Mapping[str, Any]


def soak_volumes(have: Inputs) -> Iterator[Row]:
    """Oil for each bore before turning, or to soak a stuck engine."""
    tasks = have.due("bore_oil", "stuck_soak")
    inputs = {"displacement_cc": have.answer("displacement_cc"), "cylinders": have.answer("cylinders")}
    figure = have.reckon("soak_volumes", inputs) if tasks else None
    if figure:
        words = f"{figure.value:.2g} ml of oil into each bore before it is turned"
        if "stuck_soak" in tasks:
            words += f"; {figure.also['soak_ml']:.2g} ml to soak each stuck one"
        yield have.row(figure, inputs, tasks, f"{words}. Draw or blow it out again before any starter, kick or push.")


def compression_expected(have: Inputs) -> Iterator[Row]:
    """What a compression reading means at this altitude."""
    tasks = have.due("comp_test") or (have.due("first_start") if have.number("comp_low_bar") is not None else ())
    two_stroke = have.word("is_two_stroke")
    if not tasks or have.word("layout") == "rotary_piston" or not two_stroke:
        return
    inputs = {
        "ratio": have.best(limit="compression_ratio_two_stroke" if two_stroke == "yes" else "compression_ratio"),
        "altitude_m": have.best("altitude_m", "place_altitude_m"),
    }
    figure, altitude = have.reckon("compression_expected", inputs), inputs["altitude_m"]
    if figure is None or altitude is None:
        return
    share = figure.also["of_sea_level"]
    if altitude.origin == "fallback":
        words = "Taken as at sea level. Each 1000 m up costs a reading about 11 %: a low one may be the height."
    else:
        words = (
            f"At {altitude.value:g} m a reading is {100 * share:.0f} % of one at sea level: where the manual says 10 bar, "
            f"{10 * share:.1f} bar is as good."
        )
    words += f" By the formula {figure.value:.0f} bar is a ceiling: valve timing and slow cranking read well below it."
    low = have.number("comp_low_bar")
    if low is not None and altitude.origin != "fallback":
        words += f" The lowest reading of {low:g} bar stands for {low / share:.1f} bar at sea level."
    yield have.row(figure, inputs, tasks, words)


def compression_spread(have: Inputs) -> Iterator[Row]:
    """How far the cylinders differ, from the readings on record."""
    tasks = have.due("first_start", "leakdown_test", "head_lift")
    readings = _compression(have) if tasks else None
    figure = have.reckon("compression_spread", {"readings_bar": readings}) if readings else None
    if figure and readings:
        seventy, more = figure.also["passes_70"] == "yes", figure.also["passes_75"] == "yes"
        judged = (
            "within both rules of thumb (70 and 75 %)"
            if more
            else "within one rule of thumb (70 %), not the other (75 %)"
        )
        judged = judged if seventy else "under both rules of thumb (70 and 75 %): find the leak first"
        yield have.row(
            figure,
            {"readings_bar": readings},
            tasks,
            f"The lowest cylinder reads {figure.value:.0f} % of the highest, {judged}.",
        )


def _compression(have: Inputs) -> Given | None:
    newest = {
        str(reading.get("cylinder")): float(reading["value"])
        for reading in have.case.record.readings
        if reading.get("what") == "compression_bar" and isinstance(reading.get("value"), int | float)
    }
    found = list(newest.values())
    if len(found) < 2:
        ends = have.answer("comp_low_bar"), have.answer("comp_high_bar")
        several = (have.number("cylinders") or 0) > 1
        found = [float(one.value) for one in ends if one and one.origin == "record"] if several else []
    return Given(tuple(found), "record") if len(found) > 1 else None


def leakdown(have: Inputs) -> Iterator[Row]:
    """Leak-down of each cylinder whose two pressures are among the readings."""
    tasks = have.due("first_start", "head_lift")
    newest: dict[str, Mapping[str, Any]] = {}
    for reading in have.case.record.readings if tasks else ():
        if all(isinstance(reading.get(key), int | float) for key in ("feed_bar", "held_bar")):
            newest[str(reading.get("cylinder", ""))] = reading
    for cylinder, reading in newest.items():
        inputs = {key: Given(float(reading[key]), "record") for key in ("feed_bar", "held_bar")}
        figure = have.reckon("leakdown", inputs)
        if figure:
            where = f"Cylinder {cylinder}" if cylinder else "The cylinder"
            yield have.row(figure, inputs, tasks, f"{where} loses {figure.value:.0f} %: {figure.also['band']}.")
