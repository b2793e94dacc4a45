"""table.yaml against a rule base: every line where the two differ, in words. Reads the table once; changes nothing."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from revive.model import Condition, Fact, Gate, Rule, RuleBase, Stop
from safety.notation import parse, plain, show

PLACE = Path(__file__).with_name("table.yaml")


@cache
def table() -> dict[str, Any]:
    """The table as plain values."""
    loaded: dict[str, Any] = yaml.safe_load(PLACE.read_text("utf-8"))
    return loaded


def is_safety(rule: Rule) -> bool:
    """Whether a rule must stand in the table: it holds a gate, raises a stop, or its work must be done."""
    return bool(rule.holds or rule.stop or rule.severity in ("must_do", "stop"))


class Table:
    """The table read with the limit names of one rule base, so that every mutant of that base can be compared quickly."""

    def __init__(self, base: RuleBase) -> None:
        self.limits = frozenset(base.limits)
        self._read: dict[str, Condition | None] = {}
        self._fine: set[int] = set()
        self._kept: list[object] = []  # so that no id is used twice

    def differences(self, base: RuleBase) -> list[str]:
        """Every difference; an entry found as stated is not compared again in the next base that holds the same one."""
        found: list[str] = []
        for kind, held, check in (
            ("rule", base.rules, self._rule),
            ("stop", base.stops, self._stop),
            ("gate", base.gates, self._gate),
            ("fact", base.facts, self._fact),
            ("limit", base.limits, self._limit),
        ):
            stated = table()[f"{kind}s"]
            found += [f"{kind} {name} is gone" for name in stated if name not in held]
            for name in stated:
                if name in held and id(held[name]) not in self._fine:
                    told = [f"{kind} {name}: {words}" for words in check(held[name], stated[name])]
                    found += told
                    if not told:
                        self._fine.add(id(held[name]))
                        self._kept.append(held[name])
        for first, later in table()["waits_for"].items():
            found += [
                f"task {name} no longer waits for {first}" for name in later if first not in base.tasks[name].after
            ]
        return found

    def unstated(self, base: RuleBase) -> list[str]:
        """What a rule base holds that the table has no line for."""
        rules = [rule.id for rule in base.rules.values() if is_safety(rule) and rule.id not in table()["rules"]]
        return rules + [stop for stop in base.stops if stop not in table()["stops"]]

    def _same(self, text: str | None, held: Condition | None) -> bool:
        key = text or ""
        if key not in self._read:
            self._read[key] = plain(parse(text, self.limits)) if text else None
        return self._read[key] == plain(held)

    def _rule(self, rule: Rule, stated: dict[str, Any]) -> Iterator[str]:
        if not self._same(stated["when"], rule.when):
            yield f"it fires on {show(rule.when)}; {stated['when']} was stated"
        if rule.severity != stated["severity"]:
            yield f"its severity is {rule.severity}; {stated['severity']} was stated"
        adds = stated.get("adds", [])
        holds = stated.get("holds", [])
        wanted = {gate: (holds[gate] if isinstance(holds, dict) else adds) for gate in holds}
        if {gate: set(tasks) for gate, tasks in rule.holds.items()} != {gate: set(t) for gate, t in wanted.items()}:
            yield f"it holds {dict(rule.holds)}; {wanted} was stated"
        if lost := [task for task in adds if task not in rule.adds]:
            yield f"it no longer adds {lost}"
        if rule.stop != stated.get("stop", ""):
            yield f"it raises {rule.stop or 'no stop'}; {stated.get('stop', 'no stop')} was stated"

    def _stop(self, stop: Stop, stated: dict[str, Any]) -> Iterator[str]:
        if stop.shuts_words_only != stated.get("words_only", False):
            yield "it shuts words only, or no longer does"
        for rule in [*stated["clears"], *(rule for rule in stop.clears if rule not in stated["clears"])]:
            lines = stated["clears"].get(rule, {})
            wanted = lines if isinstance(lines, dict) else {"": lines}
            held = stop.clears.get(rule, {})
            if set(held) != set(wanted) or not all(self._same(wanted[gate], held[gate]) for gate in wanted):
                said = {gate: show(condition) for gate, condition in held.items()}
                yield f"rule {rule} is cleared by {said or 'nothing'}; {wanted or 'nothing'} was stated"

    def _gate(self, gate: Gate, stated: dict[str, Any]) -> Iterator[str]:
        after = stated["after"] if isinstance(stated["after"], dict) else dict.fromkeys(stated["after"], "always")
        held = {name: when or ("always",) for name, when in gate.after}
        if set(held) != set(after) or not all(self._same(after[name], held[name]) for name in after):
            yield f"it comes after {list(held)}; {list(after)} was stated"
        if gate.first_task != stated["first_task"]:
            yield f"the first work behind it is {gate.first_task or 'none'}"
        if not self._same(stated.get("not_needed"), gate.not_needed):
            yield f"it is left out where {show(gate.not_needed)}"
        needs = [need for need in gate.needs if not need.if_planned]
        for wanted in stated["needs"]:
            if not any(self._same(wanted.get("when"), n.when) and self._same(wanted["then"], n.then) for n in needs):
                guard = f"if {wanted['when']}: " if "when" in wanted else ""
                yield f"it no longer needs {guard}{wanted['then']}"
        planned = {task for need in gate.needs for task in need.if_planned}
        if lost := [task for task in stated.get("if_planned", []) if task not in planned]:
            yield f"it no longer waits for planned {lost}"

    def _fact(self, fact: Fact, stated: str) -> Iterator[str]:
        if fact.kind == "yes_when":
            same = self._same(stated, fact.of)
        elif fact.kind == "band":
            bands = ", ".join(f"to {number:g} {word}" for number, word in fact.of["up_to"])
            same = stated == f"{fact.of['of']} {bands}, then {fact.of['above']}"
        elif fact.kind == "largest":
            same = stated == f"the largest of {' and '.join(fact.of)}"
        else:
            same = fact.kind == "by_layout" and stated == f"of the layout, {fact.of}"
        if not same:
            yield f"it is worked out another way; {stated} was stated"

    def _limit(self, limit: Any, stated: str) -> Iterator[str]:
        if f"{limit.value:g} {limit.unit}" != stated:
            yield f"it is {limit.value:g} {limit.unit}; {stated} was stated"
