"""What must be seen on a made-up machine, by the page, and whether a rule base shows it.

A case is a machine with what must be seen on it: a rule certain or silent, a gate held or let go by a rule or a need,
a stop raised, work called for with its severity, work that waits. A rule base is asked only through the engine.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.facts import open_case
from revive.engine.gates import Judge
from revive.engine.planner import make_plan
from revive.engine.study import Study, study_case
from revive.model import Record, RuleBase
from revive.plan import Hold, Plan

DAY = "2026-11-25"
Seen = tuple[Any, ...]
"""What must be seen; the first word says what sort, see CHECKS."""


@dataclass(frozen=True, eq=False)
class Case:
    """about: the entries that the case speaks of, as (kind, name). what: in words. seen: what must be seen, light first."""

    about: frozenset[tuple[str, str]]
    what: str
    record: Record
    seen: tuple[Seen, ...] = field(default=())

    @property
    def lets_go(self) -> bool:
        """Whether first of all something must not be seen: a silent rule, a gate that is let go."""
        return self.seen[0][0] in ("silent", "free", "met")


class Shown:
    """What one rule base makes of one machine; worked out when it is asked for."""

    def __init__(self, base: RuleBase, record: Record) -> None:
        self.base, self.record = base, record

    @cached_property
    def study(self) -> Study:
        return study_case(self.base, self.record, DAY)

    @cached_property
    def judge(self) -> Judge:
        return Judge(open_case(compile_base(self.base), self.record, DAY))

    @cached_property
    def plan(self) -> Plan:
        return make_plan(self.base, self.record, DAY)

    def holds(self, gate: str, rule: str = "") -> list[Hold]:
        """What holds a gate, all of it or what one rule holds."""
        return [hold for hold in self.judge.finding(gate).holds if not rule or hold.rule == rule]


def amiss(base: RuleBase, case: Case) -> str:
    """The first thing that must be seen and is not; empty where all is."""
    shown = Shown(base, case.record)
    for kind, *values in case.seen:
        if words := CHECKS[kind](shown, *values):
            return f"{words}: {case.what}"
    return ""


def _certain(shown: Shown, rule: str) -> str:
    state = shown.study.states[rule]
    return "" if state == "certain" else f"rule {rule} is {state}"


def _silent(shown: Shown, rule: str) -> str:
    state = shown.study.states[rule]
    return "" if state == "quiet" else f"rule {rule} is {state}, not quiet"


def _held(shown: Shown, gate: str, rule: str, stop: str, shut: bool) -> str:
    holds = [hold for hold in shown.holds(gate, rule) if hold.shut or not shut]
    if not holds:
        return f"gate {gate} is not held by rule {rule}"
    if stop and not any(hold.kind == "stop" and hold.id == stop for hold in holds):
        return f"gate {gate} is held by rule {rule} but not by stop {stop}"
    return ""


def _waits(shown: Shown, gate: str, rule: str, names: tuple[str, ...]) -> str:
    told = {name for hold in shown.holds(gate, rule) for name in hold.waits_for}
    lost = [name for name in names if name not in told]
    return f"gate {gate}, held by rule {rule}, does not say that it waits for {', '.join(lost)}" if lost else ""


def _need_waits(shown: Shown, gate: str, text: str, names: tuple[str, ...]) -> str:
    holds = [hold for hold in shown.holds(gate) if hold.kind == "need" and hold.text == text]
    lost = [name for name in names if all(name not in hold.waits_for for hold in holds)]
    return f"gate {gate} does not say that '{text}' waits for {', '.join(lost)}" if lost else ""


def _possible(shown: Shown, task: str, question: str) -> str:
    hanging = [one for one in shown.plan.possible if one.task == task and question in one.hangs_on]
    hanging = hanging or [one for one in shown.plan.tasks if one.id == task]
    return "" if hanging else f"{task} is neither in the plan nor told to hang on {question}"


def _free(shown: Shown, gate: str, rule: str) -> str:
    return f"gate {gate} is held by rule {rule}" if shown.holds(gate, rule) else ""


def _asks(shown: Shown, gate: str, text: str) -> str:
    asked = any(hold.kind == "need" and hold.text == text for hold in shown.holds(gate))
    return "" if asked else f"gate {gate} does not ask for '{text}'"


def _met(shown: Shown, gate: str, text: str) -> str:
    asked = any(hold.kind == "need" and hold.text == text for hold in shown.holds(gate))
    return f"gate {gate} still asks for '{text}'" if asked else ""


def _waits_for_planned(shown: Shown, gate: str, task: str) -> str:
    holds = [hold for hold in shown.holds(gate) if hold.kind == "need" and hold.id.endswith(f"-{task}") and hold.shut]
    return "" if holds else f"gate {gate} does not wait for planned {task}"


def _after(shown: Shown, gate: str, other: str) -> str:
    holds = [hold for hold in shown.holds(gate) if hold.kind == "gate" and hold.id == other]
    return "" if holds else f"gate {gate} does not come after {other}"


def _calls(shown: Shown, rule: str, task: str, severity: str) -> str:
    reasons = [reason for one in shown.plan.tasks if one.id == task for reason in one.reasons if reason.rule == rule]
    if not reasons:
        return f"rule {rule} does not call for {task}"
    wrong = [reason.severity for reason in reasons if reason.severity != severity]
    return f"rule {rule} calls for {task} as {wrong[0]}, not {severity}" if wrong else ""


def _raised(shown: Shown, stop: str, rule: str, gates: tuple[str, ...]) -> str:
    raised = [one for one in shown.plan.stops if one.id == stop and rule in one.raised_by and one.state == "standing"]
    if not raised:
        return f"stop {stop} is not raised by {rule}"
    lost = [gate for gate in gates if gate not in raised[0].shuts]
    return f"stop {stop} does not shut {', '.join(lost)}" if lost else ""


def _first(shown: Shown, first: str, later: str) -> str:
    tasks = {task.id: task for task in shown.plan.tasks}
    if first not in tasks or later not in tasks:
        return f"{first} and {later} are not both in the plan"
    before, after = tasks[first], tasks[later]
    if first not in after.after or before.order > after.order:
        return f"{later} does not wait for {first}"
    return f"{later} is allowed before {first}" if after.allowed_now and before.state != "done" else ""


CHECKS: dict[str, Callable[..., str]] = {
    "certain": _certain,
    "silent": _silent,
    "held": _held,
    "free": _free,
    "waits": _waits,
    "need waits": _need_waits,
    "possible": _possible,
    "asks": _asks,
    "met": _met,
    "planned": _waits_for_planned,
    "after": _after,
    "calls": _calls,
    "raised": _raised,
    "first": _first,
}
