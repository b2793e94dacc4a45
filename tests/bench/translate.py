"""Rules as formulas that a two-valued engine can judge, and records as flat tables of values.

A condition of ours is true, false or unknown. A two-valued engine is therefore asked twice: is the condition surely true,
and is it surely false? Both questions are written as formulas of "and", "or" and bare tests, so that no engine need know
"unknown": a rule is certain where the first holds, quiet where the second holds, and possible otherwise. Values that are
unknown or do not apply stand in the table as the words UNKNOWN and NOT_HERE; tests name these words where they matter.
Derived facts are reckoned beforehand for the other engines and not for ours.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ours import opened

from revive.engine.conditions import Ticks
from revive.engine.facts import Reading, recorded_values
from revive.model import Condition, Record, RuleBase

UNKNOWN, NOT_HERE, KNOWN = "unknown", "not here", "known"
Table = dict[str, Any]
"""Variable -> a word, a list of words, a number or True or False."""


@dataclass(frozen=True)
class OneOf:
    """The word `name` is (or, with `not_`, is not) one of these."""

    name: str
    words: tuple[str, ...]
    not_: bool = False


@dataclass(frozen=True)
class AnyIn:
    """The list `name` holds at least one (or, with `not_`, none) of these words."""

    name: str
    words: tuple[str, ...]
    not_: bool = False


@dataclass(frozen=True)
class Less:
    """Number `name` is less than number `than`, or equal to it where `or_equal`; with `not_` neither."""

    name: str
    than: str
    or_equal: bool
    not_: bool = False


@dataclass(frozen=True)
class Flag:
    """The flag `name` is set, or with `not_` is not."""

    name: str
    not_: bool = False


@dataclass(frozen=True)
class Group:
    """All of the parts, or with `any_` at least one; no part at all is true, or with `any_` false."""

    any_: bool
    parts: tuple["Formula", ...]


Formula = OneOf | AnyIn | Less | Flag | Group
TRUE, FALSE = Group(False, ()), Group(True, ())


def variable(name: str) -> str:
    """A name as every engine takes it."""
    return "v_" + name.replace("-", "_")


class Translator:
    """Translates the rules of one base. formulas: rule -> (surely true, surely false)."""

    def __init__(self, base: RuleBase) -> None:
        self.base = base
        self.references: dict[str, tuple[str, Any, float]] = {}
        self.numbers: dict[str, None] = {}
        self.words: dict[str, None] = {}
        self.lists: dict[str, None] = {}
        self.flags: dict[str, None] = {}
        self.formulas = {
            rule.id: (self.surely(rule.when, True), self.surely(rule.when, False)) for rule in base.rules.values()
        }

    def surely(self, condition: Condition, wanted: bool) -> Formula:
        """When a condition is surely true, or surely false."""
        kind = condition[0]
        if kind == "always":
            return TRUE if wanted else FALSE
        if kind in ("all", "any"):
            return Group((kind == "any") is wanted, tuple(self.surely(part, wanted) for part in condition[1]))
        if kind == "not":
            return self.surely(condition[1], not wanted)
        if kind == "when":
            return Group(wanted, (self.surely(condition[1], not wanted), self.surely(condition[2], wanted)))
        if kind == "done":
            self.flags[condition[1]] = None
            return Flag(variable(condition[1] + "_done"), not wanted)
        if kind == "compare":
            return self._compare(condition, wanted)
        name, values = condition[1], condition[2] if kind == "is" else (condition[2],)
        question = self.base.questions.get(name)
        if kind == "has" or (question is not None and question.kind == "many"):
            self.lists[name] = None
            return AnyIn(variable(name), tuple(values) if wanted else (*values, UNKNOWN), not wanted)
        self.words[name] = None
        blind = question.blind if question else ()
        return OneOf(variable(name), tuple(values) if wanted else (*values, *blind, UNKNOWN), not wanted)

    def _compare(self, condition: Condition, wanted: bool) -> Formula:
        _, name, op, (source, reference), times = condition
        key = f"{source}_{reference}_{times}".replace(".", "_").replace("-", "_")
        self.references[key] = (source, reference, times)
        self.numbers[name] = None
        one, other = variable(name), variable(key)
        less = Less(one, other, op in ("at_most", "more_than"), op in ("at_least", "more_than"))
        known = [OneOf(one + "_is", (KNOWN,))]
        absent = [OneOf(one + "_is", (NOT_HERE,))]
        if source == "fact":
            known.append(OneOf(other + "_is", (KNOWN,)))
            absent.append(OneOf(other + "_is", (NOT_HERE,)))
        if wanted:
            return Group(False, (*known, less))
        turned = Less(less.name, less.than, less.or_equal, not less.not_)
        return Group(True, (*absent, Group(False, (*known, turned))))

    def table(self, record: Record, today: str) -> Table:
        """The values of one record, under the names that the formulas use."""
        case = opened(self.base, record, today)
        sight = Reading(case, recorded_values(case)).sight
        found: Table = {}
        for name in self.words:
            found[variable(name)] = _word(sight.rule[name])
        for name in self.lists:
            found[variable(name)] = _list(sight.rule[name])
        for name in self.flags:
            found[variable(name + "_done")] = name in sight.done
        for name in self.numbers:
            found |= _number(variable(name), sight.rule[name], 1.0)
        for key, (source, reference, times) in self.references.items():
            value = sight.limits[reference] if source == "limit" else reference
            found |= _number(variable(key), sight.rule[reference] if source == "fact" else value, times)
        return found


def _word(value: Any) -> str:
    return UNKNOWN if value is None else NOT_HERE if value == "\0" else str(value)


def _list(value: Any) -> list[str]:
    if not isinstance(value, Ticks):
        return [UNKNOWN] if value is None else []
    return [*sorted(value.has), *([UNKNOWN] if value.unsure else [])]


def _number(name: str, value: Any, times: float) -> Mapping[str, Any]:
    if value is None or value != value:
        return {name: 0.0, name + "_is": UNKNOWN if value is None else NOT_HERE}
    return {name: float(value) * times, name + "_is": KNOWN}


def states(sure: set[str], never: set[str], rules: Mapping[str, Any]) -> dict[str, str]:
    """What became of every rule, from those surely true and those surely false."""
    return {rule: "certain" if rule in sure else "quiet" if rule in never else "possible" for rule in rules}
