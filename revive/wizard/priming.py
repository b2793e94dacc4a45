"""What is known about priming at any moment: cranking so far, the budget, oil seen, what the trade says. Asks nothing.

The wording of the advice is that of the priming task in the rule base; only the moment for it is chosen here.
"""

import re
from collections.abc import Mapping
from typing import Any

from revive.engine.dates import strictly_after
from revive.engine.meant import left_out, meant_here
from revive.engine.study import Study
from revive.frozen import Frozen
from revive.model import Record, RuleBase, Task

TASK, READING = "prime_starter", "prime_burst"
LATE_BURSTS = 3
PUMP_EFFICIENCY_LOW = 0.5  # of a dry, cold pump (from memory)
REST_TIMES = 2  # kicks, and 6 V batteries, rest twice as long (from memory)


class Setup(Frozen):
    """What this machine needs. task: without the lines that are not meant for it. points: as the layout lists them.

    pump_ml: least and most moved for each crank turn.
    """

    task: Task
    points: tuple[Mapping[str, Any], ...]
    needed: int
    kicks: int
    burst_s: float
    rest_s: float
    budget_s: float
    dry_ml: float | None
    pump_ml: tuple[float, float] | None
    rpm: float | None


class Burst(Frozen):
    """One burst as logged. how: dry, spits or runs; empty where nobody said."""

    on: str
    seconds: float
    points_seen: int | None = None
    how: str = ""


def set_up(study: Study) -> Setup:
    """What the layout, the limits and the answers say. Unknown numbers are None; unknown points count as none."""
    base, limits, known = study.case.compiled.base, study.case.limits, study.assumed.sight.rule
    layout = base.layouts.get(str(known["layout"]))
    task = base.tasks[TASK]
    kicks = int(limits["kicks_per_burst"]) if known["starter_kind"] == "kick" else 0
    pump = _number(known["pump_low_ml"]), _number(known["pump_high_ml"])
    return Setup(
        task=meant_here(task, left_out(study, task)),
        points=layout.points if layout else (),
        needed=int(_number(known["points_needed"]) or 0),
        kicks=kicks,
        burst_s=limits["prime_burst_s"],
        rest_s=limits["prime_rest_s"] * (REST_TIMES if kicks or known["system_voltage"] == "v6" else 1),
        budget_s=limits["prime_budget_s"],
        dry_ml=_number(known["prime_dry_ml"]),
        pump_ml=(pump[0], pump[1]) if pump[0] and pump[1] else None,
        rpm=_number(known["crank_rpm"]),
    )


def bursts_since_mend(base: RuleBase, record: Record) -> list[Burst]:
    """Bursts on record that are not older than the last mend; the budget counts since then."""
    mends = [record.done[task].on for task in mending_tasks(base) if task in record.done]
    found = []
    for reading in record.readings:
        if reading.get("what") != READING or not isinstance(reading.get("seconds"), int | float):
            continue
        on = str(reading.get("on", ""))
        if any(strictly_after(mend, on) for mend in mends):
            continue
        seen = reading.get("points_seen")
        seen = int(seen) if isinstance(seen, int | float) else None
        found.append(Burst(on, float(reading["seconds"]), seen, str(reading.get("how", ""))))
    return found


def mending_tasks(base: RuleBase) -> list[str]:
    """Work that rules call for, with a stop, because oil did not arrive as it should."""
    from revive.engine.conditions import names_in

    found: dict[str, None] = {}
    for rule in base.rules.values():
        if rule.stop and "prime_result" in names_in(rule.when):
            found.update(dict.fromkeys(task for task in rule.adds if task != TASK))
    return list(found)


def result_of(setup: Setup, bursts: list[Burst]) -> str:
    """The prime_result that the last burst shows; empty where nobody looked yet."""
    last = next((burst for burst in reversed(bursts) if burst.points_seen is not None), None)
    if last is None or last.points_seen is None:
        return ""
    if not last.points_seen:
        return "none"
    if last.how != "runs":
        return "spits"
    return "all_streams" if setup.needed and last.points_seen >= setup.needed else "some_points"


def advice(setup: Setup, bursts: list[Burst]) -> list[str]:
    """What the trade says at this stage, the rule base's own words; may be empty."""
    total = sum(burst.seconds for burst in bursts)
    before = total - bursts[-1].seconds if bursts else 0
    state = result_of(setup, bursts)
    said: list[str] = []
    if state in ("", "none"):
        for seconds, step in sorted(_timed_steps(setup.task).items()):
            if before < seconds <= total:
                said = [step]
        return said
    with_oil = [burst for burst in bursts if burst.points_seen]
    if len(with_oil) == 1:
        said.append(_passage(setup.task.method, "Oil seen:"))
        if total > 60:
            said.append(_passage(setup.task.changes_plan_if, "first oil after"))
    elif state == "spits" and len(with_oil) > LATE_BURSTS:
        said.append(_passage(setup.task.changes_plan_if, "spits the same"))
    elif state == "some_points" and len(with_oil) > LATE_BURSTS:
        said.append(_passage(setup.task.changes_plan_if, "run at some"))
    return [text for text in said if text]


def pumped(setup: Setup, seconds: float, rpm: float | None = None) -> tuple[float, float] | None:
    """Least and most ml that the pump should have moved in this cranking time; None where it cannot be reckoned.

    Method: pump size x speed x time, the least with half of it lost to a dry, cold pump (from memory).
    """
    speed = rpm or setup.rpm
    if setup.pump_ml is None or not speed:
        return None
    turns = speed / 60 * seconds
    return setup.pump_ml[0] * turns * PUMP_EFFICIENCY_LOW, setup.pump_ml[1] * turns


def _timed_steps(task: Task) -> dict[float, str]:
    """Steps of the method that begin with a cranking time -> that time in seconds."""
    found = {}
    for step in task.method:
        if match := re.match(r"(\d+) s \(", step):
            found[float(match[1])] = step
    return found


def _passage(texts: tuple[str, ...], beginning: str) -> str:
    return next((text for text in texts if text.startswith(beginning)), "")


def _number(value: Any) -> float | None:
    return float(value) if isinstance(value, int | float) and value == value else None
