"""All cases of the page, statement by statement, so that they can be made in parts and judged in parts."""

from collections.abc import Iterator
from typing import Any

from revive.model import RuleBase
from safety.gate_cases import GateCases
from safety.machines import Finder
from safety.played import Case
from safety.rule_cases import RuleCases
from safety.stop_cases import StopCases
from safety.table import table
from safety.ways import Ways

Statement = tuple[Any, ...]


def statements() -> list[Statement]:
    """Every statement of the page."""
    page = table()
    found: list[Statement] = [("rule", rule) for rule in page["rules"]]
    found += [("stop", stop, rule) for stop, row in page["stops"].items() for rule in row["clears"]]
    for gate, row in page["gates"].items():
        found += [("need", gate, number) for number in range(len(row["needs"]))]
        found += [("planned", gate, task) for task in row.get("if_planned", ())]
        found.append(("order", gate))
    found += [("wait", first, later) for first, tasks in page["waits_for"].items() for later in tasks]
    return found


class Maker:
    """Makes the cases of statements for one rule base."""

    def __init__(self, base: RuleBase) -> None:
        self.finder = Finder(base)
        self.ways = Ways(self.finder.page)
        self.rules = RuleCases(self.finder, self.ways)
        self.stops = StopCases(self.finder, self.ways, self.rules)
        self.gates = GateCases(self.finder, self.ways)

    def of(self, statement: Statement) -> Iterator[Case]:
        """The cases of one statement."""
        kind, *names = statement
        made = {
            "rule": self.rules.of,
            "stop": self.stops.of,
            "need": self.gates.of_need,
            "planned": self.gates.of_planned,
            "order": self.gates.of_order,
            "wait": self.gates.of_wait,
        }
        open_limits: dict[str, float] = {}
        for case in _once(made[kind](*names)):
            open_limits |= {
                name: 1.0 for what, name in case.about if what == "limit" and not self.finder.page.limits[name]
            }
            yield case
        for limit, number in open_limits.items():
            yield from self._with_maker(limit, number, made[kind], names)

    def about(self, statement: Statement) -> set[tuple[str, str]]:
        """The entries of which the cases of a statement may speak."""
        kind, name, *more = statement
        page, base, read = table(), self.finder.base, self.finder.page.read
        if kind == "wait":
            return {("task", name), ("task", more[0])}
        if kind == "order":
            return {("gate", name)}
        found: set[tuple[str, str]] = {("gate", name)} if kind in ("need", "planned") else {(kind, name)}
        texts: list[str] = []
        if kind == "need":
            row = page["gates"][name]["needs"][more[0]]
            texts += [row[key] for key in ("then", "when") if key in row]
            found.add(("need", f"{name}: {self.gates.need_of(name, more[0]).text}"))
        elif kind == "planned":
            rules = [rule.id for rule in base.rules.values() if more[0] in rule.adds and rule.severity != "note"]
            found |= {("rule", rule) for rule in rules}
            texts += [page["rules"][rule]["when"] for rule in rules if rule in page["rules"]]
        else:
            rule = name if kind == "rule" else more[0]
            texts.append(page["rules"][rule]["when"])
            if kind == "stop":
                found.add(("rule", rule))
                lines = page["stops"][name]["clears"][rule]
                texts += lines.values() if isinstance(lines, dict) else [lines]
        return found.union(*(self.finder.page.touched(read(text)) for text in texts))

    def _with_maker(self, limit: str, number: float, made: Any, names: list[Any]) -> Iterator[Case]:
        """A limit of 0 leaves the number to the maker: the statement again on machines whose manual gives one."""
        limits, maker = self.finder.page.limits, self.finder.maker
        stated, limits[limit], maker[limit] = limits[limit], number, number
        yield from list(_once(made(*names)))
        limits[limit] = stated
        del maker[limit]


def _once(made: Iterator[Case]) -> Iterator[Case]:
    """Each case once: the same machine on which the same must be seen is found by more than one way."""
    seen: list[tuple[Any, ...]] = []
    for case in made:
        key = (case.seen, case.record)
        if key not in seen:
            seen.append(key)
            yield case


def cases(base: RuleBase, share: int = 1) -> list[Case]:
    """The cases of every statement, or of one in `share`."""
    maker = Maker(base)
    return [case for statement in statements()[share - 1 :: share] for case in maker.of(statement)]
