"""Find a machine of which given conditions hold and others do not, by the words of the page alone.

A goal is a condition and how it shall come out. Goals are taken apart until each answer has only so many values left;
where there are several ways, they are tried one after the other.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from itertools import islice
from typing import Any

from revive.model import Condition, Question
from safety.mutants import FLIPPED
from safety.page import OPS, Machine, Page

Goal = tuple[Condition, bool]
Domains = dict[str, Any]
MOST_STEPS = 6000


@dataclass(frozen=True)
class Span:
    """The numbers that are left. over, under: whether the ends themselves are out."""

    low: float
    high: float
    over: bool = False
    under: bool = False

    def empty(self) -> bool:
        return self.low > self.high or (self.low == self.high and (self.over or self.under))

    def cut(self, op: str, number: float) -> "Span":
        """The numbers that compare so with a number as well."""
        if op == "equals":
            return self.cut("at_least", number).cut("at_most", number)
        if op in ("at_least", "more_than") and (number > self.low or (number == self.low and op == "more_than")):
            return Span(number, self.high, op == "more_than", self.under)
        if op in ("at_most", "less_than") and (number < self.high or (number == self.high and op == "less_than")):
            return Span(self.low, number, self.over, op == "less_than")
        return self

    def pick(self) -> float:
        """A plain number among them."""
        if self.low == self.high:
            return self.low
        middle = (self.low + self.high) / 2
        for number in (float(round(middle)), round(middle, 1), round(middle, 2)):
            if (self.low < number or (self.low == number and not self.over)) and number < self.high:
                return number
        return middle


@dataclass(frozen=True)
class Marks:
    """Ticks that there must be and must not be."""

    with_: frozenset[str] = frozenset()
    without: frozenset[str] = frozenset()


class Solver:
    """Solves goals for one page."""

    def __init__(self, page: Page) -> None:
        self.page = page

    def machines(self, goals: list[Goal], fixed: Mapping[str, Any] | None = None, each: int = 4) -> Iterator[Machine]:
        """Machines that meet the goals, a few of every layout. fixed: answers that stand, the layout among them."""
        fixed = fixed or {}
        for layout in [fixed["layout"]] if "layout" in fixed else self.page.layouts:
            start: Domains = {"layout": frozenset((layout,))}
            for name, value in {**self.page.layouts[layout].settles, **fixed}.items():
                domain = self._fixed(name, value)
                start[name] = domain
            self._left = MOST_STEPS
            for domains in islice(self._solve(list(goals), start, layout), each):
                yield self._machine(domains, layout)

    def _fixed(self, name: str, value: Any) -> Any:
        if isinstance(value, bool):
            return value
        if isinstance(value, frozenset):
            choices = frozenset(self.page.questions[name].choices)
            return Marks(value, choices - value)
        return frozenset((value,)) if isinstance(value, str) else Span(float(value), float(value))

    def _solve(self, goals: list[Any], domains: Domains, layout: str) -> Iterator[Domains]:
        self._left -= 1
        if self._left < 0:
            return
        choices: list[list[list[Goal]]] = []
        todo = list(goals)
        while todo:
            item = todo.pop(0)
            if isinstance(item, list):
                choices.append(item)
                continue
            found = self._take(*item, domains, layout)
            if found is None:
                return
            if isinstance(found, dict):
                domains = found
            elif len(found) == 1:
                todo = [*found[0], *todo]
            else:
                choices.append(found)
        if not choices:
            yield domains
            return
        first, *rest = choices
        for way in first:
            yield from self._solve([*way, *rest], domains, layout)

    def _take(
        self, condition: Condition, want: bool, domains: Domains, layout: str
    ) -> Domains | list[list[Goal]] | None:
        """The domains after a goal, or the ways in which it can be met; None where it cannot be met."""
        kind = condition[0]
        if kind == "always":
            return domains if want else None
        if kind in ("all", "any"):
            parts = [(part, want) for part in condition[1]]
            return [parts] if (kind == "all") is want else [[part] for part in parts]
        if kind == "not":
            return [[(condition[1], not want)]]
        if kind == "when":
            return [[(("any", (("not", condition[1]), condition[2])), want)]]
        if kind == "done":
            key = f"done {condition[1]}"
            return {**domains, key: want} if domains.get(key, want) is want else None
        if kind == "compare":
            return self._compare(condition, want, domains, layout)
        name = condition[1]
        values = (condition[2],) if kind == "has" else condition[2]
        question = self.page.questions.get(name)
        if question is None:
            return self._fact(name, values, want)
        if question.kind == "many":
            if want and len(values) > 1:
                return [[(("has", name, value), True)] for value in values]
            return self._mark(question, frozenset(values), want, domains)
        old = domains.get(name, frozenset(question.choices or ("yes", "no")))
        new = old & frozenset(values) if want else old - frozenset(values) - frozenset(question.blind)
        return {**domains, name: new} if new else None

    def _mark(self, question: Question, values: frozenset[str], want: bool, domains: Domains) -> Domains | None:
        old: Marks = domains.get(question.id, Marks())
        new = Marks(old.with_ | values, old.without) if want else Marks(old.with_, old.without | values)
        alone = new.with_ & frozenset(question.none)
        if new.with_ & new.without or (alone and len(new.with_) > 1) or not frozenset(question.choices) - new.without:
            return None
        return {**domains, question.id: new}

    def _fact(self, name: str, values: tuple[str, ...], want: bool) -> list[list[Goal]] | None:
        kind, of = self.page.facts[name]
        if kind == "yes_when":
            return [[(of, want is ("yes" in values))]]
        if kind != "band":
            return None
        spans = [
            (
                "all",
                (
                    ("compare", of.of, "more_than", ("number", over), 1.0),
                    ("compare", of.of, "at_most", ("number", to), 1.0),
                ),
            )
            for over, to, word in of.edges
            if (word in values) is want
        ]
        return [[(span, True)] for span in spans] or None

    def _compare(self, condition: Condition, want: bool, domains: Domains, layout: str) -> Domains | list[Any] | None:
        name, op, (where, reference), times, *more = condition[1:]
        op = op if want else FLIPPED[op]
        delta = more[0] if more else 0.0
        if where == "fact":
            return self._of_layout(
                reference, layout, lambda number: ("compare", name, op, ("number", number), times, delta)
            )
        number = (reference if where == "number" else self.page.limits[reference]) * times + delta
        if name in self.page.questions:
            question = self.page.questions[name]
            old: Span = domains.get(name, Span(question.low, question.high))
            new = old.cut(op, number)
            return None if new.empty() else {**domains, name: new}
        kind, of = self.page.facts[name]
        if kind == "days_since":
            span: Span = domains.get(f"days {of}", Span(0, 400)).cut(op, number)
            ok = not span.empty() and domains.get(f"done {of}", True) and (op != "equals" or number == int(number))
            return {**domains, f"days {of}": span, f"done {of}": True} if ok else None
        if kind == "largest":
            return self._largest(of, op, number)
        return self._points(of, op, number) if kind == "points" else None

    def _largest(self, names: tuple[str, ...], op: str, number: float) -> list[list[Goal]]:
        def compared(name: str, how: str) -> Goal:
            return ("compare", name, how, ("number", number), 1.0), True

        if op in ("at_most", "less_than"):
            return [[compared(name, op) for name in names]]
        known = [(("compare", name, "at_least", ("number", -1.0), 1.0), True) for name in names]
        if op == "equals":
            return [
                [compared(name, op), *(compared(other, "at_most") for other in names if other != name)]
                for name in names
            ]
        return [[compared(name, op), *known] for name in names]

    def _points(self, of: Any, op: str, number: float) -> list[list[Goal]] | None:
        names = list(dict.fromkeys(point["when"][1] for point in of))
        ways: list[dict[str, str]] = [{}]
        for name in names:
            ways = [{**way, name: choice} for way in ways for choice in self.page.questions[name].choices]
        good = []
        for way in ways:
            total = sum(float(point["add"]) for point in of if way[point["when"][1]] in point["when"][2])
            if total == number if op == "equals" else OPS[op](total, number):
                good.append([(("is", name, (choice,)), True) for name, choice in way.items()])
        return good or None

    def _of_layout(self, name: str, layout: str, made: Any) -> list[list[Goal]] | None:
        """A comparison with another answer, or with a number of the layout for each count of cylinders and valves."""
        if name in self.page.questions:
            asked = self.page.questions[name]
            numbers = (asked.low + (asked.high - asked.low) * part for part in (0.1, 0.5, 0.9))
            return [
                [(("compare", name, "equals", ("number", number), 1.0), True), (made(number), True)]
                for number in numbers
            ]
        kind, of = self.page.facts[name]
        if kind != "by_layout":
            return None
        ways = []
        for cylinders in (1.0, 2.0, 3.0, 4.0):
            for valves in (2.0, 4.0):
                settled = self.page.layouts[layout].settles
                machine = Machine(layout, {"cylinders": cylinders, "valves_per_cylinder": valves, **settled})
                number = self.page.of_layout(of, machine)
                if number is None:
                    return None
                asks = [
                    (("compare", asked, "equals", ("number", float(machine.answers[asked])), 1.0), True)
                    for asked in ("cylinders", "valves_per_cylinder")
                    if of == "points" and asked not in settled
                ]
                way = [*asks, (made(float(number)), True)]
                if way not in ways:
                    ways.append(way)
        return ways

    def _machine(self, domains: Domains, layout: str) -> Machine:
        settled = self.page.layouts[layout].settles
        answers: dict[str, Any] = {"layout": layout}
        for name, domain in domains.items():
            question = self.page.questions.get(name)
            if question is None or name in settled or name == "layout":
                continue
            if isinstance(domain, Span):
                answers[name] = domain.pick()
            elif isinstance(domain, Marks):
                answers[name] = domain.with_ or frozenset(
                    next(([one] for one in (*question.none, *question.choices) if one not in domain.without), ())
                )
            else:
                choices = [one for one in question.choices or ("yes", "no") if one in domain]
                answers[name] = next((one for one in choices if one not in question.blind), choices[0])
        done = frozenset(key.removeprefix("done ") for key, domain in domains.items() if domain is True)
        days = {key.removeprefix("days "): int(d.pick()) for key, d in domains.items() if key.startswith("days ")}
        return Machine(layout, answers, done, days)
