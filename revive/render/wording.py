"""Say dates, states, times, answers and names as people read them. Lays nothing out and decides nothing."""

import re

from revive.model import DONT_KNOW, Part, RuleBase, SourceRef
from revive.plan import Plan, PlanGate, PlanTask
from revive.text import inert, span, spoken

_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_COUNTED = ("set", "sheet", "roll", "pair", "sachet", "pack", "job")
_NAME = re.compile(r"\b[a-z][a-z0-9]*(?:[_-][a-z0-9]+)+\b")
WHO = {
    "owner": "one person",
    "with_helper": "with a helper",
    "skilled": "skilled hands",
    "shop": "a workshop",
}
BY = {"owner": "the owner", "with_helper": "the owner with a helper", "skilled": "skilled hands", "shop": "a workshop"}
NO_SOURCE = {"common_practice": "common practice of the trade", "from_memory": "from memory"}


def flat(text: object) -> str:
    """Any text on one line and without control characters.

    >>> flat("Grey\\n\\x1b[31mtwin")
    'Grey [31mtwin'
    """
    return " ".join(inert(text).split())


def day_words(date: str) -> str:
    """An ISO date as it is read; other text stays as it is.

    >>> day_words("2026-11-05T10:40"), day_words("")
    ('5 November 2026', '')
    """
    found = re.match(r"(\d{4})-(\d\d)-(\d\d)", date)
    if not found or not 1 <= int(found[2]) <= 12:
        return flat(date)
    return f"{int(found[3])} {_MONTHS[int(found[2]) - 1]} {found[1]}"


def wait_words(hours: float) -> str:
    """A waiting time.

    >>> wait_words(0.5), wait_words(12), wait_words(336)
    ('30 min', '12 h', '14 days')
    """
    return f"{hours / 24:.0f} days" if hours >= 48 else span(hours * 60)


def lower_first(text: str) -> str:
    """A title inside a sentence; names in capitals stay.

    >>> lower_first("Drain the oil"), lower_first("DO NOT START")
    ('drain the oil', 'DO NOT START')
    """
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def sentence(text: str) -> str:
    """Text with a capital in front and a stop at its end.

    >>> sentence("dry bearings")
    'Dry bearings.'
    """
    text = text.strip()
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "?", "!")) else ".") if text else ""


def counted(number: int, one: str, many: str = "") -> str:
    """A number with its noun.

    >>> counted(1, "task"), counted(3, "task")
    ('1 task', '3 tasks')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"


class Names:
    """Titles and numbers in place of ids, for one plan and rule base."""

    def __init__(self, plan: Plan, base: RuleBase) -> None:
        self.base = base
        self.number = {task.id: task.order for task in plan.tasks}
        self.marks = {str(row["id"]): place for place, row in enumerate(plan.sources, start=1)}
        self.ids = {*base.facts, *base.limits, *base.layouts}
        self.ids.update(choice for question in base.questions.values() for choice in question.choices)

    def prose(self, text: object) -> str:
        """Text from the rule base with the ids in it replaced by titles."""
        return _NAME.sub(lambda found: self._named(found[0]), flat(text))

    def _named(self, name: str) -> str:
        if name in self.base.tasks:
            return f'"{self.task(name)}"'
        asked = self.base.questions.get(name)
        if asked and "_" in name:
            return (
                spoken(re.sub(r"_(l|y|mm|ml|cc|bar|s)$", "", name))
                if asked.kind == "number"
                else f'"{flat(asked.ask)}"'
            )
        if name in self.base.stops:
            return f'"{flat(self.base.stops[name].title)}"'
        return name.replace("_", " ") if name in self.ids else name

    def pointed(self, text: object) -> str:
        """The same, with a number alone for each task that the plan has."""
        return _NAME.sub(
            lambda at: f"task {self.number[at[0]]}" if at[0] in self.number else self._named(at[0]), flat(text)
        )

    def task(self, name: str) -> str:
        """A task's title, with its number where the plan has it."""
        title = flat(self.base.tasks[name].title)
        return f"{title} ({self.number[name]})" if name in self.number else title

    def question(self, name: str) -> str:
        """A question in words, or the meaning of a derived fact."""
        if name in self.base.questions:
            return flat(self.base.questions[name].ask)
        fact = self.base.facts.get(name)
        return flat(fact.text) if fact and fact.text else spoken(name)

    def value(self, question: str, value: object) -> str:
        """An answer in the words of its choice, or with its unit."""
        asked = self.base.questions.get(question)
        if isinstance(value, list | tuple):
            return "; ".join(self.value(question, one) for one in value)
        if value == DONT_KNOW:
            return "don't know"
        if asked and value in asked.choices:
            return flat(asked.choices[str(value)])
        if asked and asked.unit:
            return amount(value, asked.unit) if isinstance(value, int | float) else f"{spoken(value)} {asked.unit}"
        return spoken(value)

    def settled(self, name: str) -> str:
        """A task or question that something waits for."""
        if name in self.base.tasks:
            return lower_first(self.task(name))
        return f"an answer to: {self.question(name)}" if name in self.base.questions else spoken(name)

    def source(self, ref_id: str) -> str:
        """A source by its title."""
        if ref_id in NO_SOURCE:
            return NO_SOURCE[ref_id]
        return flat(self.base.sources[ref_id].title) if ref_id in self.base.sources else flat(ref_id)

    def sources(self, refs: tuple[SourceRef, ...]) -> str:
        """Sources by title, with the place in each."""
        return "; ".join(
            f"{self.source(ref.id)}, {self.prose(ref.where)}" if ref.where else self.source(ref.id) for ref in refs
        )

    def cited(self, refs: tuple[SourceRef, ...]) -> str:
        """Sources by the numbers that the plan's list of them gives; a source that it does not list by title."""
        marks = ((f"[{self.marks[ref.id]}]" if ref.id in self.marks else self.source(ref.id), ref) for ref in refs)
        return "; ".join(f"{mark}, {self.prose(ref.where)}" if ref.where else mark for mark, ref in marks)


def gate_state(gate: PlanGate) -> str:
    """A gate's state in words."""
    if gate.state == "open":
        return f"OPEN on the evidence of {day_words(gate.opened_on)}" if gate.opened_on else "OPEN on undated evidence"
    if gate.state == "not_needed":
        return "not in this plan"
    if gate.state == "unproven":
        return "UNPROVEN, nobody has shown it yet"
    if any(hold.kind == "stop" and hold.shut for hold in gate.held_by):
        return "SHUT by a stop"
    if all(hold.kind == "gate" for hold in gate.held_by if hold.shut):
        return "SHUT, an earlier gate comes first"
    return "SHUT, work due"


def task_time(task: PlanTask) -> str:
    """Hands-on time of a task: likely, and from least to most."""
    least, likely, most = (span(task.minutes[key]) for key in ("least", "likely", "most"))
    return f"{likely} ({least} to {most})"


def part_words(part: Part, known: float | None) -> str:
    """One part of a task with its quantity. known: the quantity where it was reckoned."""
    if known is None and isinstance(part.quantity, int | float):
        known = float(part.quantity)
    return flat(part.item) + ": " + (amount(known, part.unit) if known is not None else _formula(part))


def amount(quantity: float, unit: str) -> str:
    """A quantity with its unit; pieces need none.

    >>> amount(4.0, "piece"), amount(0.35, "l"), amount(1, "years"), amount(2, "set"), amount(1986, "year")
    ('4', '0.35 l', '1 year', '2 sets', '1986')
    """
    if unit == "piece" or (unit == "year" and quantity > 1000):
        return f"{quantity:g}"
    one = unit.removesuffix("s") if unit in ("years", "days", "months", "points", "machines") else unit
    if quantity == 1:
        return f"1 {flat(one)}"
    return f"{quantity:g} {flat(one + 's' if unit in _COUNTED or one != unit else unit)}"


def _formula(part: Part) -> str:
    name = spoken(re.sub(r"_(l|cc|ml|mm)$", "", part.quantity["of"]))
    times, plus = part.quantity.get("times", 1), part.quantity.get("plus", 0)
    words = f"{times:g} x {name}" if times != 1 else f"as many as: {name}" if part.unit == "piece" else f"the {name}"
    words += f" + {plus:g}" if plus else ""
    return words if part.unit == "piece" else f"{words} ({flat(part.unit)})"
