"""The pictures of one plan: the gates, the days, the way of the oil, priming and pressures. Draws only what is there.

Every picture is made of shapes, hatching and words, carries its own text alternative and needs no colour.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from revive.engine.study import Study, study_case
from revive.model import Record, RuleBase
from revive.plan import Plan
from revive.render.drawing import Picture
from revive.render.picture_days import days_pictures
from revive.render.picture_gates import gates_picture
from revive.render.picture_oil import Arrival, arrivals, oil_picture
from revive.render.picture_pressure import compression_picture, leakdown_picture
from revive.render.picture_priming import priming_picture
from revive.wizard.priming import bursts_since_mend, set_up


@dataclass(frozen=True)
class Pictures:
    """gates: always there. days: one or more where the plan has a calendar. sheets: for the wall, as far as known.

    points: the arrival points that the oil picture numbers. cylinders: as far as known. bursts: as many as the budget allows.
    """

    gates: Picture
    days: tuple[Picture, ...] = ()
    sheets: tuple[Picture, ...] = ()
    points: tuple[Arrival, ...] = ()
    cylinders: int = 0
    bursts: int = 12


def draw(plan: Plan, base: RuleBase, record: Record | None = None, units: str = "metric") -> Pictures:
    """All pictures of a plan. record: the one that the plan was made from; without it only the plan's own pictures."""
    gates, days = gates_picture(plan), tuple(days_pictures(plan))
    if record is None:
        return Pictures(gates, days)
    study = study_case(base, record, plan.made_on)
    known: Mapping[str, Any] = study.assumed.sight.rule
    layout = base.layouts.get(str(known["layout"]))
    points = (
        tuple(arrivals(layout, {name: known[name] for name in ("cylinders", "valves_per_cylinder")})) if layout else ()
    )
    primed = "prime_starter" in base.tasks and "prime_burst_s" in base.limits  # another rule base may have neither
    setup = set_up(study) if primed else None
    found = [
        oil_picture(layout, points) if layout else None,
        priming_picture(setup, bursts_since_mend(base, record), _expected(study), units) if setup else None,
        compression_picture(base, record, study.case.limits, known["is_two_stroke"] in ("yes", True), units),
        leakdown_picture(base, record, study.case.limits),
    ]
    cylinders = known["cylinders"]
    return Pictures(
        gates,
        days,
        tuple(picture for picture in found if picture is not None),
        points,
        int(cylinders) if isinstance(cylinders, int | float) and cylinders == cylinders else 0,
        max(1, min(int(setup.budget_s // setup.burst_s), 20)) if setup and setup.burst_s else 12,
    )


def _expected(study: Study) -> tuple[float, float] | None:
    """Shortest and longest cranking until oil is to be expected, where both are reckoned."""
    known: Mapping[str, Any] = study.assumed.sight.rule
    found = [known[name] for name in ("prime_least_s", "prime_expected_s")]
    if all(isinstance(value, int | float) and value == value and value > 0 for value in found):
        return float(found[0]), float(found[1])
    return None
