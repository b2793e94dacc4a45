"""Find the inputs of a plan's figures: on record, in the maker's manual, by the engine layout, or a stated fallback.

Pure. It refuses to invent: where none of these has a value the input is missing, and so is the figure.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any, NamedTuple

from revive.engine.conditions import NOT_APPLICABLE, Ticks
from revive.engine.facts import is_askable, is_blind
from revive.engine.interview import outdated_answers
from revive.engine.study import Study
from revive.figures import Figure, FigureError, reckon
from revive.plan import PlanTask

UNKNOWN_CHOICES = ("unknown_kind", "unknown_fuel", "unknown_fluid")
"""Answers which say that somebody looked and could not tell."""


class Given(NamedTuple):
    """One input. origin: record, maker, layout, plan (work that the plan holds), figure (reckoned here) or fallback.

    limit: the name under which a record's `maker` section gives the manual's figure in its place.
    ask: the question whose answer would take its place.
    """

    value: Any
    origin: str
    limit: str = ""
    ask: str = ""


class Inputs:
    """The inputs of one plan's figures. to_do: ids of tasks that are still to be done; planned: of all tasks."""

    def __init__(self, study: Study, tasks: Sequence[PlanTask]) -> None:
        self.study, self.case = study, study.case
        self.base = study.case.compiled.base
        self.tasks = tasks
        self.to_do = {task.id for task in tasks if task.state == "to_do"}
        self.planned = {task.id for task in tasks}
        self.asks: dict[str, None] = {}
        self._outdated = outdated_answers(study.case)

    def due(self, *tasks: str) -> tuple[str, ...]:
        """Those of the tasks that are still to be done, in the given order."""
        return tuple(task for task in tasks if task in self.to_do)

    def answer(self, name: str) -> Given | None:
        """What is known of a question or derived fact; None where it is not, or where work has outdated it.

        "Don't know" gives the question's worst value as a fallback.
        """
        if (name not in self.base.questions and name not in self.base.facts) or name in self._outdated:
            return None
        question, told = self.base.questions.get(name), self.case.answers.get(name)
        value = self.study.recorded.sight.rule[name]
        if _is_known(value) and not (question and is_blind(question, value)) and value not in UNKNOWN_CHOICES:
            return Given(value, "record" if told else "layout" if question else "fallback")
        value = self.study.assumed.sight.rule[name]
        if not _is_known(value) or value in UNKNOWN_CHOICES:
            return None
        return Given(value, "layout" if question and told is None else "fallback")

    def word(self, name: str) -> str:
        """A known choice or yes/no fact; empty where it is not known."""
        found = self.answer(name)
        return found.value if found and isinstance(found.value, str) else ""

    def number(self, name: str) -> float | None:
        """A known number; None where it is not known."""
        found = self.answer(name)
        return float(found.value) if found and isinstance(found.value, int | float) else None

    def best(self, question: str = "", limit: str = "", layout: str = "") -> Given | None:
        """The best value there is: answered, the maker's, the layout's, the fallback of `limits.yaml`."""
        answered = self.answer(question) if question else None
        if answered and answered.origin == "record":
            return answered
        if limit in self.case.record.maker and limit in self.base.limits:
            return Given(self.case.limits[limit], "maker", limit)
        ask = self.can_ask(question)
        if answered:
            return answered._replace(limit=limit, ask=ask)
        by_layout = self.answer(layout) if layout else None
        if by_layout:
            return Given(by_layout.value, "layout", limit, ask)
        if limit in self.case.limits:
            return Given(self.case.limits[limit], "fallback", limit, ask)
        return None

    def can_ask(self, name: str) -> str:
        """The question's name, where it is still open, can be asked now and applies to this machine; else empty."""
        question = self.base.questions.get(name)
        if question is None or name in self.case.answers or not is_askable(self.case, question):
            return ""
        applies = self.study.judge.plain.applies(question) and self.study.recorded.applies(question)
        return name if applies else ""

    def want(self, *questions: str) -> None:
        """Note questions whose answers would bring a figure that helps here."""
        self.asks.update(dict.fromkeys(name for name in questions if self.can_ask(name)))

    def reckon(self, name: str, inputs: Mapping[str, Given | None]) -> Figure | None:
        """The figure; None where an input is missing or the method refuses it."""
        if any(given is None for given in inputs.values()):
            return None
        return _reckoned(name, tuple((key, given.value) for key, given in inputs.items() if given))

    def row(
        self, figure: Figure, inputs: Mapping[str, Given | None], tasks: Sequence[str], says: str
    ) -> Mapping[str, Any]:
        """A figure as the plan holds it. tasks: those that it helps to decide; says: what it decides, in sentences."""
        given = {name: one for name, one in inputs.items() if one}
        self.want(*(one.ask for one in given.values() if one.ask))
        return {
            "id": figure.id,
            "value": figure.value,
            "unit": figure.unit,
            "inputs": dict(figure.inputs),
            "method": figure.method,
            "source": figure.source,
            "note": figure.note,
            "also": dict(figure.also),
            "inputs_from": {name: given[name].origin if name in given else "fallback" for name in figure.inputs},
            "maker_may_give": {name: one.limit for name, one in given.items() if one.limit and one.origin != "maker"},
            "says": says,
            "tasks": list(tasks),
        }


def _is_known(value: Any) -> bool:
    return value is not None and value == value and value != NOT_APPLICABLE and not isinstance(value, Ticks)


@lru_cache(maxsize=4096)
def _reckoned(name: str, pairs: tuple[tuple[str, Any], ...]) -> Figure | None:
    try:
        return reckon(name, dict(pairs))
    except FigureError:
        return None
