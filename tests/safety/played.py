"""The statements of table.yaml played on made-up machines: what was stated must be seen in gates, stops and plans.

A case is a machine on which one statement must bite: one value of a finding, one part of the evidence missing, one part
of a need unmet. Machines are looked for once, in the rules as shipped; a changed rule base is then judged on them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from revive.engine.conditions import Ticks
from revive.engine.planner import make_plan
from revive.engine.study import study_case
from revive.engine.witness import Goal, Seeker, Witness
from revive.model import Answer, Condition, Record, RuleBase, Work
from safety.notation import parse, plain
from safety.table import table

DAY, FOUND_ON, DONE_ON = "2026-11-25", "2026-11-20", "2026-11-21"
GOALS = {"claim": ("sell_as_is", "sell_running")}


@dataclass(frozen=True)
class Case:
    """A machine and what must be seen on it. of: the entry that it is about; rule: who must hold, or the need's text."""

    of: tuple[str, str]
    what: str
    gate: str
    rule: str
    need: str
    record: Record


def cases(base: RuleBase, share: int = 1) -> list[Case]:
    """Every case for which a machine was found; of one statement in `share` only."""
    search = _Search(Seeker(base, DAY), frozenset(base.limits), share)
    return [*search.rule_cases(), *search.stop_cases(), *search.need_cases()]


def amiss(base: RuleBase, case: Case) -> str:
    """What is not seen on the machine of a case although it was stated; empty where all is."""
    judge = study_case(base, case.record, DAY).judge
    holds = judge.finding(case.gate).holds if case.gate else ()
    if case.need:
        held = any(hold.kind == "need" and hold.text == case.need for hold in holds)
        return "" if held else f"gate {case.gate} does not ask for '{case.need}': {case.what}"
    shut = case.of[0] == "rule"  # with work newer than a finding the gate is unproven, which does not open it either
    if case.gate and not any(hold.rule == case.rule and (hold.shut or not shut) for hold in holds):
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
        if task not in reasons and judge.exists(task) is True:
            return f"rule {case.rule} does not call for {task}"
    raised = [stop for stop in plan.stops if case.rule in stop.raised_by]
    if stated.get("stop") and case.gate and judge.finding(case.gate).state != "not_needed" and not raised:
        words_only = table()["stops"][stated["stop"]].get("words_only", False)
        return "" if words_only else f"stop {stated['stop']} is not raised by {case.rule}: {case.what}"
    return ""


class _Search:
    """Looks for the machines of the statements."""

    def __init__(self, seeker: Seeker, limits: frozenset[str], share: int) -> None:
        self.seeker, self.limits, self.share = seeker, limits, share
        self.count = 0

    def wanted(self) -> bool:
        """Whether the next statement is one of the share."""
        self.count += 1
        return self.count % self.share == 0

    def case(self, of: tuple[str, str], what: str, gate: str, rule: str, need: str, *goals: Goal) -> Iterator[Case]:
        """The case, if there is a machine for it that its answers alone can make."""
        found = _machine(self.seeker, gate, *goals)
        if found is None or found.plan:
            return
        made = record(found)
        if not gate or gate in study_case(self.seeker.base, made, DAY).judge.needed:
            yield Case(of, what, gate, rule, need, made)

    def rule_cases(self) -> Iterator[Case]:
        for name, stated in table()["rules"].items():
            if not self.wanted():
                continue
            when = parse(stated["when"], self.limits)
            words_only = table()["stops"].get(stated.get("stop", ""), {}).get("words_only", False)
            for gate in dict.fromkeys("" if words_only else gate for gate in stated.get("holds", ("",))):
                for what, also in _ways(when):
                    goals: list[Goal] = [(when, True, False), *([(also, True, False)] if also else [])]
                    yield from self.case(("rule", name), what, gate, name, "", *goals)

    def stop_cases(self) -> Iterator[Case]:
        for stop, stated in table()["stops"].items():
            for rule, lines in stated["clears"].items() if not stated.get("words_only") else ():
                if not self.wanted():
                    continue
                held = table()["rules"][rule]
                when = parse(held["when"], self.limits)
                for gate in held["holds"]:
                    evidence = parse(lines[gate] if isinstance(lines, dict) else lines, self.limits)
                    for what, goals in _missing_one(evidence):
                        goals = [(when, True, False), *goals]
                        yield from self.case(("stop", stop), f"{rule}, {what}", gate, rule, "", *goals)

    def need_cases(self) -> Iterator[Case]:
        for gate, stated in table()["gates"].items():
            needs = {(n.then, n.when): n.text for n in self.seeker.base.gates[gate].needs if not n.if_planned}
            for row in stated["needs"]:
                if not self.wanted():
                    continue
                then = parse(row["then"], self.limits)
                when = parse(row["when"], self.limits) if "when" in row else None
                text = next((text for held, text in needs.items() if _alike(held, (then, when))), "")
                for what, goals in _missing_one(then) if text else ():
                    goals = [*([(when, True, False)] if when else []), *goals]
                    yield from self.case(("gate", gate), what, gate, "", text, *goals)


def _alike(held: tuple[Any, ...], stated: tuple[Any, ...]) -> bool:
    return all(plain(one) == plain(other) for one, other in zip(held, stated, strict=True))


def _machine(seeker: Seeker, gate: str, *goals: Goal) -> Witness | None:
    """A machine that meets the goals, with a purpose that uses the gate."""
    for purpose in GOALS.get(gate, ("ride", "sell_as_is", "run_once")):
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


def record(found: Witness) -> Record:
    """The record of a machine that was found: answers first, work a day later."""
    answers = {
        name: Answer(tuple(sorted(value.has)) if isinstance(value, Ticks) else value, FOUND_ON)
        for name, value in found.answers.items()
        if not (isinstance(value, Ticks) and not value.has)
    }
    return Record(answers=answers, done={task: Work(DONE_ON) for task in sorted(found.done)})
