"""The statements of table.yaml played on made-up machines: what was stated must be seen in gates, stops and plans.

A case is a machine on which one statement must bite: one value of a finding, one part of the evidence missing, one part
of a need unmet. Machines are looked for once, in the rules as shipped; a changed rule base is then judged on them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from safety.notation import parse
from safety.table import table

from revive.engine.conditions import Ticks
from revive.engine.planner import make_plan
from revive.engine.study import study_case
from revive.engine.witness import Goal, Seeker, Witness
from revive.model import Answer, Condition, Record, RuleBase, Work

DAY, FOUND_ON, DONE_ON = "2026-11-25", "2026-11-20", "2026-11-21"
GOALS = {"claim": ("sell_as_is", "sell_running"), "roll": ("ride",), "road": ("ride",)}


@dataclass(frozen=True)
class Case:
    """A machine and what must be seen on it. of: the entry that it is about; rule: who must hold, or the need's text."""

    of: tuple[str, str]
    what: str
    gate: str
    rule: str
    need: str
    record: Record


def cases(base: RuleBase) -> list[Case]:
    """Every case for which a machine was found."""
    seeker, limits = Seeker(base, DAY), frozenset(base.limits)
    return [*_rule_cases(seeker, limits), *_stop_cases(seeker, limits), *_need_cases(seeker, limits)]


def amiss(base: RuleBase, case: Case) -> str:
    """What is not seen on the machine of a case although it was stated; empty where all is."""
    judge = study_case(base, case.record, DAY).judge
    holds = judge.finding(case.gate).holds if case.gate else ()
    if case.need:
        held = any(hold.kind == "need" and hold.text == case.need and hold.shut for hold in holds)
        return "" if held else f"gate {case.gate} does not ask for '{case.need}': {case.what}"
    if case.gate and not any(hold.rule == case.rule and hold.shut for hold in holds):
        return f"gate {case.gate} is not held by rule {case.rule}: {case.what}"
    return _plan_amiss(base, case) if case.of[0] == "rule" else ""


def _plan_amiss(base: RuleBase, case: Case) -> str:
    """The plan must show the rule as certain, with its severity, its work and its stop."""
    plan, stated = make_plan(base, case.record, DAY), table()["rules"][case.rule]
    if plan.rule_states[case.rule] != "certain":
        return f"rule {case.rule} is {plan.rule_states[case.rule]}: {case.what}"
    reasons = {task.id: reason for task in plan.tasks for reason in task.reasons if reason.rule == case.rule}
    if any(reason.severity != stated["severity"] for reason in reasons.values()):
        return f"rule {case.rule} is not {stated['severity']} in the plan"
    judge = study_case(base, case.record, DAY).judge
    for task in stated.get("adds", ()):
        if task not in reasons and judge.exists(task) is not False:
            return f"rule {case.rule} does not call for {task}"
    raised = [stop for stop in plan.stops if case.rule in stop.raised_by]
    if stated.get("stop") and case.gate and judge.finding(case.gate).state != "not_needed" and not raised:
        words_only = table()["stops"][stated["stop"]].get("words_only", False)
        return "" if words_only else f"stop {stated['stop']} is not raised by {case.rule}: {case.what}"
    return ""


def _rule_cases(seeker: Seeker, limits: frozenset[str]) -> Iterator[Case]:
    for name, stated in table()["rules"].items():
        when = parse(stated["when"], limits)
        words_only = table()["stops"].get(stated.get("stop", ""), {}).get("words_only", False)
        for gate in [*stated.get("holds", ()), *([""] if not stated.get("holds") else [])]:
            gate = "" if words_only else gate
            for what, also in _ways(when):
                found = _machine(seeker, gate, (when, True, False), *([(also, True, False)] if also else []))
                if found:
                    yield Case(("rule", name), what, gate, name, "", record(seeker.base, found))


def _stop_cases(seeker: Seeker, limits: frozenset[str]) -> Iterator[Case]:
    for stop, stated in table()["stops"].items():
        if stated.get("words_only"):
            continue
        for rule, lines in stated["clears"].items():
            held = table()["rules"][rule]
            when = parse(held["when"], limits)
            for gate in held["holds"]:
                evidence = parse(lines[gate] if isinstance(lines, dict) else lines, limits)
                for what, goals in _missing_one(evidence):
                    found = _machine(seeker, gate, (when, True, False), *goals)
                    if found:
                        yield Case(("stop", stop), f"{rule}, {what}", gate, rule, "", record(seeker.base, found))


def _need_cases(seeker: Seeker, limits: frozenset[str]) -> Iterator[Case]:
    for gate, stated in table()["gates"].items():
        texts = {(need.then, need.when): need.text for need in seeker.base.gates[gate].needs if not need.if_planned}
        for row in stated["needs"]:
            then, when = parse(row["then"], limits), parse(row["when"], limits) if "when" in row else None
            text = next((text for held, text in texts.items() if _alike(held, (then, when))), "")
            for what, goals in _missing_one(then):
                guard: list[Goal] = [(when, True, False)] if when else []
                found = _machine(seeker, gate, *guard, *goals) if text else None
                if found:
                    yield Case(("gate", gate), what, gate, "", text, record(seeker.base, found))


def _alike(held: tuple[Any, ...], stated: tuple[Any, ...]) -> bool:
    from safety.notation import plain

    return all(plain(one) == plain(other) for one, other in zip(held, stated, strict=True))


def _machine(seeker: Seeker, gate: str, *goals: Goal) -> Witness | None:
    """A machine that meets the goals, with a purpose that uses the gate."""
    for purpose in GOALS.get(gate, ("run_once", "ride")):
        wanted: Goal = (("is", "plan_goal", (purpose,)), True, False)
        found = seeker.find_on_any(wanted, *goals)
        if found:
            return found
    return None


def _ways(when: Condition) -> Iterator[tuple[str, Condition | None]]:
    """Each value and each alternative of a finding by itself."""
    leaves = [leaf for leaf in _leaves(when) if leaf[0] == "is" and len(leaf[2]) > 1]
    if not leaves:
        yield "it fires", None
    for leaf in leaves:
        for value in leaf[2]:
            yield f"{leaf[1]} = {value}", ("is", leaf[1], (value,))
    for part in when[1] if when[0] == "any" else ():
        yield "one alternative", part


def _leaves(condition: Condition) -> Iterator[Condition]:
    if condition[0] in ("all", "any"):
        for part in condition[1]:
            yield from _leaves(part)
    elif condition[0] != "not":
        yield condition


def _missing_one(evidence: Condition) -> Iterator[tuple[str, list[Goal]]]:
    """The evidence with one part missing and every other part there."""
    if evidence[0] != "all":
        yield "the evidence is missing", [(evidence, False, True)]
        return
    for place, part in enumerate(evidence[1]):
        others: list[Goal] = [(one, True, True) for at, one in enumerate(evidence[1]) if at != place]
        yield f"part {place + 1} of {len(evidence[1])} is missing", [(part, False, True), *others]


def record(base: RuleBase, found: Witness) -> Record:
    """The record of a machine that was found: answers first, work a day later."""
    answers = {
        name: Answer(tuple(sorted(value.has)) if isinstance(value, Ticks) else value, FOUND_ON)
        for name, value in found.answers.items()
        if not (isinstance(value, Ticks) and not value.has)
    }
    return Record(answers=answers, done={task: Work(DONE_ON) for task in sorted(found.done)})
