"""What a folder laid over the shipped rules would make less safe, in words. Decides nothing; replaces nothing.

A weaker entry is one that speaks up less often, holds less, asks for less evidence or leaves a caution out. Whether a
changed condition is weaker cannot be told in general, so any change of one is named.
"""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from revive.loading.gathered import Gathered
from revive.model import (
    GATES,
    SEVERITIES,
    WHO,
    Claim,
    Condition,
    Fact,
    Gate,
    Layout,
    Limit,
    Need,
    Question,
    Rule,
    Stop,
    Task,
)

_STANDBY = {"prime_burst_s": "more", "prime_budget_s": "more", "kicks_per_burst": "more", "prime_rest_s": "less"}
"""Limits by which the program itself stands by at priming, and the way in which each is the weaker."""


def weaker(gathered: Gathered, kind: str, old: Any, new: Any) -> list[str]:
    """Everything that `new` in the place of `old` would make less safe, one phrase each; empty where nothing is."""
    if kind == "limit":
        return list(_limit(gathered, old, new))
    judge = _JUDGES.get(kind)
    return list(judge(old, new)) if judge else []


def _rule(old: Rule, new: Rule) -> Iterator[str]:
    if new.when != old.when:
        yield "it fires on other answers"
    if SEVERITIES.index(new.severity) < SEVERITIES.index(old.severity):
        yield f"its severity falls from {old.severity} to {new.severity}"
    for gate, tasks in old.holds.items():
        if gate not in new.holds:
            yield f"it no longer holds gate {gate}"
        elif lost := _lost(tasks, new.holds[gate]):
            yield f"gate {gate} no longer waits for {lost}"
    if old.stop and new.stop != old.stop:
        yield f"it no longer raises stop {old.stop}"
    if lost := _lost(old.adds, new.adds):
        yield f"it no longer adds {lost}"


def _stop(old: Stop, new: Stop) -> Iterator[str]:
    for rule, by_gate in old.clears.items():
        if new.clears.get(rule) != by_gate:
            yield f"other evidence clears it for rule {rule}"
    if new.shuts_words_only and not old.shuts_words_only:
        yield "it shuts words only"
    if new.text != old.text:
        yield "page one says something else"


def _gate(old: Gate, new: Gate) -> Iterator[str]:
    for need in old.needs:
        if not any(_same_need(need, other) for other in new.needs):
            name = need.text or f"planned work: {', '.join(need.if_planned)}"
            yield f"the need '{name}' is dropped or changed"
    for gate, when in old.after:
        if (gate, when) not in new.after:
            yield f"it no longer waits for gate {gate}"
    if new.not_needed != old.not_needed:
        yield "other plans do without it"
    if new.first_task != old.first_task:
        yield "other work lies behind it"
    yield from _cautions(old.cautions, new.cautions)


def _same_need(one: Need, other: Need) -> bool:
    return (one.then, one.when) == (other.then, other.when) and set(one.if_planned) <= set(other.if_planned)


def _task(old: Task, new: Task) -> Iterator[str]:
    if GATES.index(new.gate) > GATES.index(old.gate):
        yield f"it is due before gate {new.gate} in place of {old.gate}"
    if WHO.index(new.who) < WHO.index(old.who):
        yield f"it asks for {new.who} in place of {old.who}"
    if new.only_if != old.only_if:
        yield "it is left out on other machines"
    if lost := _lost(old.after, new.after):
        yield f"it no longer comes after {lost}"
    if lost := _lost(old.asks_again, new.asks_again):
        yield f"it no longer asks again for {lost}"
    if paid := _lost(new.finds, old.finds):
        yield f"it pays for what it finds itself: {paid}"
    if paid := _lost(new.reads, old.reads):
        yield f"it stands whatever is read off it: {paid}"
    yield from _cautions(old.cautions, new.cautions)
    for text in old.cautions:
        if text in new.cautions and new.guards.get(text) != old.guards.get(text):
            yield f"the caution '{text}' is given on other machines only"


def _question(old: Question, new: Question) -> Iterator[str]:
    if new.worst != old.worst:
        yield "its worst answer is another one"
    if lost := _lost(old.blind, new.blind):
        yield f"{lost} no longer means that nobody looked"
    if lasts := _lost(new.lasting, old.lasting):
        yield f"{lasts} need not be looked at again after a run"
    if new.skip_when != old.skip_when:
        yield "it is skipped on other answers"
    if (new.opens_after, new.yielded_by) != (old.opens_after, old.yielded_by):
        yield "it is asked at another time"
    if old.caution and new.caution != old.caution:
        yield "its caution is another one"


def _fact(old: Fact, new: Fact) -> Iterator[str]:
    if (new.kind, new.of) != (old.kind, old.of):
        yield "it is worked out another way"


def _layout(old: Layout, new: Layout) -> Iterator[str]:
    keys = ("points", "settles", "presumes", "facts", "oil_path", "priming", "traps")
    if any(getattr(new, key) != getattr(old, key) for key in keys):
        yield "the engine is described another way"


def _claim(old: Claim, new: Claim) -> Iterator[str]:
    if (new.evidence, new.forbidden) != (old.evidence, old.forbidden):
        yield "it may be said on other evidence"


def _printed(old: Any, new: Any) -> Iterator[str]:
    """Contradictions, oddities and disclosures: what is no longer printed when it was."""
    before, after = ((one["when"] if isinstance(one, dict) else one.when) for one in (old, new))
    if before != after:
        yield "it is printed on other answers"


def _cautions(old: Iterable[str], new: Iterable[str]) -> Iterator[str]:
    for text in old:
        if text not in new:
            yield f"the caution '{text}' is dropped"


def _lost(old: Iterable[str], new: Iterable[str]) -> str:
    kept = set(new)
    return " and ".join(name for name in old if name not in kept)


_JUDGES: dict[str, Callable[[Any, Any], Iterator[str]]] = {
    "rule": _rule,
    "stop": _stop,
    "gate": _gate,
    "task": _task,
    "question": _question,
    "fact": _fact,
    "layout": _layout,
    "claim": _claim,
    "contradiction": _printed,
    "oddity": _printed,
    "disclosure": _printed,
}


def _limit(gathered: Gathered, old: Limit, new: Limit) -> Iterator[str]:
    """Where a moved limit lets a rule keep quiet longer or lets evidence pass more easily."""
    if new.value == old.value:
        return
    raised = new.value > old.value

    def moves(condition: Condition | None) -> set[str]:
        return set() if condition is None else _moves(condition, old.id, raised)

    if _STANDBY.get(old.id) == ("more" if raised else "less"):
        yield "priming is watched less strictly"
    for rule in gathered.table("rule").values():
        if "less" in moves(rule.when):
            yield f"rule {rule.id} fires less often"
    for gate in gathered.table("gate").values():
        for need in gate.needs:
            if "more" in moves(need.then) or "less" in moves(need.when):
                yield f"gate {gate.id} opens more easily ({need.text})"
        if "more" in moves(gate.not_needed):
            yield f"gate {gate.id} is left out more often"
    for stop in gathered.table("stop").values():
        for rule_id, by_gate in stop.clears.items():
            if any("more" in moves(condition) for condition in by_gate.values()):
                yield f"stop {stop.id} is cleared more easily for rule {rule_id}"
    for question in gathered.table("question").values():
        if "more" in moves(question.skip_when):
            yield f"question {question.id} is skipped more often"
    for task in gathered.table("task").values():
        if "less" in moves(task.only_if):
            yield f"task {task.id} is left out more often"
    for fact in gathered.table("fact").values():
        parts = [fact.of] if fact.kind == "yes_when" else [p["when"] for p in fact.of] if fact.kind == "points" else []
        if any(moves(part) for part in parts):
            yield f"the fact {fact.id} is worked out another way"
    for claim in gathered.table("claim").values():
        if "more" in moves(claim.evidence) or "less" in moves(claim.forbidden):
            yield f"the claim {claim.id} may be said more easily"


def _moves(condition: Condition, limit: str, raised: bool) -> set[str]:
    """Whether a condition then holds "more" often, "less" often, or both in different parts of it."""
    kind = condition[0]
    if kind == "compare":
        if condition[3] != ("limit", limit):
            return set()
        return {"more" if raised is (condition[2] in ("at_most", "less_than")) else "less"}
    if kind in ("all", "any"):
        return set().union(*(_moves(part, limit, raised) for part in condition[1]))
    if kind in ("not", "when"):
        turned = {"less" if way == "more" else "more" for way in _moves(condition[1], limit, raised)}
        return turned | (_moves(condition[2], limit, raised) if kind == "when" else set())
    return set()
