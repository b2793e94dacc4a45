"""The page table.yaml as conditions, and what is true of a machine by the page alone. Asks the engine nothing.

Facts and limits have the meaning that the page states. What the page leaves to the rules is taken from them: which
questions there are, what a layout settles, and the few reckoned facts that the page names without stating them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from revive.model import Condition, Layout, Question, RuleBase
from safety.notation import parse
from safety.table import table

Truth = bool | None
OPS = {
    "at_least": lambda one, other: one >= other,
    "more_than": lambda one, other: one > other,
    "at_most": lambda one, other: one <= other,
    "less_than": lambda one, other: one < other,
}


@dataclass(frozen=True)
class Machine:
    """A made-up machine. answers: question -> choice, number or set of ticks. days: finished task -> days since."""

    layout: str
    answers: Mapping[str, Any]
    done: frozenset[str] = frozenset()
    days: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True)
class Band:
    """A number sorted into words. of: the number; edges: (over, up to, word)."""

    of: str
    edges: tuple[tuple[float, float, str], ...]


class Page:
    """The statements, read once for one rule base."""

    def __init__(self, base: RuleBase) -> None:
        self.base = base
        self._read: dict[str, Condition] = {}
        self.questions: Mapping[str, Question] = base.questions
        self.layouts: Mapping[str, Layout] = base.layouts
        self.limits = {name: float(text.split()[0]) for name, text in table()["limits"].items()}
        self.facts: dict[str, tuple[str, Any]] = {name: self._fact(text) for name, text in table()["facts"].items()}
        for name, fact in base.facts.items():
            self.facts.setdefault(name, (fact.kind, fact.of))

    def read(self, text: str) -> Condition:
        """A statement as a condition; the same one each time."""
        if text not in self._read:
            self._read[text] = parse(text, self.limits)
        return self._read[text]

    def _fact(self, text: str) -> tuple[str, Any]:
        if text.startswith("the largest of "):
            return "largest", tuple(text.removeprefix("the largest of ").split(" and "))
        if text.startswith("of the layout, "):
            return "by_layout", text.removeprefix("of the layout, ")
        if ", then " in text:
            head, last = text.split(", then ")
            of, rest = head.split(" to ", 1)
            low, edges = float("-inf"), []
            for part in ("to " + rest).split(", "):
                _, number, word = part.split(" ")
                edges.append((low, float(number), word))
                low = float(number)
            return "band", Band(of, (*edges, (low, float("inf"), last)))
        return "yes_when", self.read(text)

    def needed(self, gate: str) -> Condition:
        """Where a gate is asked about at all."""
        unused = table()["gates"][gate].get("not_needed")
        return ("not", self.read(unused)) if unused else ("always",)

    def touched(self, condition: Condition) -> set[tuple[str, str]]:
        """Every fact and limit that a condition rests on, near or far."""
        found: set[tuple[str, str]] = set()
        todo = [condition]
        while todo:
            one = todo.pop()
            kind = one[0]
            if kind in ("all", "any"):
                todo.extend(one[1])
            elif kind in ("not", "when"):
                todo.extend(one[1:])
            names = [one[1]] if kind in ("is", "has", "compare") else []
            if kind == "compare":
                names += [one[3][1]] if one[3][0] == "fact" else []
                found |= {("limit", one[3][1])} if one[3][0] == "limit" else set()
            for name in names:
                if name in self.facts and ("fact", name) not in found:
                    found.add(("fact", name))
                    if self.facts[name][0] == "yes_when":
                        todo.append(self.facts[name][1])
        return found

    # --- what is true of a machine

    def truth(self, condition: Condition, machine: Machine) -> Truth:
        """Whether a condition holds of a machine; None where the machine does not say."""
        kind = condition[0]
        if kind == "always":
            return True
        if kind in ("all", "any"):
            parts = {self.truth(part, machine) for part in condition[1]}
            decides = kind == "any"
            return decides if decides in parts else None if None in parts else not decides
        if kind == "not":
            inner = self.truth(condition[1], machine)
            return None if inner is None else not inner
        if kind == "when":
            return self.truth(("any", (("not", condition[1]), condition[2])), machine)
        if kind == "done":
            return condition[1] in machine.done
        value = self.value(condition[1], machine)
        if value is None:
            return None
        if kind == "compare":
            where, name = condition[3]
            limit = name if where == "number" else self.limits[name] if where == "limit" else self.value(name, machine)
            return None if limit is None else bool(OPS[condition[2]](value, limit * condition[4]))
        wanted = {condition[2]} if kind == "has" else set(condition[2])
        if isinstance(value, frozenset):
            return bool(value & wanted)
        if value in wanted:
            return True
        question = self.questions.get(condition[1])
        return None if question and value in question.blind else False

    def value(self, name: str, machine: Machine) -> Any:
        """The value of a question or fact; None where the machine does not say."""
        if name == "layout":
            return machine.layout or None
        if name in self.questions:
            settled = self.layouts[machine.layout].settles if machine.layout else {}
            return machine.answers.get(name, settled.get(name))
        kind, of = self.facts[name]
        if kind == "yes_when":
            truth = self.truth(of, machine)
            return None if truth is None else "yes" if truth else "no"
        if kind == "band":
            number = self.value(of.of, machine)
            return None if number is None else next(word for over, to, word in of.edges if over < number <= to)
        if kind == "largest":
            values = [self.value(one, machine) for one in of]
            return None if None in values else max(values)
        if kind == "by_layout":
            return self.of_layout(of, machine)
        if kind == "points":
            truths = [self.truth(point["when"], machine) for point in of]
            told = zip(of, truths, strict=True)
            return None if None in truths else sum(float(point["add"]) for point, truth in told if truth)
        if kind == "days_since":
            return float(machine.days.get(of, 0)) if of in machine.done else None
        return None

    def of_layout(self, wanted: str, machine: Machine) -> Any:
        """A number that goes with the layout; the points at which oil must be seen are counted on it."""
        if not machine.layout:
            return None
        layout = self.layouts[machine.layout]
        if wanted != "points":
            return layout.facts.get(wanted)
        total = 0.0
        for point in layout.points:
            count = float(point.get("count", 1))
            per = point.get("per", "engine")
            if per != "engine":
                cylinders = self.value("cylinders", machine)
                each = 1.0 if per == "cylinder" else self.value("valves_per_cylinder", machine)
                if cylinders is None or each is None:
                    return None
                count *= float(cylinders) * float(each)
            total += count
        return total
