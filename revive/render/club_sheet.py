"""The club's own page in one machine's plan: who must be there, what is overdue, and lines to sign. Decides nothing."""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.model import RuleBase
from revive.plan import Plan, PlanGate
from revive.render.blocks import Page, care, heading, line, listed
from revive.render.club_texts import (
    APART,
    PHONES,
    RULED,
    SIGN_DAY,
    SIGN_END,
    SIGN_FIGURES,
    SIGN_FIRST,
    SIGN_GATE,
    SIGN_GATE_SKILLED,
    SIGN_MEANS,
    SIGN_STOP,
)
from revive.render.wording import BY, Names, counted, flat, lower_first, sentence

SKILLED_FROM = ("crank", "fire", "roll", "road", "claim")


def club_page(plan: Plan, base: RuleBase, row: Mapping[str, Any], label: str) -> Page:
    """The page for one machine. row: its summary. label: the machine's number in the club."""
    names = Names(plan, base)
    blocks = [heading(2, f"Club sheet of machine {flat(label)}")]
    alone = [
        f"{one['order']}. {flat(one['title'])}: {one['why']}. There must be: {one['there']}." for one in row["alone"]
    ]
    blocks += care(alone, "Not to be done alone")
    blocks += listed("Overdue", [sentence(flat(text)) for text in row["overdue"]])
    blocks += listed("Lines to sign", list(_lines(plan, base, names, label)))
    blocks.append(line(SIGN_MEANS))
    blocks += listed("Telephone", [f"{who}: {RULED}" for who in PHONES])
    blocks += listed("Keeping machines apart", list(APART))
    return Page("club", tuple(blocks))


def _lines(plan: Plan, base: RuleBase, names: Names, label: str) -> Iterator[str]:
    yield f"{SIGN_FIRST} {RULED}"
    for gate in plan.gates:
        if gate.state != "not_needed":
            words = SIGN_GATE_SKILLED if gate.id in SKILLED_FROM else SIGN_GATE
            title = lower_first(flat(base.gates[gate.id].title))
            yield f"{words.format(gate=title, evidence=_evidence(gate, plan))} {RULED}"
    for stop in plan.stops:
        if stop.state in ("standing", "assumed"):
            who = BY[base.stops[stop.id].who]
            yield f"{SIGN_STOP.format(stop=lower_first(names.prose(stop.title)), who=who)} {RULED}"
    own = sum(not row["from_maker"] for row in plan.fallbacks)
    if own:
        yield f"{SIGN_FIGURES.format(count=counted(own, 'figure'))} {RULED}"
    yield f"{SIGN_DAY.format(label=flat(label))} {RULED}"
    yield f"{SIGN_END} {RULED}"


def _evidence(gate: PlanGate, plan: Plan) -> str:
    done = [str(task.order) for task in plan.tasks if task.gate == gate.id and task.state == "done"]
    return f"tasks {', '.join(done)} on record and {RULED}" if done else RULED
