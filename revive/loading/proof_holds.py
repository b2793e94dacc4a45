"""Prove that what holds a gate can let go of it: on every layout, by work or answers that the shut gate allows."""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.engine.witness import Seeker
from revive.loading.conditions import parts_of
from revive.model import GATES, Rule, RuleBase
from revive.problems import Problem, listed, problem_at


def check(base: RuleBase, seeker: Seeker) -> Iterator[Problem]:
    """A problem for every rule that, once it fired on some layout, would hold its gate for ever."""
    allowed = {gate: _Allowed(base, seeker, gate) for gate in base.gates}
    for rule in base.rules.values():
        stop = base.stops.get(rule.stop)
        if stop and stop.shuts_words_only:
            continue
        for gate in rule.holds:
            stuck = [layout for layout in base.layouts if not _lets_go(seeker, rule, allowed[gate], layout)]
            if not stuck:
                continue
            on = "on every layout" if len(stuck) == len(base.layouts) else f"on {listed(stuck, 4)}"
            if stop:
                what = f"stop {stop.id}, raised by rule {rule.id}, can never be cleared at gate {gate} {on}"
                mend = f"Mend the line '{rule.id}:' under 'clears:' ({stop.place}): evidence that the shut gate allows."
                yield problem_at(rule.place, "never-cleared", what, mend)
            else:
                what = f"rule {rule.id} holds gate {gate} for ever {on}"
                mend = "Add a task that exists there, narrow its 'when:', or let it rest on a finding that can change."
                yield problem_at(rule.place, "never-released", what, mend)


class _Allowed:
    """What may still be done and answered while one gate is shut."""

    def __init__(self, base: RuleBase, seeker: Seeker, gate: str) -> None:
        first = base.gates[gate].first_task
        own = any(("done", first) in parts_of(need.then) for need in base.gates[gate].needs if need.then)
        place = GATES.index(gate)
        shut = {other for other in GATES if GATES.index(other) > place or (other == gate and not own)}
        asked_behind, behind = seeker.compiled.asked_behind, seeker.compiled.behind
        self.base, self.gate = base, gate
        asked = [question for question in base.questions.values() if question.opens_after]
        self.barred = frozenset(question.id for question in asked if asked_behind(question.opens_after) in shut)
        late = {other for other in GATES[place:] if other != GATES[0]}
        self.tasks = frozenset(task for task in base.tasks if late.isdisjoint(behind[task]))

    def fixed(self, rule: Rule, answers: Mapping[str, Any]) -> dict[str, Any]:
        """Answers of a finding that no second look changes: history, unless the rule's own work writes it anew."""
        asked = self.base.questions
        anew = {name for task in rule.adds for name in self.base.tasks[task].records}
        return {name: value for name, value in answers.items() if asked[name].stage == 1 and name not in anew}


def _lets_go(seeker: Seeker, rule: Rule, allowed: _Allowed, layout: str) -> bool:
    """Whether the rule, having fired on this layout, can be released or its stop cleared; also where it cannot fire."""
    found = seeker.find((rule.when, True, False), layout=layout)
    if found is None:
        return True
    fixed, barred = allowed.fixed(rule, found.answers), allowed.barred
    if rule.stop in seeker.base.stops:
        clears = seeker.compiled.clears_conditions.get((rule.id, allowed.gate))
        return clears is not None and bool(
            seeker.find(
                (clears, True, True), layout=layout, fixed=fixed, barred=barred, tasks=allowed.tasks, stale=True
            )
        )
    quiet = (rule.when, False, False)
    tasks = rule.holds[allowed.gate]
    where = [seeker.base.tasks[task].only_if for task in tasks]
    if not tasks:
        return seeker.find(quiet, layout=layout, fixed=fixed, barred=barred) is not None
    if None in where:
        return True
    nowhere = seeker.find((rule.when, True, False), *[(only, False, False) for only in where if only], layout=layout)
    if nowhere is None:
        return True
    fixed = allowed.fixed(rule, nowhere.answers)
    return seeker.find(quiet, layout=layout, fixed=fixed, barred=barred) is not None
