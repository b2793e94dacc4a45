"""Find a least set of answers and tasks that would open a gate: leave any one out and it stays shut. Pure.

The way is tried on a copy of the record, and every step is then left out in turn to see whether it is needed.
"""

from collections.abc import Iterable, Sequence

from revive.engine.compiled import compile_base
from revive.engine.facts import open_case
from revive.engine.gates import Judge
from revive.engine.reaching import Finder
from revive.frozen import Frozen, replace
from revive.model import Answer, Record, RuleBase, Work
from revive.plan import Hold, Step

MOST_ROUNDS, MOST_TRIES = 40, 4


def least_to_open(base: RuleBase, record: Record, today: str, gate: str) -> tuple[Step, ...]:
    """Steps in working order after which the gate is open, none of them needless; empty if it is open or cannot be opened.

    An answer step carries one answer that would do; other answers may do as well.
    """
    steps = way_to_open(base, record, today, gate)
    return tuple(without_needless(base, record, today, gate, steps)) if steps else ()


def way_to_open(base: RuleBase, record: Record, today: str, gate: str) -> list[Step]:
    """Steps that open the gate, some of them perhaps needless; empty if it is open already or no way was found."""
    way = walk_to(base, record, today, gate)
    return [] if way.stuck else way.steps


class Way(Frozen):
    """How far a walk towards a gate came. stuck: the gate at which it ended, "" where the end was reached; then by what."""

    steps: list[Step]
    stuck: str = ""
    holds: tuple[Hold, ...] = ()


def walk_to(base: RuleBase, record: Record, today: str, gate: str, begin: Sequence[Step] = ()) -> Way:
    """Settle what holds the first gate that is not open, look again, and go on until this one is open.

    begin: steps to set out with, such as those that opened the gate of a machine much like this one.
    """
    steps = list(begin)
    tried: dict[tuple[str, str], int] = {}
    for _ in range(MOST_ROUNDS):
        case = open_case(compile_base(base), with_steps(base, record, steps), today)
        judge = Judge(case)
        wanted = first_shut(judge, gate)
        if not wanted:
            return Way(steps)
        holds = tuple(hold for hold in judge.finding(wanted).holds if hold.kind != "gate")
        finder = Finder(case, judge, wanted)
        new: dict[object, Step] = {}
        later: dict[object, Step] = {}
        for hold in holds:
            found = later if finder.is_doubtful_work(hold) else new
            for step in finder.settle(hold) or ():
                found.setdefault((step.kind, step.id, step.value), step)
        fresh = []
        for step in (new or later).values():
            tried[step.kind, step.id] = tried.get((step.kind, step.id), 0) + 1
            if tried[step.kind, step.id] <= MOST_TRIES:
                fresh.append(step)
        if not fresh:
            return Way(steps, wanted, holds)
        names = {(step.kind, step.id) for step in fresh}
        fresh.sort(key=lambda step: (step.kind == "answer", base.tasks[step.id].order if step.kind == "task" else 0))
        steps = [step for step in steps if (step.kind, step.id) not in names] + fresh
    return Way(steps, wanted, holds)


def without_needless(base: RuleBase, record: Record, today: str, gate: str, steps: Sequence[Step]) -> list[Step]:
    """The steps that are left when every step that can be spared is taken out."""
    left = list(steps)
    needed: set[int] = set()  # steps that were tried since the last one was spared
    while len(needed) < len(left):
        for step in reversed(list(left)):
            if id(step) in needed:
                continue
            fewer = [other for other in left if other is not step]
            if opens(base, record, today, gate, fewer):
                left, needed = fewer, set()
            else:
                needed.add(id(step))
    return left


def opens(base: RuleBase, record: Record, today: str, gate: str, steps: Iterable[Step]) -> bool:
    """Whether the gate is open once these steps are on record, in this order, after everything that is there now."""
    judge = Judge(open_case(compile_base(base), with_steps(base, record, steps), today))
    return not first_shut(judge, gate) and judge.is_open(gate)


def with_steps(base: RuleBase, record: Record, steps: Iterable[Step]) -> Record:
    """The record with the steps added, each later than all before it."""
    answers, done = dict(record.answers), dict(record.done)
    for number, step in enumerate(steps):
        on = f"9000-01-{number // 1440 + 1:02d}T{number // 60 % 24:02d}:{number % 60:02d}"
        if step.kind == "task":
            done[step.id] = Work(on, "owner")
        else:
            answers[step.id] = Answer(step.value, on, "owner", "measured" if base.questions[step.id].unit else "seen")
    return replace(record, answers=answers, done=done)


def first_shut(judge: Judge, gate: str) -> str:
    """The gate to work on first on the way to this one; "" where it is open."""
    for other, asked in judge.case.compiled.after[gate]:
        if other in judge.needed and not (asked and asked(judge.plain.sight) is False):
            first = first_shut(judge, other)
            if first:
                return first
    return "" if judge.is_open(gate) else gate
