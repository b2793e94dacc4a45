"""What a plan is made of: frozen values with the names that the plan's JSON uses. No behaviour."""

from collections.abc import Mapping
from typing import Any

from revive.frozen import Frozen, field


class Because(Frozen):
    """One answer behind a reason. assumed: the worst plausible value stood in for "don't know"."""

    question: str
    value: Any
    assumed: bool


class Reason(Frozen):
    """Why a task is in the plan. rule: a rule id, or the gate or stop that asks for the task."""

    rule: str
    finding: str
    severity: str
    certainty: str
    because: tuple[Because, ...]
    source: str


class PlanTask(Frozen):
    """One task of the plan, in working order. state: to_do or done. again: done before a newer finding, so due again.

    optional: worth doing, called for by notes only. decide_by: look tasks that settle whether it is needed.
    left_out: steps and cautions of the task that are about parts which this machine is known not to have.
    """

    id: str
    title: str
    gate: str
    order: int
    state: str
    again: bool
    certainty: str
    who: str
    minutes: Mapping[str, int]
    wait_h: float
    after: tuple[str, ...]
    records: tuple[str, ...]
    reasons: tuple[Reason, ...]
    optional: bool = False
    allowed_now: bool = False
    decide_by: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


class Hold(Frozen):
    """One thing that keeps a gate from opening. kind: stop, rule, need or gate. shut: False where it is only unproven.

    waits_for: tasks and questions that would settle it. rule: the rule behind a stop.
    """

    kind: str
    id: str
    text: str
    shut: bool = True
    rule: str = ""
    waits_for: tuple[str, ...] = ()


class Step(Frozen):
    """One answer or task on the way to an open gate. value: the answer that would do."""

    kind: str
    id: str
    value: Any = None


class PlanGate(Frozen):
    """state: open, shut, unproven or not_needed. opened_on: the newest date among its evidence, where open."""

    id: str
    title: str
    state: str
    held_by: tuple[Hold, ...]
    least_to_open: tuple[Step, ...]
    opened_on: str = ""


class PlanStop(Frozen):
    """state: standing, assumed, possible or cleared. shuts: gates. raised_by: rule ids. clears: what clears it, in words."""

    id: str
    title: str
    state: str
    shuts: tuple[str, ...]
    raised_by: tuple[str, ...]
    clears: str
    text: str


class Verdict(Frozen):
    """open_to: the last needed gate that is open. next_gate: the first needed gate that is not."""

    open_to: str | None
    next_gate: str | None
    sentence: str


class Possible(Frozen):
    """Work that hangs on questions not answered yet."""

    task: str
    hangs_on: tuple[str, ...]


class PlanPart(Frozen):
    """Parts summed over tasks. quantity is None where it hangs on a question not answered. if_found: buy after the look.

    shares: what each of the tasks takes, in their order.
    """

    item: str
    quantity: float | None
    unit: str
    tasks: tuple[str, ...]
    if_found: bool = False
    shares: tuple[float | None, ...] = ()


class Assumed(Frozen):
    """A question answered "don't know" whose worst plausible value makes work. worth: filled where it was reckoned."""

    question: str
    value: Any
    settled_by: tuple[str, ...]
    worth: Mapping[str, Any] = field(default_factory=dict)


class Clash(Frozen):
    """Two answers that cannot both be so."""

    id: str
    questions: tuple[str, ...]
    text: str
    trusted: str


class Plan(Frozen):
    """Everything that follows from one record, one rule base and one day."""

    made_on: str
    rules_version: str
    rules_digest: str
    machine: Mapping[str, Any]
    verdict: Verdict
    gates: tuple[PlanGate, ...]
    stops: tuple[PlanStop, ...]
    tasks: tuple[PlanTask, ...]
    possible: tuple[Possible, ...]
    parts: tuple[PlanPart, ...]
    assumed: tuple[Assumed, ...]
    to_ask: tuple[str, ...]
    skipped: tuple[str, ...]
    contradictions: tuple[Clash, ...]
    rule_states: Mapping[str, str]
    schedule: Mapping[str, Any] = field(default_factory=dict)
    figures: tuple[Mapping[str, Any], ...] = ()
    sources: tuple[Mapping[str, str], ...] = ()
    fallbacks: tuple[Mapping[str, Any], ...] = ()
    overrides: tuple[str, ...] = ()
