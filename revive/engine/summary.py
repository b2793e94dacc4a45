"""Say what a plan comes to: the verdict, the sources it rests on, the fallback figures it used. Pure."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from revive.engine.facts import Case, Reading
from revive.engine.gates import GateFinding
from revive.model import Condition, RuleBase, SourceRef
from revive.plan import PlanTask, Verdict

MEANS = {
    "touch": "hands may go on it",
    "turn": "the crank may be turned by hand",
    "crank": "it may be cranked with the plugs out",
    "fire": "it may be started",
    "roll": "it may move on private ground",
    "road": "it may go on the road",
    "claim": "the sale sheet may go out",
}


def verdict(base: RuleBase, findings: Mapping[str, GateFinding], needed: Sequence[str]) -> Verdict:
    """Where the machine stands, in one sentence."""
    open_to, next_gate = None, None
    for gate in needed:
        if findings[gate].state != "open":
            next_gate = gate
            break
        open_to = gate
    if open_to is None:
        sentence = "Nothing is open yet: do not turn, crank or start it."
    elif next_gate is None:
        sentence = f"Open as far as this plan goes: {MEANS[open_to]}."
    else:
        sentence = f"Open so far: {MEANS[open_to]}. Not yet: {base.gates[next_gate].title[0].lower()}{base.gates[next_gate].title[1:]}."
    return Verdict(open_to, next_gate, sentence)


def sources_used(base: RuleBase, tasks: Sequence[PlanTask]) -> tuple[Mapping[str, str], ...]:
    """Published sources behind the reasons and methods of a plan's tasks, each with the places that were used."""
    places: dict[str, dict[str, None]] = {}
    for task in tasks:
        refs: list[SourceRef] = list(base.tasks[task.id].sources)
        for reason in task.reasons:
            if reason.rule in base.rules:
                refs.extend(base.rules[reason.rule].sources)
        for ref in refs:
            if ref.id in base.sources:
                places.setdefault(ref.id, {})[ref.where] = None
    return tuple(
        {
            "id": source.id,
            "title": source.title,
            "issued_by": source.issued_by,
            "edition": source.edition,
            "as_read": source.as_read,
            "where": "; ".join(where for where in places[source.id] if where),
        }
        for source in base.sources.values()
        if source.id in places
    )


def limits_in(condition: Condition | None) -> Iterator[str]:
    """Names of the limits that a condition reads."""
    if condition is None:
        return
    if condition[0] in ("all", "any"):
        for part in condition[1]:
            yield from limits_in(part)
    elif condition[0] in ("not", "when"):
        for part in condition[1:]:
            yield from limits_in(part)
    elif condition[0] == "compare" and condition[3][0] == "limit":
        yield condition[3][1]


def fallbacks_used(
    case: Case, states: Mapping[str, str], needed: Sequence[str], assumed: Reading
) -> tuple[Mapping[str, Any], ...]:
    """Limits that this plan leans on, with the maker's figure where the record has one; the maker's manual governs."""
    base, used = case.compiled.base, dict[str, None]()
    for rule_id, state in states.items():
        if state in ("certain", "assumed"):
            used.update(dict.fromkeys(limits_in(base.rules[rule_id].when)))
    for gate in needed:
        for test in case.compiled.needs[gate]:
            if not test.guard or test.guard(assumed.sight) is not False:
                used.update(dict.fromkeys([*limits_in(test.need.when), *limits_in(test.need.then)]))
    rows = []
    for name, limit in base.limits.items():
        if name in used and (limit.value or name in case.record.maker):
            figure = case.record.maker.get(name)
            rows.append(
                {
                    "limit": name,
                    "text": limit.text,
                    "value": figure.value if figure else limit.value,
                    "unit": limit.unit,
                    "from_maker": figure is not None,
                    "where": figure.where if figure else ", ".join(ref.id for ref in limit.sources),
                }
            )
    return tuple(rows)
