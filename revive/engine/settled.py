"""Find which questions do not apply because no work that is called for yields their answers. Pure; judges no gate."""

from collections.abc import Mapping
from functools import lru_cache

from revive.engine.compiled import Compiled
from revive.engine.conditions import Test
from revive.engine.facts import Case, Reading
from revive.engine.ripples import names_of

Callers = tuple[tuple[str, frozenset[str]], ...]


def may_exist_here(case: Case, plain: Reading) -> frozenset[str]:
    """Tasks that do not certainly miss on this machine, on a reading with nothing left out."""
    compiled = case.compiled
    return frozenset(
        task
        for task in compiled.base.tasks
        if task not in compiled.only_if or compiled.only_if[task](plain.sight) is not False
    )


def settle_reading(
    case: Case, reading: Reading, needed: tuple[str, ...], exists: frozenset[str] | None = None
) -> Reading:
    """Find the questions that do not apply because no called task yields them, and read the case again without them.

    Begin with all of them absent, let rules that are true or unknown, needs and raised stops call tasks that may exist,
    ask what those tasks yield, and repeat until nothing changes. Values that are known already and that no absent
    question reaches are taken over each time.
    """
    compiled = case.compiled
    if exists is None:
        exists = may_exist_here(case, Reading(case, reading.given))
    candidates = {name: tasks for name, tasks in compiled.yielded.items() if name not in reading.given}
    absent = frozenset(candidates)
    rules, needs, clears = _callers_here(compiled, exists)
    wanted = {task for tasks in candidates.values() for task in tasks}
    current, reached = reading, names_of(compiled).reached
    while True:
        current = current.varied(case, {}, reached(absent ^ current.absent), absent)
        sight, called = current.sight, set[str]()
        for rule_id, tasks in rules:
            new = (tasks & wanted) - called
            if new and compiled.rules[rule_id](sight) is not False:
                called |= new
        for gate in needed:
            for guard, tasks in needs[gate]:
                new = (tasks & wanted) - called
                if new and not (guard and guard(sight) is False):
                    called |= new
        for rule_id, tasks in clears:
            new = (tasks & wanted) - called
            if new and compiled.rules[rule_id](sight):
                called |= new
        left = frozenset([name for name in absent if called.isdisjoint(candidates[name])])
        if left == absent:
            return current
        absent = left


@lru_cache(maxsize=64)
def _callers_here(
    compiled: Compiled, exists: frozenset[str]
) -> tuple[Callers, Mapping[str, tuple[tuple[Test | None, frozenset[str]], ...]], Callers]:
    """Who may call tasks that yield answers and may exist here: rules, needs by gate with their guards, raised stops."""
    clears: dict[str, frozenset[str]] = {}
    for rule_id, groups in compiled.clear_yields:
        clears[rule_id] = clears.get(rule_id, frozenset()) | _first_there(groups, exists)
    return (
        tuple((rule_id, tasks & exists) for rule_id, tasks in compiled.yield_rules),
        {
            gate: tuple((test.guard, _first_there(test.groups, exists)) for test in tests)
            for gate, tests in compiled.need_yields.items()
        },
        tuple(clears.items()),
    )


def _first_there(groups: tuple[tuple[str, ...], ...], exists: frozenset[str]) -> frozenset[str]:
    """Of each group the first task that may exist here."""
    found = set()
    for group in groups:
        for task in group:
            if task in exists:
                found.add(task)
                break
    return frozenset(found)
