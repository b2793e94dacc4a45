"""Find which questions do not apply because no work that is called for yields their answers. Pure; judges no gate."""

from collections.abc import Mapping
from functools import lru_cache
from typing import NamedTuple

from revive.engine.compiled import Compiled
from revive.engine.conditions import Test
from revive.engine.facts import Case, Reading
from revive.engine.ripples import names_of


class Callers(NamedTuple):
    """Who may call for the tasks that yield answers which are not there. tasks: question -> tasks that yield its answer.

    rules, needs (with their guards) and stops (with the rules that raise them): a test, and the tasks that it calls.
    """

    tasks: Mapping[str, tuple[str, ...]]
    rules: tuple[tuple[Test, frozenset[str]], ...]
    needs: tuple[tuple[Test | None, frozenset[str]], ...]
    stops: tuple[tuple[Test, frozenset[str]], ...]


def may_exist_here(case: Case, plain: Reading) -> frozenset[str]:
    """Tasks that do not certainly miss on this machine, on a reading with nothing left out."""
    sight = plain.sight
    missing = [task for task, only_if in case.compiled.only_if.items() if only_if(sight) is False]
    return frozenset(case.compiled.base.tasks).difference(missing)


def settle_reading(
    case: Case, reading: Reading, needed: tuple[str, ...], exists: frozenset[str] | None = None
) -> Reading:
    """Find the questions that do not apply because no called task yields them, and read the case again without them.

    Begin with all of them absent, let rules that are true or unknown, needs and raised stops call tasks that may exist,
    ask what those tasks yield, and repeat until nothing changes. Values that are known already and that no absent
    question reaches are taken over each time.
    """
    if exists is None:
        exists = may_exist_here(case, Reading(case, reading.given))
    compiled = case.compiled
    callers = _callers_here(compiled, exists, frozenset(compiled.yielded.keys() - reading.given.keys()), needed)
    absent = frozenset(callers.tasks)
    current, reached = reading, names_of(compiled).reached
    while True:
        current = current.varied(case, {}, reached(absent ^ current.absent), absent)
        sight, called = current.sight, set[str]()
        for rule, tasks in callers.rules:
            if not tasks <= called and rule(sight) is not False:
                called |= tasks
        for guard, tasks in callers.needs:
            if not tasks <= called and not (guard and guard(sight) is False):
                called |= tasks
        for rule, tasks in callers.stops:
            if not tasks <= called and rule(sight):
                called |= tasks
        left = frozenset([name for name in absent if called.isdisjoint(callers.tasks[name])])
        if left == absent:
            return current
        absent = left


@lru_cache(maxsize=256)
def _callers_here(
    compiled: Compiled, exists: frozenset[str], missing: frozenset[str], needed: tuple[str, ...]
) -> Callers:
    """The callers for these missing answers; of a need's or a stop's group only the first task that may exist here."""
    yielding = {name: tasks for name, tasks in compiled.yielded.items() if name in missing}
    wanted = {task for tasks in yielding.values() for task in tasks}
    by_rule: dict[str, frozenset[str]] = {}
    for rule_id, groups in compiled.clear_yields:
        by_rule[rule_id] = by_rule.get(rule_id, frozenset()) | _first_there(groups, exists)
    rules = [(compiled.rules[rule_id], tasks & exists & wanted) for rule_id, tasks in compiled.yield_rules]
    needs = [
        (test.guard, _first_there(test.groups, exists) & wanted)
        for gate in needed
        for test in compiled.need_yields[gate]
    ]
    stops = [(compiled.rules[rule_id], tasks & wanted) for rule_id, tasks in by_rule.items()]
    return Callers(
        yielding,
        tuple(one for one in rules if one[1]),
        tuple(one for one in needs if one[1]),
        tuple(one for one in stops if one[1]),
    )


def _first_there(groups: tuple[tuple[str, ...], ...], exists: frozenset[str]) -> frozenset[str]:
    """Of each group the first task that may exist here."""
    return frozenset([first for group in groups if (first := next(filter(exists.__contains__, group), ""))])
