"""The shipped rules with one thing changed for the worse, one mutant at a time. Pure; judges nothing.

Every mutant lets something pass that the rules do not: less is held, a rule keeps quiet longer, or less evidence opens.
Changes that only make the rules stricter, or that change nothing, are not made.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import Any

from revive.model import SEVERITIES, Condition, RuleBase

FLIPPED = {"at_least": "less_than", "less_than": "at_least", "more_than": "at_most", "at_most": "more_than"}
EDGE = {"at_least": "more_than", "more_than": "at_least", "at_most": "less_than", "less_than": "at_most"}


@dataclass(frozen=True, eq=False)
class Mutant:
    """kind: what sort of change. of: "rule", "stop", "gate", "fact", "limit" or "task", and its id. what: in words.

    part: of a stop the rule whose evidence is changed, of a gate the need, ("need", "gate: its text"); else as `of`.
    """

    kind: str
    of: tuple[str, str]
    what: str
    base: RuleBase
    part: tuple[str, str] = ("", "")


def mutants(base: RuleBase) -> Iterator[Mutant]:
    """Every mutant, in the order of the rule base."""
    yield from _rules(base)
    yield from _stops(base)
    yield from _gates(base)
    yield from _facts(base)


def _rules(base: RuleBase) -> Iterator[Mutant]:
    for rule in base.rules.values():

        def made(kind: str, what: str, _rule: Any = rule, **changed: Any) -> Mutant:
            rules = {**base.rules, _rule.id: replace(_rule, **changed)}
            return Mutant(kind, ("rule", _rule.id), f"rule {_rule.id}: {what}", replace(base, rules=rules))

        if not (rule.holds or rule.stop or rule.severity in ("must_do", "stop")):
            continue
        for gate in rule.holds:
            left = {name: tasks for name, tasks in rule.holds.items() if name != gate}
            yield made("held gate dropped", f"gate {gate} is no longer held", holds=left)
        if rule.stop:
            yield made("stop dropped", f"stop {rule.stop} is no longer raised", stop="", severity=_lower(rule.severity))
        if rule.severity in ("must_do", "stop"):
            yield made(
                "severity lowered", f"{rule.severity} becomes {_lower(rule.severity)}", severity=_lower(rule.severity)
            )
        for task in rule.adds:
            holds = {gate: tuple(t for t in tasks if t != task) for gate, tasks in rule.holds.items()}
            only = any(tasks == (task,) for tasks in rule.holds.values()) and not rule.stop
            if not only:  # a hold that no work releases is stricter
                adds = tuple(name for name in rule.adds if name != task)
                yield made("task dropped", f"{task} is no longer added", adds=adds, holds=holds)
        for what, when in _comparisons(rule.when):
            yield made("comparison flipped", what, when=when)
        for what, when in _narrower(rule.when):
            yield made("fires less", what, when=when)


def _stops(base: RuleBase) -> Iterator[Mutant]:
    for stop in base.stops.values():

        def made(kind: str, what: str, _stop: Any = stop, _rule: str = "", **changed: Any) -> Mutant:
            stops = {**base.stops, _stop.id: replace(_stop, **changed)}
            words = f"stop {_stop.id}: {what}"
            return Mutant(
                kind, ("stop", _stop.id), words, replace(base, stops=stops), ("rule", _rule) if _rule else ("", "")
            )

        if not stop.shuts_words_only:
            yield made("words only", "it shuts words only", shuts_words_only=True)
        for rule, lines in stop.clears.items():
            for gate, condition in lines.items():
                for what, weaker in [*_wider(condition), *_comparisons(condition)]:
                    kind = "comparison flipped" if what.startswith("compares") else "clearing evidence weakened"
                    clears = {**stop.clears, rule: {**lines, gate: weaker}}
                    yield made(kind, f"for {rule} {gate}: {what}".replace(" :", ":"), _rule=rule, clears=clears)


def _gates(base: RuleBase) -> Iterator[Mutant]:
    for gate in base.gates.values():

        def made(kind: str, what: str, _gate: Any = gate, _need: str = "", **changed: Any) -> Mutant:
            gates = {**base.gates, _gate.id: replace(_gate, **changed)}
            part = ("need", f"{_gate.id}: {_need}") if _need else ("", "")
            return Mutant(kind, ("gate", _gate.id), f"gate {_gate.id}: {what}", replace(base, gates=gates), part)

        for place, (other, _) in enumerate(gate.after):
            left = gate.after[:place] + gate.after[place + 1 :]
            yield made("gate before it dropped", f"it no longer comes after {other}", after=left)
        for place, need in enumerate(gate.needs):

            def with_need(*new: Any, _gate: Any = gate, _place: int = place) -> tuple[Any, ...]:
                return (*_gate.needs[:_place], *new, *_gate.needs[_place + 1 :])

            for task in need.if_planned:
                left_tasks = tuple(name for name in need.if_planned if name != task)
                changed = replace(need, if_planned=left_tasks)
                yield made("need dropped", f"{task} may be planned and undone", needs=with_need(changed))
            if need.then is None:
                continue
            yield made("need dropped", f"'{need.text}' is not asked", _need=need.text, needs=with_need())
            for what, weaker in [*_wider(need.then), *_comparisons(need.then)]:
                kind = "comparison flipped" if what.startswith("compares") else "need weakened"
                needs = with_need(replace(need, then=weaker))
                yield made(kind, f"'{need.text}': {what}", _need=need.text, needs=needs)
            for what, narrow in _narrower(need.when) if need.when else ():
                needs = with_need(replace(need, when=narrow))
                yield made("need asked less", f"'{need.text}': {what}", _need=need.text, needs=needs)


def _facts(base: RuleBase) -> Iterator[Mutant]:
    """Yes-or-no facts that gates rest on, moved limits, and work that no longer waits for what makes it safe."""
    for fact in base.facts.values():
        if fact.kind == "yes_when":
            for what, changed in [*_wider(fact.of), *_narrower(fact.of), *_comparisons(fact.of)]:
                facts = {**base.facts, fact.id: replace(fact, of=changed)}
                yield Mutant("fact changed", ("fact", fact.id), f"fact {fact.id}: {what}", replace(base, facts=facts))
    compared = limits_compared(base)
    for limit in (limit for limit in base.limits.values() if limit.id in compared):
        for times in (0.5, 2):
            limits = {**base.limits, limit.id: replace(limit, value=limit.value * times if limit.value else times - 1)}
            yield Mutant(
                "limit moved", ("limit", limit.id), f"limit {limit.id}: x {times}", replace(base, limits=limits)
            )
    for task in base.tasks.values():
        if "asbestos_control" in task.after:
            after = tuple(name for name in task.after if name != "asbestos_control")
            tasks = {**base.tasks, task.id: replace(task, after=after)}
            what = f"task {task.id}: no longer waits for asbestos_control"
            yield Mutant("order dropped", ("task", task.id), what, replace(base, tasks=tasks))


def limits_compared(base: RuleBase) -> set[str]:
    """Limits with which a safety rule, a need, the evidence of a stop or a yes-or-no fact compares."""
    rules = [rule for rule in base.rules.values() if rule.holds or rule.stop or rule.severity in ("must_do", "stop")]
    conditions: list[Condition | None] = [rule.when for rule in rules]
    for gate in base.gates.values():
        conditions += [part for need in gate.needs for part in (need.when, need.then)]
    conditions += [one for stop in base.stops.values() for lines in stop.clears.values() for one in lines.values()]
    conditions += [fact.of for fact in base.facts.values() if fact.kind == "yes_when"]
    found: set[str] = set()
    while conditions:
        one = conditions.pop()
        if one is None:
            continue
        if one[0] == "compare" and one[3][0] == "limit":
            found.add(one[3][1])
        conditions += one[1] if one[0] in ("all", "any") else [one[1]] if one[0] == "not" else []
    return found


def _lower(severity: str) -> str:
    return SEVERITIES[max(0, SEVERITIES.index(severity) - 1)]


Change = tuple[str, Condition]


def _inside(
    condition: Condition, change: Callable[[Condition, bool], Iterator[Change]], plus: bool = True
) -> Iterator[Change]:
    """The condition with one part changed, for every part; plus tells whether the part counts for the whole or against."""
    yield from change(condition, plus)
    kind = condition[0]
    if kind in ("all", "any"):
        for place, part in enumerate(condition[1]):
            for what, new in _inside(part, change, plus):
                yield what, (kind, (*condition[1][:place], new, *condition[1][place + 1 :]))
    elif kind == "not":
        for what, new in _inside(condition[1], change, not plus):
            yield what, ("not", new)


def _comparisons(condition: Condition) -> Iterator[Change]:
    """Each comparison turned round, and each edge moved to the other side."""

    def change(part: Condition, plus: bool) -> Iterator[Change]:
        if part[0] == "compare":
            for turned, word in ((FLIPPED, "turned round"), (EDGE, "edge moved")):
                yield f"compares {part[1]} {word}", (*part[:2], turned[part[2]], *part[3:])

    return _inside(condition, change)


def _narrower(condition: Condition) -> Iterator[Change]:
    """The condition true in fewer cases: an alternative or a value left out."""

    def change(part: Condition, plus: bool) -> Iterator[Change]:
        yield from _part_left_out(part, "any" if plus else "all")
        if plus:
            yield from _value_left_out(part)

    return _inside(condition, change)


def _wider(condition: Condition) -> Iterator[Change]:
    """The condition true in more cases: a part that had to hold left out, or "all" read as "any"."""

    def change(part: Condition, plus: bool) -> Iterator[Change]:
        yield from _part_left_out(part, "all" if plus else "any")
        if not plus:
            yield from _value_left_out(part)
        if part[0] == "all" and plus:
            yield "all becomes any", ("any", part[1])

    yield from _inside(condition, change)
    if condition[0] not in ("all", "any", "always"):
        yield "nothing is asked", ("always",)


def _part_left_out(part: Condition, kind: str) -> Iterator[Change]:
    if part[0] == kind:
        for place, one in enumerate(part[1]):
            left = part[1][:place] + part[1][place + 1 :]
            yield f"{_name(one)} left out", left[0] if len(left) == 1 else (kind, left)


def _value_left_out(part: Condition) -> Iterator[Change]:
    if part[0] == "is" and len(part[2]) > 1:
        for value in part[2]:
            yield f"{part[1]} = {value} left out", ("is", part[1], tuple(v for v in part[2] if v != value))


def _name(part: Condition) -> str:
    return f"done {part[1]}" if part[0] == "done" else str(part[1]) if part[0] in ("is", "has", "compare") else part[0]
