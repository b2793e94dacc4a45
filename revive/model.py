"""What the rule base, a record and a plan are made of. Frozen values; no behaviour, no files, no printing."""

from collections.abc import Mapping
from typing import Any

from revive.frozen import Frozen, field

DONT_KNOW = "dont_know"
MUST_KNOW = "must_know"
GATES = ("touch", "turn", "crank", "fire", "roll", "road", "claim")
SEVERITIES = ("note", "attention", "must_do", "stop")
WHO = ("owner", "with_helper", "skilled", "shop")
HOW = ("told", "papers", "seen", "measured")
RESERVED_SOURCES = ("common_practice", "from_memory")

Value = str | float | tuple[str, ...]
"""A recorded value: a choice, a number in the question's unit, or the ticked choices of a multi-answer."""

Condition = tuple[Any, ...]
"""A parsed condition; the first item says which kind:
("always",), ("all", (c, ...)), ("any", (c, ...)), ("not", c), ("when", c, c), ("done", task),
("is", name, (value, ...))           a choice is one of these; a multi-answer has any of these
("has", name, value)                 a multi-answer has this one
("compare", name, op, reference, times)
    op: at_least, more_than, at_most, less_than
    reference: ("number", x), ("limit", name) or ("fact", question or derived fact)
"""


class ReviveError(Exception):
    """Something that the user can mend; the text says place, found, wanted and mend."""


class Source(Frozen):
    """A published source. as_read: "document" or "restated" (only a page restating it was read)."""

    id: str
    title: str
    issued_by: str = ""
    edition: str = ""
    as_read: str = "document"
    note: str = ""


class SourceRef(Frozen):
    """What a rule, need, task or figure rests on: a source id, or common_practice or from_memory."""

    id: str
    where: str = ""


class Limit(Frozen):
    """A number that rules share, in its unit; the maker's manual may replace it in a record."""

    id: str
    value: float
    unit: str
    text: str
    sources: tuple[SourceRef, ...]


class Stage(Frozen):
    """One stage of the interview and the caution shown before its first question."""

    number: int
    title: str
    caution: str


class Question(Frozen):
    """One question. kind: choice, many, number or yes_no.

    choices: id -> what it means; empty for numbers.
    low, high: the accepted range of a number, in `unit`.
    worst: what dont_know stands for in the plan: a value, MUST_KNOW, or {"from": name, "plus": n, "at_least": n}.
    none: choices of a multi-answer that exclude the others.
    blind: answers that mean nobody looked. lasting: answers that say what the machine is made of; no run changes them.
    opens_after: the task whose being done makes the question askable; empty if askable from the start.
    yielded_by: tasks one of which must be called for before the question applies; a need of the answer plans the first.
    first: place among the first questions, 0 if not one of them.
    """

    id: str
    stage: int
    ask: str
    kind: str
    place: str
    choices: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    low: float = 0
    high: float = 0
    how: str = ""
    caution: str = ""
    why: str = ""
    costs: str = ""
    worst: Any = MUST_KNOW
    settled_by: tuple[str, ...] = ()
    skip_when: Condition | None = None
    none: tuple[str, ...] = ()
    blind: tuple[str, ...] = ()
    opens_after: str = ""
    yielded_by: tuple[str, ...] = ()
    from_readings: Mapping[str, str] = field(default_factory=dict)
    first: int = 0
    lasting: tuple[str, ...] = ()


class Fact(Frozen):
    """A derived fact. kind and what `of` then holds:

    band: {"of": name, "up_to": [[n, id], ...], "above": id}   largest, smallest: [name, ...]
    product: [name, ...]      quotient: [name, name]           points: [{"when": condition, "add": n}, ...]
    yes_when: condition       age_of: question holding a year  by_layout: field of the layout
    figure: {"name": figure, "take": key or "", "inputs": {input: name or number}}
    days_since: a question or task; days from its date to the day of the plan
    from_plan: oldest_stop_days, gates_open, stops_standing, undone_must or fallback_used
    """

    id: str
    kind: str
    of: Any
    unit: str = ""
    text: str = ""
    place: str = ""


class Layout(Frozen):
    """An engine layout. points: [{"see": what, "per": "engine" | "cylinder" | "valve", "count": n, "how": text}].

    settles: answers that follow from the layout for certain. presumes: answers taken in the plan until given.
    facts: numbers and texts that derived facts read by name (oil_low_l, oil_high_l, pump_low_ml, pump_high_ml, lamp_limit_s, ...).
    """

    id: str
    title: str
    oil_path: tuple[str, ...]
    sediment: tuple[str, ...]
    points: tuple[Mapping[str, Any], ...]
    priming: tuple[str, ...]
    traps: tuple[str, ...]
    settles: Mapping[str, Any] = field(default_factory=dict)
    presumes: Mapping[str, Any] = field(default_factory=dict)
    facts: Mapping[str, Any] = field(default_factory=dict)
    sources: tuple[SourceRef, ...] = ()


class Rule(Frozen):
    """Condition -> finding. holds: gate -> the tasks that release it (all of `adds` unless the rule says otherwise)."""

    id: str
    when: Condition
    finding: str
    severity: str
    place: str
    sources: tuple[SourceRef, ...]
    why: str = ""
    adds: tuple[str, ...] = ()
    holds: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    stop: str = ""
    not_for: str = ""
    examples: tuple[Mapping[str, Any], ...] = ()
    subject: str = ""
    overrides: str = ""
    approved_by: str = ""
    reason: str = ""


class Need(Frozen):
    """What a gate asks for: `then` wherever `when` holds; or, with if_planned, each listed task that the plan holds."""

    text: str
    then: Condition | None = None
    when: Condition | None = None
    if_planned: tuple[str, ...] = ()
    sources: tuple[SourceRef, ...] = ()
    place: str = ""


class Gate(Frozen):
    """A point that may not be passed until it is open. after: (gate, condition or None). first_task: the first work behind it."""

    id: str
    title: str
    opens: str
    after: tuple[tuple[str, Condition | None], ...]
    first_task: str
    needs: tuple[Need, ...]
    not_needed: Condition | None
    cautions: tuple[str, ...]
    who: str
    place: str = ""


class Stop(Frozen):
    """A named danger. clears: rule id -> gate id, or "" for every gate that the rule holds -> clearing evidence."""

    id: str
    title: str
    danger: str
    text: str
    meanwhile: str
    who: str
    clears: Mapping[str, Mapping[str, Condition]]
    clears_text: str = ""
    shuts_words_only: bool = False
    place: str = ""


class Part(Frozen):
    """quantity: a number, or {"of": name, "times": n, "plus": n}. if_found: bought only after the look."""

    item: str
    quantity: Any
    unit: str
    if_found: bool = False


class Task(Frozen):
    """A piece of work. gate: the gate before which it is due. minutes: least, likely, most hands-on minutes.

    finds: questions whose answer says what this work brought to light, not how it left things. Noted with the very time
    of the work, such a finding does not call for the same work again.
    reads: questions that are answered only off the instrument that this work fitted: whenever they are answered, the work
    stands.
    guards: a step, caution, tool, finding, part or kind of waste of this task -> the machines for which it is meant;
    the rest are for all.
    """

    id: str
    title: str
    gate: str
    who: str
    minutes: tuple[int, int, int]
    place: str
    subject: str = ""
    order: int = 0
    needs_level: str = "bare"
    wait_h: float = 0
    wait_for: str = ""
    after: tuple[str, ...] = ()
    only_if: Condition | None = None
    tools: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    method: tuple[str, ...] = ()
    done_when: str = ""
    records: tuple[str, ...] = ()
    details: Mapping[str, str] = field(default_factory=dict)
    asks_again: tuple[str, ...] = ()
    changes_plan_if: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    waste: tuple[str, ...] = ()
    sources: tuple[SourceRef, ...] = ()
    basis: str = ""
    guards: Mapping[str, Condition] = field(default_factory=dict)
    finds: tuple[str, ...] = ()
    reads: tuple[str, ...] = ()


class Claim(Frozen):
    """A phrase for a sale description and the evidence that it needs."""

    id: str
    phrase: str
    evidence: Condition
    forbidden: Condition | None
    proved: str
    unproved: str
    sources: tuple[SourceRef, ...] = ()
    place: str = ""


class Contradiction(Frozen):
    """Two answers that cannot both be so. trusted: the question id believed meanwhile, or empty; trust_text: why."""

    id: str
    when: Condition
    questions: tuple[str, ...]
    text: str
    trusted: str = ""
    trust_text: str = ""
    place: str = ""


class Oddity(Frozen):
    """An answer that is possible but unlikely: shown with `ask`, kept when confirmed."""

    id: str
    when: Condition
    question: str
    ask: str
    place: str = ""


class RuleBase(Frozen, eq=False):
    """The whole checked rule base; every mapping is keyed by id and keeps file order.

    overrides: what folders laid over the rules replaced, in words. shipped_limits: values of limits that were replaced,
    as they were; known only to a base that was read from its files.
    """

    stages: Mapping[int, Stage]
    questions: Mapping[str, Question]
    facts: Mapping[str, Fact]
    layouts: Mapping[str, Layout]
    limits: Mapping[str, Limit]
    sources: Mapping[str, Source]
    rules: Mapping[str, Rule]
    gates: Mapping[str, Gate]
    stops: Mapping[str, Stop]
    tasks: Mapping[str, Task]
    claims: Mapping[str, Claim]
    disclosures: Mapping[str, Mapping[str, Any]]
    contradictions: Mapping[str, Contradiction]
    oddities: Mapping[str, Oddity]
    digest: str = ""
    overrides: tuple[str, ...] = ()
    shipped_limits: Mapping[str, float] = field(default_factory=dict)


class Answer(Frozen):
    """One answer of a record. on: ISO date, or date and time, or empty. how: told, papers, seen or measured, or empty."""

    value: Value
    on: str = ""
    by: str = ""
    how: str = ""


class Work(Frozen):
    """One task recorded as done. details: what was written down with it."""

    on: str = ""
    by: str = ""
    note: str = ""
    details: Mapping[str, Any] = field(default_factory=dict)


class MakerFigure(Frozen):
    """A figure of this machine's manual; it replaces the limit of the same name."""

    value: float
    unit: str = ""
    where: str = ""


class Record(Frozen):
    """One machine's record, as checked against the rule base."""

    machine: Mapping[str, str] = field(default_factory=dict)
    answers: Mapping[str, Answer] = field(default_factory=dict)
    done: Mapping[str, Work] = field(default_factory=dict)
    maker: Mapping[str, MakerFigure] = field(default_factory=dict)
    readings: tuple[Mapping[str, Any], ...] = ()
    earlier: tuple[Mapping[str, Any], ...] = ()
