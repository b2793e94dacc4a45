"""Arrange the stops of a plan: those that stand in full, the others by title. Drops no standing stop."""

from collections.abc import Iterator

from revive.model import RuleBase
from revive.plan import Plan, PlanStop
from revive.render.blocks import Block, care, heading, line, run_on
from revive.render.wording import BY, Names, flat, lower_first, sentence


def stop_blocks(plan: Plan, base: RuleBase, names: Names, full: bool) -> Iterator[Block]:
    """The page of stops, empty where nothing raises or could raise one; their orders stand on page one.

    full: also what raised each, and its order once more.
    """
    beyond = list(_beyond(plan, base, names))
    if not plan.stops and not beyond:
        return
    yield heading(2, "Stops")
    standing = [stop for stop in plan.stops if stop.state in ("standing", "assumed")]
    for stop in standing:
        yield from _stop(stop, base, names, full)
    if standing and not full:
        yield Block(
            "command",
            f"revive why RECORD {standing[0].id}",
            "What raised each, and what may be done meanwhile, is told by such as",
        )
    yield from care(beyond, "True of this machine too, though the plan does not go so far")
    for state, label in (("possible", "Could still be raised by what you find"), ("cleared", "Cleared")):
        yield from run_on(label, [names.prose(stop.title) for stop in plan.stops if stop.state == state])


def _beyond(plan: Plan, base: RuleBase, names: Names) -> Iterator[str]:
    """Texts of stops that findings raise before gates which the goal does not use."""
    told = {stop.id for stop in plan.stops}
    raised = {
        rule.stop: None
        for rule in base.rules.values()
        if rule.stop and rule.stop not in told and plan.rule_states.get(rule.id) in ("certain", "assumed")
    }
    return (names.prose(base.stops[stop].text) for stop in raised)


def _stop(stop: PlanStop, base: RuleBase, names: Names, full: bool) -> Iterator[Block]:
    told = base.stops[stop.id]
    state = "stands" if stop.state == "standing" else "assumed, not seen"
    yield Block("heading", f"{names.prose(stop.title)} ({state})", level=3, tight=not full)
    if full or not stop.shuts:  # page one tells those that shut a gate
        yield from care([names.prose(stop.text)], "")
    gates = [lower_first(flat(base.gates[gate].title)) for gate in stop.shuts if gate in base.gates]
    shuts = f" It shuts: {sentence(lower_first('; '.join(gates)))}" if gates else ""
    danger = sentence(names.prose(told.danger))
    cleared = f"{sentence(names.prose(stop.clears))} By: {BY[told.who]}."
    if not full:
        yield line(f"{danger} Cleared by: {lower_first(cleared)}", "Danger")
        return
    yield line(danger + shuts, "Danger")
    found = [names.prose(base.rules[rule].finding) for rule in stop.raised_by if rule in base.rules]
    if found:
        yield line(" ".join(map(sentence, found)), "Raised by")
    yield line(cleared, "Cleared by")
    yield line(sentence(names.prose(told.meanwhile)), "Meanwhile")
