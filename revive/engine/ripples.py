"""Find what a changed answer can reach: facts, questions, rules, needs, stops and tasks that read it. Pure."""

from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import TypeVar

from revive.engine.compiled import Compiled, fact_conditions, fact_names
from revive.engine.conditions import names_in
from revive.frozen import Frozen, field
from revive.model import Condition


class Reach(Frozen):
    """What some names can reach. names: questions and facts, the given ones included. needs: (gate, number)."""

    names: frozenset[str]
    rules: frozenset[str]
    needs: frozenset[tuple[str, int]]
    stop_rules: frozenset[str]
    yields: bool


class Names(Frozen, eq=False):
    """Which facts and skipped questions read a question or fact, directly. kept: what was followed before."""

    readers: Mapping[str, frozenset[str]]
    kept: dict[frozenset[str], frozenset[str]] = field(default_factory=dict)

    def reached(self, names: frozenset[str]) -> frozenset[str]:
        """These questions and facts, and those that may come out differently when these change."""
        if names not in self.kept:
            found, todo = set(names), list(names)
            while todo:
                for reader in self.readers.get(todo.pop(), ()):
                    if reader not in found:
                        found.add(reader)
                        todo.append(reader)
            self.kept[names] = frozenset(found)
        return self.kept[names]


@lru_cache(maxsize=8)
def names_of(compiled: Compiled) -> Names:
    """The readers of every question and fact."""
    base = compiled.base
    readers: dict[str, set[str]] = {}
    for fact in base.facts.values():
        for name in [*fact_names(fact), *(n for c in fact_conditions(fact) for n in names_in(c))]:
            readers.setdefault(name, set()).add(fact.id)
    for question in base.questions.values():
        for name in names_in(question.skip_when):
            readers.setdefault(name, set()).add(question.id)
        if isinstance(question.worst, Mapping) and "from" in question.worst:
            readers.setdefault(question.worst["from"], set()).add(question.id)
    readers.setdefault("layout", set()).update(base.questions, base.facts)
    return Names({name: frozenset(found) for name, found in readers.items()})


class Ripples(Frozen, eq=False):
    """Who reads what, directly. calling: rules that may call for tasks which yield answers."""

    compiled: Compiled
    names: Names
    to_rules: Mapping[str, frozenset[str]]
    to_needs: Mapping[str, frozenset[tuple[str, int]]]
    to_stop_rules: Mapping[str, frozenset[str]]
    calling: frozenset[str]

    def reach(self, names: Iterable[str]) -> Reach:
        """Everything that may come out differently when these names change."""
        found = self.names.reached(frozenset(names))
        rules = _joined(self.to_rules, found)
        needs = _joined(self.to_needs, found)
        stop_rules = _joined(self.to_stop_rules, found) | {
            rule for rule in rules if self.compiled.base.rules[rule].stop
        }
        yields = not self.calling.isdisjoint(rules) or any(
            self.compiled.needs[gate][number].calls for gate, number in needs
        )
        return Reach(found, rules, needs, frozenset(stop_rules), yields)


T = TypeVar("T")


def _joined(table: Mapping[str, frozenset[T]], names: Iterable[str]) -> frozenset[T]:
    return frozenset(item for name in names for item in table.get(name, ()))


@lru_cache(maxsize=8)
def ripples_of(compiled: Compiled) -> Ripples:
    """The readers of every name in a rule base."""
    base = compiled.base
    to_rules: dict[str, set[str]] = {}
    to_needs: dict[str, set[tuple[str, int]]] = {}
    to_stop_rules: dict[str, set[str]] = {}
    read: dict[int, tuple[str, ...]] = {}

    def names_read(condition: Condition | None) -> tuple[str, ...]:
        if id(condition) not in read:
            read[id(condition)] = tuple(names_in(condition))
        return read[id(condition)]

    def note(table: dict[str, set[str]], item: str, conditions: Iterable[Condition | None]) -> None:
        for condition in conditions:
            for name in names_read(condition):
                table.setdefault(name, set()).add(item)

    for rule in base.rules.values():
        existence = [base.tasks[task].only_if for task in rule.adds]
        note(to_rules, rule.id, [rule.when, *existence])
        if rule.stop:
            clears = [compiled.clears_conditions.get((rule.id, gate)) for gate in rule.holds]
            groups = [group for gate in rule.holds for group in compiled.clears_calls.get((rule.id, gate), ())]
            called = {task for group in groups for task in group}
            note(to_stop_rules, rule.id, [*clears, *(base.tasks[task].only_if for task in sorted(called))])
    for gate in base.gates.values():
        for number, test in enumerate(compiled.needs[gate.id]):
            existence = [base.tasks[task].only_if for task in sorted(test.calls)]
            for condition in [test.need.when, test.need.then, *existence]:
                for name in names_read(condition):
                    to_needs.setdefault(name, set()).add((gate.id, number))
    return Ripples(
        compiled,
        names_of(compiled),
        {name: frozenset(found) for name, found in to_rules.items()},
        {name: frozenset(found) for name, found in to_needs.items()},
        {name: frozenset(found) for name, found in to_stop_rules.items()},
        frozenset([rule for rule, _ in compiled.yield_rules] + [rule for rule, _ in compiled.clears_calls]),
    )
