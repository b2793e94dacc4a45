"""Looks for machines that the page describes, and writes them down as records: findings first, work, then what was seen.

Machines are looked for with means of the rules as shipped (which questions there are, where a task exists); what must
come of them is said by the page.
"""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta
from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.conditions import names_in
from revive.model import GATES, Answer, Condition, MakerFigure, Record, RuleBase, Work
from safety.page import Machine, Page
from safety.played import DAY
from safety.solving import Goal, Solver

FOUND_ON, DONE_ON, SEEN_ON = "2026-11-20", "2026-11-21", "2026-11-22"
MOST_UNLIKELY = 12
"""So many machines with answers to questions that would not be asked are passed over before one of them is taken."""


class Finder:
    """Finds machines for one page."""

    def __init__(self, base: RuleBase) -> None:
        self.base, self.page = base, Page(base)
        self.solver = Solver(self.page)
        self.maker: dict[str, float] = {}
        self.compiled = compile_base(base)

    def find(self, goals: list[Goal], fixed: Mapping[str, Any] | None = None) -> Machine | None:
        """A machine that meets the goals, if possible one on which every answer is to a question that is asked."""
        kept = None
        for count, machine in enumerate(self.solver.machines(goals, fixed)):
            if all(self.page.truth(skip, machine) is not True for skip in self._skips(machine)):
                return machine
            kept = kept or machine
            if count == MOST_UNLIKELY:
                break
        return kept

    def _skips(self, machine: Machine) -> list[Condition]:
        asked = (self.page.questions[name] for name in machine.answers)
        return [question.skip_when for question in asked if question.skip_when]

    def like(self, other: Machine, goals: list[Goal]) -> Machine | None:
        """A machine like another one in all but what the first goal speaks of; failing that, any that meets the goals."""
        about = self.questions(goals[0][0]) if goals else set()
        same: dict[str, Any] = {name: value for name, value in other.answers.items() if name not in about}
        changed = goals[0][0][1] if goals and goals[0][0][0] == "done" else ""
        same |= {f"done {task}": True for task in other.done if task != changed}
        if "layout" in about or (goals and goals[0][0][0] in ("all", "any", "not")):
            return self.find(goals)
        return self.find(goals, same) or self.find(goals)

    def questions(self, condition: Condition) -> set[str]:
        """Questions that a condition rests on, through the facts of the page."""
        found, todo = set[str](), list(names_in(condition))
        while todo:
            name = todo.pop()
            if name in found:
                continue
            found.add(name)
            kind, of = self.page.facts.get(name, ("", None))
            if kind == "yes_when":
                todo.extend(names_in(of))
            elif kind == "band":
                todo.append(of.of)
            elif kind == "largest":
                todo.extend(of)
            elif kind == "points":
                todo.extend(point["when"][1] for point in of)
        return found & set(self.page.questions)

    def not_looked_at(self, machine: Machine, needed: Condition, *but: Condition) -> Iterator[tuple[str, Machine]]:
        """The machine with one answer of a condition left out, where without it the condition no longer holds."""
        kept = {name for condition in but for name in self.questions(condition)}
        for name in sorted(self.questions(needed) & set(machine.answers) - kept - {"layout"}):
            left = self.without(machine, name)
            if left and self.page.truth(needed, left) is None:
                yield name, left

    def without(self, machine: Machine, name: str) -> Machine | None:
        """The machine with one question not answered; None where the question is not one for it."""
        answers = {asked: value for asked, value in machine.answers.items() if asked != name}
        left = Machine(machine.layout, answers, machine.done, machine.days)
        skip = self.page.questions[name].skip_when
        return None if skip and self.page.truth(skip, left) is True else left

    # --- goals

    def asked(self, gates: Iterable[str]) -> list[Goal]:
        """The purpose uses these gates."""
        return [(self.page.needed(gate), True) for gate in gates]

    def there(self, task: str) -> list[Goal]:
        """The task exists on the machine."""
        only_if = self.base.tasks[task].only_if
        return [(only_if, True)] if only_if else []

    def exists(self, task: str, machine: Machine) -> bool:
        """Whether the machine says for certain that the task exists on it."""
        only_if = self.base.tasks[task].only_if
        return only_if is None or self.page.truth(only_if, machine) is True

    def most(
        self, goals: list[Goal], wishes: Iterable[list[Goal]], fixed: Mapping[str, Any] | None = None
    ) -> Machine | None:
        """A machine that meets the goals and as many of the wishes as go together, the first ones first."""
        wishes = list(wishes)
        machine = self.find([*goals, *(goal for wish in wishes for goal in wish)], fixed)
        if machine or not any(wishes):
            return machine
        taken: list[Goal] = []
        found = self.find(goals, fixed)
        for wish in wishes if found else ():
            better = self.find([*goals, *taken, *wish], fixed) if wish else None
            if better:
                found, taken = better, [*taken, *wish]
        return found

    def served(self, task: str, held: Iterable[str], machine: Machine) -> bool:
        """Whether the purpose of the machine has a use for a task that a rule calls for. held: gates that it helps to open."""
        gates = list(held) or [self.base.tasks[task].gate]
        used = any(self.page.truth(self.page.needed(gate), machine) is True for gate in gates)
        return used or gates == [GATES[-1]]

    def looks(self, task: str, machine: Machine) -> bool:
        """Whether a task settles something that is asked before the engine runs, with no gate before it that is not used."""
        asked = (self.page.questions.get(name) for name in self.base.tasks[task].records)
        behind = self.compiled.behind[task]
        used = all(self.page.truth(self.page.needed(gate), machine) is True for gate in behind)
        return used and any(question.stage in (2, 3) for question in asked if question)

    def record(self, machine: Machine, again: Iterable[str] = (), same_day: Iterable[str] = ()) -> Record:
        """The record of a machine: findings on the first day, work on the second; `again`: answers given on the third.

        same_day: answers given on the day of the work.
        """
        days = {**dict.fromkeys(again, SEEN_ON), **dict.fromkeys(same_day, DONE_ON)}
        answers = {
            name: Answer(tuple(sorted(value)) if isinstance(value, frozenset) else value, days.get(name, FOUND_ON))
            for name, value in machine.answers.items()
        }
        done = {
            task: Work(_days_before(machine.days[task]) if task in machine.days else DONE_ON) for task in machine.done
        }
        maker = {limit: MakerFigure(value) for limit, value in self.maker.items()}
        return Record(answers=answers, done=dict(sorted(done.items())), maker=maker)


def _days_before(days: int) -> str:
    return (date.fromisoformat(DAY) - timedelta(days)).isoformat()
