"""The cases of each stop of the page: cleared by all of its evidence, and by nothing less."""

from collections.abc import Iterator
from typing import Any

from revive.engine.conditions import names_in, tasks_in
from revive.model import Condition, Record
from safety.machines import Finder
from safety.page import Machine
from safety.played import Case, Seen, Shown
from safety.rule_cases import RuleCases, groups, held_by
from safety.solving import Goal
from safety.table import table
from safety.ways import Way, Ways


class StopCases:
    """Makes the cases of stops."""

    def __init__(self, finder: Finder, ways: Ways, rules: RuleCases) -> None:
        self.finder, self.page, self.ways, self.rules = finder, finder.page, ways, rules
        self.never_clear: list[str] = []

    def of(self, stop: str, rule: str) -> Iterator[Case]:
        """Every case of one rule that raises the stop."""
        row, lines = table()["rules"][rule], table()["stops"][stop]["clears"][rule]
        when = self.page.read(row["when"])
        words_only = table()["stops"][stop].get("words_only", False)
        for group in groups(held_by(row)):
            texts = {gate: lines[gate] if isinstance(lines, dict) else lines for gate in group}
            for text in dict.fromkeys(texts.values()):
                gates = tuple(gate for gate in group if texts[gate] == text)
                evidence = self.page.read(text)
                about = frozenset(
                    {("stop", stop), ("rule", rule), *self.page.touched(evidence), *self.page.touched(when)}
                )
                yield from self._evidence(stop, rule, gates, when, evidence, about, words_only)

    def _evidence(
        self,
        stop: str,
        rule: str,
        gates: tuple[str, ...],
        when: Condition,
        evidence: Condition,
        about: Any,
        words_only: bool,
    ) -> Iterator[Case]:
        start: list[Goal] = [(when, True), *self.finder.asked(gates)]
        adds = table()["rules"][rule].get("adds", ())
        standing = self._standing(stop, rule, gates, words_only)
        again: set[str] = self._evidence_only(when, evidence)
        both = self.finder.questions(when) & self.finder.questions(evidence)
        whole: Machine | None = None
        looked: set[str] = set()
        ways = self.ways.of(evidence)
        for way in ways:
            goals = [*way.all_goals, *start]
            if way.makes:
                machine = self.finder.most(goals, [self.finder.there(task) for task in adds])
            else:
                machine = self.finder.like(whole, goals) if whole else self.finder.find(goals)
            if machine is None or self.page.truth(when, machine) is not True:
                continue
            if self.page.truth(evidence, machine) is not way.makes:
                continue
            what = f"{rule}, {', '.join(gates)}, {way.words}"
            if not way.makes:
                yield Case(about, what, self.finder.record(machine, again), standing)
                if both & set(machine.answers):  # asked for both the finding and the evidence: once more after the work
                    yield Case(about, f"{what}, the same day", self.finder.record(machine, again, both), standing)
                continue
            made, again = self._dated(rule, gates, machine, when, evidence)
            free = tuple(("free", gate, rule) for gate in gates)
            if whole is None:
                yield Case(about, f"{what}: cleared, work shown", made, (*free, *self.rules.calls(rule, machine)))
            else:
                yield Case(about, f"{what}: cleared", made, free)
            whole = machine
            for name, left in self.finder.not_looked_at(machine, evidence, when):
                if name in looked:
                    continue
                looked.add(name)
                yield Case(about, f"{what}, but {name} not looked at", self.finder.record(left, again), standing)
        parts = evidence[1] if evidence[0] == "all" else (evidence,)
        denied = self.finder.most([(when, True), (evidence, False), *start[1:]], [[(part, True)] for part in parts])
        if denied:
            what = f"{rule}, {', '.join(gates)}, everything that the finding does not deny"
            yield Case(about, what, self.finder.record(denied, again), standing)
            yield Case(about, f"{what}, the same day", self.finder.record(denied, again, both), standing)
        if not words_only:
            yield from self._not_known(rule, gates, when, evidence, [way for way in ways if not way.makes], about)
            yield from self._waits(rule, gates, start, evidence, about)

    def _not_known(
        self, rule: str, gates: tuple[str, ...], when: Condition, evidence: Condition, ways: list[Way], about: Any
    ) -> Iterator[Case]:
        """Where nobody knows whether the finding is there, the gate stays unproven until the evidence is."""
        for name in sorted(self.finder.questions(when)):
            question = self.page.questions[name]
            if name == "layout" or question.opens_after or question.yielded_by:
                continue
            for way in ways:
                machine = self.finder.find([*way.all_goals, *self.finder.asked(gates)])
                if machine is None:
                    continue
                machine = self.finder.without(machine, name)
                if machine is None:
                    continue
                if self.page.truth(when, machine) is None and self.page.truth(evidence, machine) is False:
                    again = self._evidence_only(when, evidence)
                    seen: tuple[Seen, ...] = tuple(("held", gate, rule, "", False) for gate in gates)
                    yield Case(
                        about, f"{rule}, {name} not known, {way.words}", self.finder.record(machine, again), seen
                    )

    def _waits(
        self, rule: str, gates: tuple[str, ...], start: list[Goal], evidence: Condition, about: Any
    ) -> Iterator[Case]:
        """The gate says for which work and looks it waits."""
        machine = self.finder.find([*start, (evidence, False)])
        if machine:
            names = tuple(dict.fromkeys([*tasks_in(evidence), *names_in(evidence)]))
            seen = tuple(("waits", gate, rule, names) for gate in gates)
            yield Case(about, f"{rule}, {', '.join(gates)}", self.finder.record(machine), seen)

    def _standing(self, stop: str, rule: str, gates: tuple[str, ...], words_only: bool) -> tuple[Seen, ...]:
        if words_only:
            return (("raised", stop, rule, gates),)
        return tuple(("held", gate, rule, stop, False) for gate in gates)

    def _evidence_only(self, when: Condition, evidence: Condition) -> set[str]:
        """Questions that are looked at after the work; the layout and the like were told first."""
        finding, late = self.finder.questions(when), self.finder.questions(evidence)
        return {name for name in late - finding if name in self.page.questions and self.page.questions[name].stage > 1}

    def _dated(
        self, rule: str, gates: tuple[str, ...], machine: Machine, when: Condition, evidence: Condition
    ) -> tuple[Record, set[str]]:
        """The record with its days: what the evidence alone asks is looked at after the work.

        A question of both finding and evidence is asked once before and, where the work voids that answer, once after.
        """
        again = self._evidence_only(when, evidence)
        both = self.finder.questions(when) & self.finder.questions(evidence) & set(machine.answers)
        for later in (again, again | both):
            made = self.finder.record(machine, later)
            shown = Shown(self.finder.base, made)
            if not any(shown.holds(gate, rule) for gate in gates):
                return made, later
        self.never_clear.append(f"{rule} {gates}")
        return self.finder.record(machine, again), again
