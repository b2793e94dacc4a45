"""Pages of invented machines: the records of the render tests with readings, a calendar, and words that try to act."""

import sys
from dataclasses import replace
from functools import cache
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "render"))

from render_machines import ANSWERS, DONE, NAMES, TODAY, reader_of, rules

from revive.engine.planner import make_plan
from revive.engine.schedule import make_schedule
from revive.model import Answer, Record, Work
from revive.plan import Plan
from revive.render.page import plan_html

__all__ = ["HOSTILE", "NAMES", "READINGS", "TODAY", "page_of", "plan_of", "reader_of", "record_of", "rules"]

READINGS = (
    {"what": "prime_burst", "on": "2026-11-22T10:00", "seconds": 10, "points_seen": 0, "how": "dry"},
    {"what": "prime_burst", "on": "2026-11-22T10:05", "seconds": 10, "points_seen": 2, "how": "spits"},
    {"what": "prime_burst", "on": "2026-11-22T10:10", "seconds": 10, "points_seen": 3, "how": "runs"},
    {"what": "compression_bar", "cylinder": 1, "value": 6.0},
    {"what": "compression_bar", "cylinder": 1, "value": 9.0},
    {"what": "compression_bar", "cylinder": 2, "value": 7.6},
    {"what": "leakdown_pct", "cylinder": 1, "value": 12},
    {"what": "leakdown_pct", "cylinder": 2, "value": 31},
)
HOSTILE = (
    "<script>alert(1)</script><img src=x onerror=alert(2)> </title></style><svg onload=alert(3)><a href='javascript:alert(4)'>"
    '" onfocus="alert(5)" autofocus {{ 7 * 7 }} {% raw %} &lt;b&gt; \x1b[31m\u202e ]]> --> 2 bar'
)


def record_of(name: str, words: str = "Grey twin") -> Record:
    """words: what the owner wrote in every free place of the record."""
    answers = {question: Answer(value) for question, value in ANSWERS[name].items()}  # type: ignore[arg-type]
    done = {task: Work("2026-11-20", by=words, note=words) for task in DONE.get(name, ())}
    machine = {"name": words, "owner": words, "frame": words}
    readings = READINGS if name == "half" else ()
    if words == HOSTILE:
        readings = (*readings, {"what": "compression_bar", "cylinder": HOSTILE, "value": 8.0})
    return Record(machine, answers, done, readings=readings)


@cache
def plan_of(name: str, words: str = "Grey twin") -> Plan:
    plan = make_plan(rules(), record_of(name, words), TODAY, "0.1")
    return replace(plan, schedule=make_schedule(rules(), plan.tasks, 1, 3, start="2026-11-28"))


@cache
def page_of(name: str, full: bool = False, units: str = "metric", words: str = "Grey twin") -> str:
    return plan_html(plan_of(name, words), rules(), reader_of(name), full, record_of(name, words), units)
