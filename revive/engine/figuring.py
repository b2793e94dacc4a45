"""Reckon the figures that help a decision on one machine: from its record, its layout and stated fallbacks. Pure.

A figure is made only where a task still to be done is decided by it, the part exists here, and its method holds for
the inputs; it says where each input comes from. It refuses to decide: gates and tasks never hang on these figures.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from revive.engine.figure_inputs import Inputs
from revive.engine.figures_machine import (
    battery_figures,
    brake_fluid,
    chain_wear,
    corrosion,
    dew_point,
    fuel_water,
    premix,
    tyre_age,
)
from revive.engine.figures_motor import compression_expected, compression_spread, leakdown, soak_volumes
from revive.engine.figures_oil import cold_cranking, priming, residue, settling
from revive.engine.study import Study
from revive.plan import PlanTask

Row = Mapping[str, Any]
MAKERS: tuple[Callable[[Inputs], Iterator[Row]], ...] = (
    settling,
    residue,
    soak_volumes,
    cold_cranking,
    priming,
    battery_figures,
    compression_expected,
    compression_spread,
    leakdown,
    fuel_water,
    premix,
    brake_fluid,
    tyre_age,
    chain_wear,
    dew_point,
    corrosion,
)


def plan_figures(study: Study, tasks: Sequence[PlanTask]) -> tuple[Row, ...]:
    """The figures that help with the tasks still to be done, each as the plan's JSON holds it.

    Keys beside those of a figure: inputs_from (input -> record, maker, layout, plan, figure or fallback),
    maker_may_give (input -> name under which the record's `maker` section gives the manual's figure),
    says (what it decides, in sentences) and tasks (those that it helps with).
    """
    return figures_and_questions(study, tasks)[0]


def figures_and_questions(study: Study, tasks: Sequence[PlanTask]) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """The figures, and the open questions whose answers would sharpen them or bring one more."""
    have = Inputs(study, tasks)
    rows = tuple(row for maker in MAKERS for row in maker(have))
    place = {name: number for number, name in enumerate(have.base.questions)}
    return rows, tuple(sorted(have.asks, key=place.__getitem__))
