"""The cases of each gate of the page: what it needs, for which work it waits, after which gate it comes; and work in order."""

from collections.abc import Iterator
from typing import Any

from revive.engine.conditions import names_in, tasks_in
from revive.model import Condition, Need, Record
from safety.machines import Finder
from safety.notation import plain
from safety.page import Machine
from safety.played import Case, Shown
from safety.solving import Goal
from safety.table import table
from safety.ways import Ways


class GateCases:
    """Makes the cases of gates and of work that waits."""

    def __init__(self, finder: Finder, ways: Ways) -> None:
        self.finder, self.page, self.base, self.ways = finder, finder.page, finder.base, ways

    def need_of(self, gate: str, number: int) -> Need:
        """The need of the rules that a row of the page states; its text names it in a plan."""
        row = table()["gates"][gate]["needs"][number]
        then = self.page.read(row["then"])
        when = self.page.read(row["when"]) if "when" in row else None
        need = next((need for need in self.base.gates[gate].needs if _says(need, when, then)), None)
        assert need is not None, f"no need of gate {gate} says {row['then']}"
        return need

    def of_need(self, gate: str, number: int) -> Iterator[Case]:
        """Every case of one need: each part unmet by itself, and asked of the right machines only."""
        row = table()["gates"][gate]["needs"][number]
        then = self.page.read(row["then"])
        when = self.page.read(row["when"]) if "when" in row else None
        need = self.need_of(gate, number)
        about = frozenset(
            {
                ("gate", gate),
                ("need", f"{gate}: {need.text}"),
                *self.page.touched(then),
                *(self.page.touched(when) if when else ()),
            }
        )
        asked: list[Goal] = self.finder.asked([gate])
        guard: list[Goal] = [(when, True)] if when else []
        whole: Machine | None = None
        for way in self.ways.of(then):
            goals = [*way.all_goals, *guard, *asked]
            machine = self.finder.like(whole, goals) if whole and not way.makes else self.finder.find(goals)
            if machine is None or self.page.truth(then, machine) is not way.makes:
                continue
            seen = ("met" if way.makes else "asks", gate, need.text)
            yield Case(about, f"gate {gate}, {way.words}", self._record(machine), (seen,))
            if way.makes:
                whole = machine
                for name, left in self.finder.not_looked_at(machine, then, *([when] if when else [])):
                    what = f"gate {gate}, {way.words}, but {name} not looked at"
                    yield Case(about, what, self._record(left), (("asks", gate, need.text),))
        for way in self.ways.of(when) if when else ():
            machine = self.finder.find([*way.all_goals, (then, False), *asked]) or self._unasked(
                way.all_goals, then, asked
            )
            if machine is None or self.page.truth(when, machine) is not way.makes:
                continue
            seen = ("asks" if way.makes else "met", gate, need.text)
            yield Case(about, f"gate {gate}, where {way.words}", self._record(machine), (seen,))

        machine = self.finder.find([*guard, (then, False), *asked])
        if machine:
            names = [*(task for task in tasks_in(then) if task not in machine.done), *names_in(then)]
            seen_waiting = ("need waits", gate, need.text, tuple(dict.fromkeys(names)))
            yield Case(about, f"gate {gate}", self._record(machine), (seen_waiting,))

    def _record(self, machine: Machine) -> Record:
        """Everything was looked at after the work."""
        return self.finder.record(machine, machine.answers)

    def _unasked(self, goals: list[Goal], then: Condition, asked: list[Goal]) -> Machine | None:
        """A machine on which what the need asks has not been looked at, because no answer that fails it goes with the rest."""
        machine = self.finder.find([*goals, *asked])
        return machine if machine and self.page.truth(then, machine) is None else None

    def of_planned(self, gate: str, task: str) -> Iterator[Case]:
        """The gate waits for work that a finding calls for: one finding of the page after the other."""
        for rule in self.base.rules.values():
            if task not in rule.adds or rule.severity == "note":
                continue
            stated = table()["rules"].get(rule.id)
            if stated and task not in stated.get("adds", ()):
                continue
            when = self.page.read(stated["when"]) if stated else rule.when
            goals = [(when, True), *self.finder.there(task), *self.finder.asked([gate]), (("done", task), False)]
            machine = self.finder.find(goals)
            if machine and self.page.truth(when, machine) is True:
                about = frozenset({("gate", gate), ("rule", rule.id), *self.page.touched(when)})
                what = f"{rule.id} calls for {task}"
                yield Case(about, what, self.finder.record(machine), (("planned", gate, task),))

    def of_order(self, gate: str) -> Iterator[Case]:
        """The gate is not open before the one before it."""
        after = table()["gates"][gate]["after"]
        for other, text in (after if isinstance(after, dict) else dict.fromkeys(after, "always")).items():
            machine = self.finder.find([(self.page.read(text), True), *self.finder.asked([gate, other])])
            if machine:
                about = frozenset({("gate", gate)})
                yield Case(about, f"{gate} after {other}", self.finder.record(machine), (("after", gate, other),))

    def of_wait(self, first: str, later: str) -> Iterator[Case]:
        """Both are called for, and the one waits for the other."""
        about = frozenset({("task", later), ("task", first)})
        for machine in self._both(first, later):
            plan = Shown(self.base, self.finder.record(machine)).plan
            if {first, later} <= {task.id for task in plan.tasks}:
                yield Case(about, f"{later} after {first}", self.finder.record(machine), (("first", first, later),))
                return

    def _both(self, first: str, later: str) -> Iterator[Machine]:
        there = [*self.finder.there(first), *self.finder.there(later)]
        ride: list[Goal] = [(("is", "plan_goal", ("ride",)), True)]
        machine = self.finder.find([*there, *ride])
        yield from [machine] if machine else []
        one, other = self._callers(first), self._callers(later)
        for when in other or [("always",)]:
            for also in one or [("always",)]:
                machine = self.finder.find([(when, True), (also, True), *there, *ride])
                if machine:
                    yield machine

    def _callers(self, task: str) -> list[Condition]:
        return [rule.when for rule in self.base.rules.values() if task in rule.adds and rule.severity != "note"][:6]


def _says(need: Need, when: Any, then: Any) -> bool:
    return not need.if_planned and plain(need.when) == plain(when) and plain(need.then) == plain(then)
