"""Judge conditions in strong three-valued logic: True, False, or None for unknown. Pure: no files, no clock.

Source: strong three-valued logic, S. C. Kleene, Introduction to Metamathematics (1952), section 64.
"""

from collections.abc import Callable, Mapping
from typing import Any

from revive.frozen import Frozen
from revive.model import Condition, Question

Truth = bool | None


class Ticks(Frozen):
    """A multi-answer. has: ticked choices. unsure: the unticked ones are unknown."""

    has: frozenset[str]
    unsure: bool = False


class StandIn(str):
    """The worst plausible value in the place of an answer that means nobody looked. own: that answer."""

    own: str

    def __new__(cls, worst: str, own: str) -> "StandIn":
        value = super().__new__(cls, worst)
        value.own = own
        return value


NO_TICKS = Ticks(frozenset())
NOT_A_NUMBER = float("nan")
NOT_APPLICABLE = "\0"
"""Stand-ins for a question that does not apply: every comparison with one of these three is False."""


class Sight:
    """What a condition may look at.

    rule: values as rules and guards see them; a question that does not apply compares as False.
    need: values as needs and clearing evidence see them; there the same question is unknown.
    done: tasks that count as done. limits: name -> number, in the limit's unit.
    """

    __slots__ = ("done", "limits", "need", "rule")

    def __init__(
        self, rule: Mapping[str, Any], need: Mapping[str, Any], done: frozenset[str], limits: Mapping[str, float]
    ) -> None:
        self.rule, self.need, self.done, self.limits = rule, need, done, limits


Test = Callable[[Sight], Truth]


def truth_and(*parts: Truth) -> Truth:
    """Kleene's "and"; none at all is True."""
    return False if False in parts else None if None in parts else True


def truth_or(*parts: Truth) -> Truth:
    """Kleene's "or"; none at all is False."""
    return True if True in parts else None if None in parts else False


def truth_not(part: Truth) -> Truth:
    """Kleene's "not"."""
    return None if part is None else not part


Made = dict[tuple[int, bool], Test]
"""Tests by the identity of their conditions, and by whether they read as a need does."""


def compile_condition(
    condition: Condition, questions: Mapping[str, Question], as_need: bool = False, made: Made | None = None
) -> Test:
    """Turn a condition into a function of a Sight.

    Args:
        questions: by id; tells multi-answers from choices and which answers are blind.
        as_need: read the values as a need does; the `when` part of "when, then" is always read as a rule does.
        made: tests that stand already, for conditions that live as long as it does; what is new is put there.
    """
    if made is None:
        made = {}
    key = id(condition), as_need
    if key not in made:
        made[key] = _compiled(condition, questions, as_need, made)
    return made[key]


def _compiled(condition: Condition, questions: Mapping[str, Question], as_need: bool, made: Made) -> Test:
    kind = condition[0]
    if kind == "always":
        return lambda sight: True
    if kind == "all":
        return _all([compile_condition(part, questions, as_need, made) for part in condition[1]])
    if kind == "any":
        return _any([compile_condition(part, questions, as_need, made) for part in condition[1]])
    if kind == "not":
        inner = compile_condition(condition[1], questions, as_need, made)
        return lambda sight: None if (truth := inner(sight)) is None else not truth
    if kind == "when":
        guard = compile_condition(condition[1], questions, False, made)
        then = compile_condition(condition[2], questions, as_need, made)
        return lambda sight: truth_or(truth_not(guard(sight)), then(sight))
    if kind == "done":
        task = condition[1]
        return lambda sight: task in sight.done
    if kind == "compare":
        return _compare(condition, as_need)
    name = condition[1]
    wanted = frozenset((condition[2],) if kind == "has" else condition[2])
    question = questions.get(name)
    if (question is None and kind == "has") or (question is not None and question.kind == "many"):
        return _ticks(name, wanted, as_need)
    return _choice(name, wanted, frozenset(question.blind) if question else frozenset(), as_need)


def _all(parts: list[Test]) -> Test:
    def judge(sight: Sight) -> Truth:
        result: Truth = True
        for part in parts:
            truth = part(sight)
            if truth is False:
                return False
            if truth is None:
                result = None
        return result

    return judge


def _any(parts: list[Test]) -> Test:
    def judge(sight: Sight) -> Truth:
        result: Truth = False
        for part in parts:
            truth = part(sight)
            if truth is True:
                return True
            if truth is None:
                result = None
        return result

    return judge


def _choice(name: str, wanted: frozenset[str], blind: frozenset[str], as_need: bool) -> Test:
    if not blind:
        if as_need:
            return lambda sight: None if (value := sight.need[name]) is None else value in wanted
        return lambda sight: None if (value := sight.rule[name]) is None else value in wanted

    def judge(sight: Sight) -> Truth:
        value = (sight.need if as_need else sight.rule)[name]
        if value is None:
            return None
        if value in wanted:
            return True
        own = getattr(value, "own", "")
        return True if own in wanted else None if value in blind else False

    return judge


def _ticks(name: str, wanted: frozenset[str], as_need: bool) -> Test:
    def judge(sight: Sight) -> Truth:
        value = (sight.need if as_need else sight.rule)[name]
        if value is None:
            return None
        return True if value.has & wanted else None if value.unsure else False

    return judge


def _compare(condition: Condition, as_need: bool) -> Test:
    _, name, op, (source, reference), times = condition

    def judge(sight: Sight) -> Truth:
        values = sight.need if as_need else sight.rule
        value = values[name]
        if source == "number":
            limit = reference
        elif source == "limit":
            limit = sight.limits[reference]
        else:
            limit = values[reference]
        if value != value or limit != limit:  # one of them does not apply, whatever the other is
            return False
        if value is None or limit is None:
            return None
        limit *= times
        if op == "at_least":
            return bool(value >= limit)
        if op == "more_than":
            return bool(value > limit)
        return bool(value <= limit) if op == "at_most" else bool(value < limit)

    return judge


def names_in(condition: Condition | None) -> list[str]:
    """Questions and derived facts that a condition reads, in order, repeats included."""
    found: list[str] = []
    for kind, *rest in _leaves(condition):
        if kind in ("is", "has"):
            found.append(rest[0])
        elif kind == "compare":
            found.append(rest[0])
            if rest[2][0] == "fact":
                found.append(rest[2][1])
    return found


def tasks_in(condition: Condition | None) -> list[str]:
    """Tasks whose being done a condition reads, in order, repeats included."""
    return [leaf[1] for leaf in _leaves(condition) if leaf[0] == "done"]


def _leaves(condition: Condition | None) -> list[Condition]:
    """The comparisons in a condition, in order."""
    found: list[Condition] = []
    todo = [] if condition is None else [condition]
    while todo:
        part = todo.pop()
        if part[0] in ("all", "any"):
            todo.extend(reversed(part[1]))
        elif part[0] in ("not", "when"):
            todo.extend(reversed(part[1:]))
        else:
            found.append(part)
    return found
