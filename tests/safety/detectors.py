"""Who notices a changed rule base: the table of safety, the examples beside the rules, and the journeys and scenarios.

Each detector gives a sentence about the first thing that it noticed, or an empty text. None changes the base.
"""

import contextlib
import io
import multiprocessing
import os
import sys
from pathlib import Path
from typing import Any, Protocol

from revive.engine.compiled import compile_base, fact_names
from revive.engine.conditions import names_in
from revive.loading.proof_examples import state_of
from revive.model import RuleBase
from safety.cases import Maker, Statement, statements
from safety.mutants import Mutant
from safety.played import Case, amiss
from safety.table import Table

DAY = "2026-11-25"
TESTS = Path(__file__).parents[1]
BEHAVIOUR = ("journeys", "scenarios")
MOST_SECONDS = 300


class Detector(Protocol):
    """Something that may notice a mutant."""

    def notice(self, mutant: Mutant) -> str: ...


class TableDetector:
    """Compares the base with the written table."""

    name = "the table of safety"

    def __init__(self, base: RuleBase) -> None:
        self.table = Table(base)
        self.table.differences(base)

    def notice(self, mutant: Mutant) -> str:
        return next(iter(self.table.differences(mutant.base)), "")


class ExampleDetector:
    """Judges the examples of the changed rule, or of every rule that reads the changed fact or limit."""

    name = "the examples beside the rules"

    def notice(self, mutant: Mutant) -> str:
        for rule_id in self._touched(mutant):
            rule = mutant.base.rules[rule_id]
            for number, example in enumerate(rule.examples, start=1):
                state = state_of(mutant.base, rule, example, DAY)
                if state != example["is"]:
                    return f"example {number} of rule {rule_id} comes out {state}, not {example['is']}"
        return ""

    def _touched(self, mutant: Mutant) -> list[str]:
        kind, name = mutant.of
        if kind == "rule":
            return [name] if mutant.kind in ("comparison flipped", "fires less") else []
        if kind == "fact":
            return [rule.id for rule in mutant.base.rules.values() if name in _reads(mutant.base, names_in(rule.when))]
        if kind == "limit":
            return [rule.id for rule in mutant.base.rules.values() if f"('limit', {name!r})" in repr(rule.when)]
        return []


class PlayedDetector:
    """Judges the machines on which something about the changed entry must be seen, by the page.

    Cases of a statement are made when they are first wanted. most: so many statements at most about one entry.
    """

    name = "the statements played on machines"

    def __init__(self, base: RuleBase, most: int = 0) -> None:
        self.maker, self.most = Maker(base), most
        self.made: dict[Statement, list[Case]] = {}
        self.of_entry: dict[tuple[str, str], list[Statement]] = {}
        for statement in statements():
            for entry in self.maker.about(statement):
                self.of_entry.setdefault(entry, []).append(statement)

    def make_all(self) -> int:
        """Make every case; their number."""
        return sum(len(self._cases(statement)) for statement in statements())

    def notice(self, mutant: Mutant) -> str:
        entry = mutant.part if mutant.part[0] else mutant.of
        about = self.of_entry.get(entry, [])
        about = about[: self.most] if self.most else about
        for lets_go in (False, True):  # rules changed for the worse mostly fail to hold
            for statement in about:
                for case in self._cases(statement):
                    if case.lets_go is lets_go and entry in case.about and mutant.of in case.about:
                        words = amiss(mutant.base, case)
                        if words:
                            return words
        return ""

    def _cases(self, statement: Statement) -> list[Case]:
        if statement not in self.made:
            self.made[statement] = list(self.maker.of(statement))
        return self.made[statement]


class BehaviourDetector:
    """Runs the tests of whole machines, in a process of its own in which every rule base loaded is the mutant.

    Tests that fail on the rules as they are notice nothing, so they are left out and their count is told.
    """

    def __init__(self, base: RuleBase) -> None:
        self.places = [str(TESTS / place) for place in BEHAVIOUR if any((TESTS / place).glob("test_*.py"))]
        self.left_out = self._failing(base, []) if self.places else []
        self.name = " and ".join(Path(place).name for place in self.places) or "no journeys, there being none"
        if self.left_out:
            self.name += f", without {len(self.left_out)} tests that fail on the rules as they are"

    def notice(self, mutant: Mutant) -> str:
        failing = self._failing(mutant.base, ["-x"]) if self.places else []
        return f"{failing[0]} fails" if failing else ""

    def _failing(self, base: RuleBase, options: list[str]) -> list[str]:
        """The tests that fail on a rule base; one that comes to no end counts as failing."""
        context = multiprocessing.get_context("fork")
        told = context.SimpleQueue()
        left_out = [f"--deselect={name}" for name in self.left_out] if options else []
        child = context.Process(target=_run_tests, args=(base, [*options, *left_out, *self.places], told))
        child.start()
        child.join(MOST_SECONDS)
        if child.is_alive():
            child.kill()
            child.join()
        return list(told.get()) if not told.empty() else ["a test without end"]


class _Failures:
    """A pytest plugin that keeps the names of the tests that fail."""

    def __init__(self) -> None:
        self.names: list[str] = []

    def pytest_runtest_logreport(self, report: Any) -> None:
        if report.failed:
            self.names.append(report.nodeid)


def _run_tests(base: RuleBase, arguments: list[str], told: Any) -> None:
    """In the child: pytest over the whole machines; the names of the tests that fail go into the queue."""
    import pytest

    import revive.loading

    def load_mutant(*_folders: object, **_how: object) -> tuple[RuleBase, list[object]]:
        return base, []

    revive.loading.load_rules = load_mutant  # type: ignore[assignment]
    for name, module in list(sys.modules.items()):
        if name.startswith(("revive.", "second", "test_")) and hasattr(module, "load_rules"):
            module.load_rules = load_mutant  # type: ignore[attr-defined]
    compile_base(base)
    failures = _Failures()
    os.chdir(TESTS.parent)  # names of tests are told from there
    with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
        code = pytest.main(["-q", "-p", "no:cacheprovider", *arguments], plugins=[failures])
    told.put(failures.names or ([] if code == 0 else ["collecting the tests"]))
    os._exit(0)


def _reads(base: RuleBase, names: list[str] | tuple[str, ...]) -> set[str]:
    """Every question and derived fact behind some names, the names themselves included."""
    found: set[str] = set()
    todo = list(names)
    while todo:
        name = todo.pop()
        if name not in found:
            found.add(name)
            if name in base.facts:
                todo.extend(fact_names(base.facts[name]))
    return found
