"""The cases that a careful tester makes of one condition: each part decisive by itself, each value, each edge.

A part decides where every other part of the same "and" holds and every other part of the same "or" does not. There the
whole comes out one way with the part and the other way without it.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from revive.model import Condition
from safety.page import OPS, Page
from safety.solving import Goal

MOST_MENTIONS = 4
"""In so many statements a fact is taken apart; in the others it is one part like any other."""


@dataclass(frozen=True)
class Way:
    """One case of a condition. makes: whether the condition holds then. path: how all other parts come out."""

    words: str
    makes: bool
    goals: tuple[Goal, ...]
    path: tuple[Goal, ...]

    @property
    def all_goals(self) -> list[Goal]:
        """The part first, then everything else."""
        return [*self.goals, *self.path]


class Ways:
    """Makes the cases; counts how often each fact was taken apart."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.mentions: Counter[str] = Counter()

    def of(self, condition: Condition) -> list[Way]:
        """Every case of a condition, those with which it holds first."""
        self._opened = set[str]()
        found = list(dict.fromkeys(self._ways(condition, True, ())))
        self.mentions.update(self._opened)
        return sorted(found, key=lambda way: not way.makes)

    def _ways(self, part: Condition, plus: bool, path: tuple[Goal, ...]) -> Iterator[Way]:
        kind = part[0]
        if kind == "not":
            yield from self._ways(part[1], not plus, path)
        elif kind in ("all", "any"):
            for place, inner in enumerate(part[1]):
                others = [other for at, other in enumerate(part[1]) if at != place]
                along = (*path, *((other, kind == "all") for other in others))
                yield from self._ways(inner, plus, along)
                if inner[0] in ("all", "any"):
                    yield Way(f"part {place + 1} does not hold", not plus, ((inner, False),), along)
        elif kind == "is":
            yield from self._is(part, plus, path)
        elif kind == "compare":
            yield from self._compare(part, plus, path)
        elif kind == "always":
            yield Way("it holds", plus, (), path)
        else:
            name = f"{part[1]} done" if kind == "done" else f"{part[1]} has {part[2]}"
            yield Way(name, plus, ((part, True),), path)
            yield Way(f"not {name}", not plus, ((part, False),), path)

    def _is(self, part: Condition, plus: bool, path: tuple[Goal, ...]) -> Iterator[Way]:
        _, name, values = part
        fact = self.page.facts.get(name)
        if fact and fact[0] == "yes_when" and (self.mentions[name] < MOST_MENTIONS):
            self._opened.add(name)
            yield from self._ways(fact[1], plus is ("yes" in values), path)
            return
        for value in values:
            yield Way(f"{name} = {value}", plus, ((("is", name, (value,)), True),), path)
        question = self.page.questions.get(name)
        if question is None or question.kind == "many":
            yield Way(f"{name} is none of these", not plus, ((part, False),), path)
            return
        others = [one for one in question.choices or ("yes", "no") if one not in values and one not in question.blind]
        for value in others if name != "layout" else others[:2]:
            yield Way(f"{name} = {value}", not plus, ((("is", name, (value,)), True),), path)

    def _compare(self, part: Condition, plus: bool, path: tuple[Goal, ...]) -> Iterator[Way]:
        _, name, op, reference, times = part
        fact = self.page.facts.get(name, ("", None))[0]
        step = 1.0 if fact in ("days_since", "points", "from_plan") else 0.01
        for delta, where in ((0.0, "on"), (-step, "just under"), (step, "just over")):
            holds = OPS[op](delta, 0.0)
            near = ("compare", name, "equals", reference, times, delta)
            yield Way(f"{name} {where} the limit", plus is holds, ((near, True),), path)
        yield Way(f"{name} {op}", plus, ((part, True),), path)
        yield Way(f"{name} not {op}", not plus, ((part, False),), path)
