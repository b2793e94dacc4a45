"""The cases of each safety rule of the page: it fires and keeps quiet, holds its gates until its work is done, calls for it."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from revive.model import GATES, Answer, Condition
from safety.machines import Finder
from safety.page import OPS, Machine
from safety.played import DAY, Case, Seen
from safety.solving import Goal
from safety.table import table
from safety.ways import Way, Ways


def held_by(row: Mapping[str, Any]) -> dict[str, tuple[str, ...]]:
    """Gate -> tasks that release it, of one rule of the page."""
    holds, adds = row.get("holds", ()), tuple(row.get("adds", ()))
    return {gate: tuple(holds[gate]) if isinstance(holds, dict) else adds for gate in holds}


def groups(gates: Iterable[str]) -> list[tuple[str, ...]]:
    """Gates that one purpose uses together: a machine that is sold is not ridden."""
    gates = list(gates)
    sold = tuple(gate for gate in gates if gate == GATES[-1])
    ridden = tuple(gate for gate in gates if gate != GATES[-1])
    return [group for group in (ridden, sold) if group] or [()]


class RuleCases:
    """Makes the cases of rules."""

    def __init__(self, finder: Finder, ways: Ways) -> None:
        self.finder, self.page, self.ways = finder, finder.page, ways

    def of(self, rule: str) -> Iterator[Case]:
        """Every case of one rule."""
        row = table()["rules"][rule]
        when = self.page.read(row["when"])
        about = frozenset({("rule", rule), *self.page.touched(when)})
        if ("fact", "oldest_stop_days") in about:
            yield from self._old_stop(rule, when, about)
            return
        held = held_by(row)
        yield from self._fires_and_not(rule, row, held, when, about)
        if "stop" in row:
            yield from self._possible(rule, row, when, about)
            yield from self._looked_at(rule, row, when, about)
            return
        for gate, tasks in held.items():
            yield from self._released(rule, gate, tasks, when, about)

    def _fires_and_not(
        self, rule: str, row: Mapping[str, Any], held: Mapping[str, tuple[str, ...]], when: Condition, about: Any
    ) -> Iterator[Case]:
        adds = row.get("adds", ())
        seen_called: set[str] = set()
        last: dict[tuple[str, ...], Machine] = {}
        for way in self.ways.of(when):
            for group in groups(held):
                used, machine = self._machine(way, group, adds, last.get(group))
                if machine is None or self.page.truth(when, machine) is not way.makes:
                    continue
                if way.makes:
                    seen = self.when_fired(rule, used, machine)
                    if group in last:  # on one machine everything is looked at; on the others what decides
                        seen = tuple(one for one in seen if one[0] in ("certain", "held"))
                    if used == group:
                        last.setdefault(group, machine)
                    seen_called |= {one[2] for one in seen if one[0] == "calls"}
                else:
                    seen = (("silent", rule), *(("free", gate, rule) for gate in used))
                yield Case(about, f"{rule}, {way.words}", self.finder.record(machine), seen)
        for task in (task for task in adds if task not in seen_called):
            for group in groups(held):
                goals = [(when, True), *self.finder.there(task), *self.finder.asked(group)]
                gates = [] if group else self.finder.asked([self.finder.base.tasks[task].gate])
                machine = self.finder.find([*goals, *gates])
                if machine and self.page.truth(when, machine):
                    what = f"{rule} where {task} exists"
                    yield Case(about, what, self.finder.record(machine), self.when_fired(rule, group, machine))
                    break

    def _machine(
        self, way: Way, group: tuple[str, ...], adds: Iterable[str], like: Machine | None
    ) -> tuple[tuple[str, ...], Machine | None]:
        """A machine for a way, and the gates of the group that its purpose uses: all of them, or as many as go with it."""
        for count in range(len(group), 0, -1) if group else (0,):
            used = group[:count]
            goals = [*way.all_goals, *self.finder.asked(used)]
            if not way.makes and like:
                machine = self.finder.like(like, goals)
            else:
                purpose: list[Goal] = [] if used else [(("is", "plan_goal", ("ride",)), True)]
                machine = self.finder.most(goals, [purpose, *(self.finder.there(task) for task in adds)])
            if machine:
                return used, machine
        return group, None

    def when_fired(self, rule: str, group: tuple[str, ...], machine: Machine) -> tuple[Seen, ...]:
        """What must be seen where a rule fires and nothing was done about it."""
        row = table()["rules"][rule]
        stop = row.get("stop", "")
        words_only = table()["stops"][stop].get("words_only", False) if stop else False
        seen: list[Seen] = [("certain", rule)]
        seen += [("held", gate, rule, stop, True) for gate in group if not words_only]
        seen += self.calls(rule, machine)
        seen += [("raised", stop, rule, group)] if stop and group else []
        return tuple(seen)

    def calls(self, rule: str, machine: Machine) -> list[Seen]:
        """The work that a rule must call for on a machine on which it fires."""
        row = table()["rules"][rule]
        found: list[Seen] = []
        for task in row.get("adds", ()):
            gates = [gate for gate, tasks in held_by(row).items() if task in tasks]
            if self.finder.exists(task, machine) and self.finder.served(task, gates, machine):
                found.append(("calls", rule, task, row["severity"]))
        return found

    def _released(self, rule: str, gate: str, tasks: tuple[str, ...], when: Condition, about: Any) -> Iterator[Case]:
        """All work but one part done, then all of it."""
        start: list[Goal] = [(when, True), *self.finder.asked([gate])]
        finished: list[Goal] = [(("done", task), True) for task in tasks]
        for left in tasks if len(tasks) > 1 else ():
            others: list[Goal] = [(("done", task), task != left) for task in tasks]
            machine = self.finder.find([*start, *others, *self.finder.there(left)])
            if machine and self.page.truth(when, machine):
                seen = (("held", gate, rule, "", False),)
                yield Case(about, f"{rule}, all done but {left}", self.finder.record(machine), seen)
        machine = self.finder.most([*start, *finished], [self.finder.there(task) for task in tasks])
        if machine and self.page.truth(when, machine):
            seen_free: list[Seen] = [("free", gate, rule), *self.calls(rule, machine)]
            yield Case(about, f"{rule}, all done", self.finder.record(machine), tuple(seen_free))

    def _possible(self, rule: str, row: Mapping[str, Any], when: Condition, about: Any) -> Iterator[Case]:
        """While a finding is not known, the plan says that the work hangs on it."""
        for task in row.get("adds", ()):
            for name in sorted(self.finder.questions(when)):
                question = self.page.questions[name]
                if name == "layout" or question.yielded_by:
                    continue
                opened: list[Goal] = [(("done", question.opens_after), True)] if question.opens_after else []
                goals = [(when, True), *opened, *self.finder.there(task), *self.finder.asked(row.get("holds", ()))]
                machine = self.finder.find(goals)
                left = self.finder.without(machine, name) if machine else None
                if left and self.page.truth(when, left) is None and self.finder.exists(task, left):
                    what = f"{rule}, {name} not known"
                    yield Case(about, what, self.finder.record(left), (("possible", task, name),))
                    break

    def _looked_at(self, rule: str, row: Mapping[str, Any], when: Condition, about: Any) -> Iterator[Case]:
        """A machine that is not meant to pass the gate held: the work of the rule that only looks is called for all the same."""
        for purpose in ("inspect_only", "sell_as_is", "run_once"):
            machine = self.finder.find([(when, True), (("is", "plan_goal", (purpose,)), True)])
            if machine is None:
                continue
            looks = [task for task in row.get("adds", ()) if self.finder.looks(task, machine)]
            seen = tuple(("calls", rule, task, row["severity"]) for task in looks if self.finder.exists(task, machine))
            if seen:
                yield Case(about, f"{rule}, {purpose}", self.finder.record(machine), seen)

    def _old_stop(self, rule: str, when: Condition, about: Any) -> Iterator[Case]:
        """A stop that has stood for so many days, on, just under and just over the limit."""
        _, _, op, (_, limit), times = when
        days = self.page.limits[limit] * times
        raiser = next(
            name for name, row in table()["rules"].items() if row.get("stop") and "road" in row.get("holds", ())
        )
        raised = self.page.read(table()["rules"][raiser]["when"])
        machine = self.finder.find([(raised, True), *self.finder.asked(["road"])])
        assert machine is not None
        for number in (days - 1, days, days + 1):
            made = self.finder.record(Machine(machine.layout, machine.answers, frozenset({"_"}), {"_": int(number)}))
            on = made.done["_"].on
            answers = {name: Answer(answer.value, on) for name, answer in made.answers.items()}
            fires = OPS[op](number, days)
            seen: tuple[Seen, ...] = (("certain", rule), *self.calls(rule, machine)) if fires else (("silent", rule),)
            yield Case(about, f"a stop for {number:g} days on {DAY}", replace(made, answers=answers, done={}), seen)
