"""What reading the rule files has found so far. Keeps it; judges nothing."""

from dataclasses import dataclass, field
from typing import Any

from revive.problems import Problem


@dataclass(frozen=True)
class Use:
    """One mention of a name. kind: question, fact, amount, choice, compare, has, task, gate, stop, rule, limit, source
    or layout. by: who mentions it, as "kind id"; detail: the choice, task or comparison that goes with the name."""

    kind: str
    name: str
    file: str
    line: int
    by: str
    detail: Any = None


@dataclass
class Gathered:
    """What reading the files has found so far; every table is id -> model object, in file order.

    tried: (kind, id) of every entry met, also of those that could not be made; unread: kinds of which a file is lost.
    Nobody is told that such a name is unknown: its own problem is told already.
    """

    tables: dict[str, dict[str, Any]] = field(default_factory=dict)
    places: dict[tuple[str, str], tuple[str, int]] = field(default_factory=dict)
    uses: list[Use] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    limit_names: set[str] = field(default_factory=set)
    overrides: list[str] = field(default_factory=list)
    shipped_limits: dict[str, float] = field(default_factory=dict)
    tried: set[tuple[str, str]] = field(default_factory=set)
    unread: set[str] = field(default_factory=set)
    files: int = 0
    overlay: bool = False

    def table(self, kind: str) -> dict[str, Any]:
        return self.tables.setdefault(kind, {})

    def place(self, kind: str, name: str) -> str:
        """file:line of a definition, or an empty text."""
        file, line = self.places.get((kind, name), ("", 0))
        return f"{file}:{line}" if file else ""

    def problem(self, file: str, line: int, code: str, what: str, mend: str) -> None:
        self.problems.append(Problem(file, line, code, what, mend))


def at_entry(gathered: Gathered, kind: str, name: str, code: str, what: str, mend: str) -> None:
    """Add a problem at the place where an entry is defined."""
    file, line = gathered.places[kind, name]
    gathered.problem(file, line, code, what, mend)
