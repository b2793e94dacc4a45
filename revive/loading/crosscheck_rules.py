"""How rules, stops and gates hang together: what shuts can open again, and limits come with examples."""

from revive.loading.conditions import names_read, parts_of
from revive.loading.gathered import Gathered, at_entry
from revive.model import Fact, Rule, Stop
from revive.problems import listed

_NOT_GIVEN = ("from_plan", "days_since")


def check(gathered: Gathered) -> None:
    """Add every problem of rules and stops to `gathered`."""
    raised = {rule.stop for rule in gathered.table("rule").values()}
    for stop in gathered.table("stop").values():
        _stop(gathered, stop, stop.id in raised)
    alike: dict[object, Rule] = {}
    for rule in gathered.table("rule").values():
        _rule_stop(gathered, rule)
        _release(gathered, rule)
        _examples(gathered, rule)
        key = (rule.subject, rule.when, tuple(sorted(rule.adds)))
        other = alike.setdefault(key, rule)
        if other is not rule and rule.when != ("any", ()):
            what = f"rule {rule.id} has the condition and the tasks of rule {other.id} ({other.place})"
            at_entry(gathered, "rule", rule.id, "same-rule", what, "Put the two into one, or say where they differ.")


def _stop(gathered: Gathered, stop: Stop, raised: bool) -> None:
    rules = gathered.table("rule")
    if not raised and "rule" not in gathered.unread:
        what = f"no rule raises the stop '{stop.id}'"
        at_entry(gathered, "stop", stop.id, "unused-stop", what, f"Add to a rule: stop: {stop.id}, or take it out.")
    for name, by_gate in stop.clears.items():
        rule = rules.get(name)
        if rule is None:
            continue
        if rule.stop != stop.id:
            what = f"stop {stop.id} is cleared for rule {name} ({rule.place}), which does not raise it"
            mend = f"Add to that rule: stop: {stop.id}, or take the line out."
            at_entry(gathered, "stop", stop.id, "stop-not-raised", what, mend)
            continue
        for gate in by_gate:
            if gate and gate not in rule.holds:
                what = (
                    f"stop {stop.id} is cleared at gate {gate} for rule {name} ({rule.place}), which does not hold it"
                )
                mend = f"Add {gate} to its 'holds:', or take the line out."
                at_entry(gathered, "stop", stop.id, "clears-no-hold", what, mend)
        for gate in rule.holds:
            if "" not in by_gate and gate not in by_gate:
                what = f"rule {name} ({rule.place}) holds gate {gate}, and stop {stop.id} says nothing that clears it"
                at_entry(gathered, "stop", stop.id, "stop-not-cleared", what, f"Add under {name}: {gate}: {{…}}")


def _rule_stop(gathered: Gathered, rule: Rule) -> None:
    stop = gathered.table("stop").get(rule.stop)
    if stop is None or stop.shuts_words_only:
        return
    if rule.id not in stop.clears:
        what = f"rule {rule.id} raises stop {stop.id}, which nothing clears for this rule"
        mend = f"Add under 'clears:' of that stop ({stop.place}): {rule.id}: {{…}}"
        at_entry(gathered, "rule", rule.id, "stop-not-cleared", what, mend)
    if not rule.holds:
        what = f"rule {rule.id} raises stop {stop.id} and holds no gate"
        mend = "Add: holds: the gate that it shuts; a stop that shuts words only says words_only: true."
        at_entry(gathered, "rule", rule.id, "stop-shuts-nothing", what, mend)


def _release(gathered: Gathered, rule: Rule) -> None:
    """A held gate needs work that releases it, a stop with clearing evidence, or a finding that can change."""
    if rule.stop or all(rule.holds.values()):
        return
    if not gathered.unread and not any(_can_be_seen_anew(gathered, name, set()) for name in names_read(rule.when)):
        gates = listed(gate for gate, tasks in rule.holds.items() if not tasks)
        what = f"rule {rule.id} holds gate {gates} with no task, no stop and no finding that could change"
        mend = "Add: adds: [the work that releases it], or take out 'holds:'."
        at_entry(gathered, "rule", rule.id, "hold-without-release", what, mend)


def _can_be_seen_anew(gathered: Gathered, name: str, seen: set[str]) -> bool:
    if name in seen:
        return False
    seen.add(name)
    question = gathered.table("question").get(name)
    if question is not None:
        return bool(question.stage > 1)
    return any(_can_be_seen_anew(gathered, inner, seen) for inner in fact_reads(gathered.table("fact").get(name)))


def _examples(gathered: Gathered, rule: Rule) -> None:
    """A number or two questions need examples; what only a plan under way can tell cannot be given in one."""
    facts = gathered.table("fact")
    names = [name for name in names_read(rule.when) if name not in facts or facts[name].kind not in _NOT_GIVEN]
    number = any(part[0] == "compare" and part[1] in names for part in parts_of(rule.when))
    if not number and len(names) < 2:
        return
    states = {example["is"] for example in rule.examples}
    missing = [
        word
        for word, found in (
            ("one that fires", states & {"certain", "assumed"}),
            ("one that stays quiet", states & {"quiet"}),
        )
        if not found
    ]
    if missing:
        why = "holds a number" if number else "reads two questions"
        what = f"rule {rule.id} {why} and has no example: {' and '.join(missing)}"
        mend = "Add: examples: [{given: {…}, is: certain}, {given: {…}, is: quiet}], on and just under each limit."
        at_entry(gathered, "rule", rule.id, "missing-example", what, mend)


def fact_reads(fact: Fact | None) -> list[str]:
    """Questions and facts from which a derived fact is worked out."""
    if fact is None:
        return []
    if fact.kind == "yes_when":
        return names_read(fact.of)
    if fact.kind == "points":
        return [name for point in fact.of for name in names_read(point["when"])]
    if fact.kind == "band":
        return [fact.of["of"]]
    if fact.kind == "figure":
        return [name for name in fact.of["inputs"].values() if isinstance(name, str)]
    if fact.kind in ("age_of", "days_since"):
        return [fact.of]
    return list(fact.of) if isinstance(fact.of, tuple) else []
