"""Arrange what a plan needs bought and what must be handed in. Counts what only a look can ask for; reckons nothing."""

from collections.abc import Iterator

from revive.engine.lists import workshop_sheet
from revive.engine.waste import waste_makers
from revive.model import RuleBase
from revive.plan import Plan, PlanPart
from revive.render.blocks import Block, heading, line, listed, run_on
from revive.render.outlook import Outlook
from revive.render.wording import Names, amount, counted, flat, sentence


def supply_blocks(plan: Plan, base: RuleBase, names: Names, outlook: Outlook, full: bool) -> Iterator[Block]:
    """Parts for the next work, parts for later, waste. full: every part on a line of its own, also those that only a
    look can ask for."""
    if not plan.parts:
        return
    yield heading(2, "Parts and waste")
    yield line("The numbers in brackets are those of the tasks.")
    soon = {task.id for task in outlook.day or outlook.carded}
    firm = [part for part in plan.parts if not part.if_found]
    first = [_part(part, names) for part in firm if soon.intersection(part.tasks)]
    later = [_part(part, names) for part in firm if not soon.intersection(part.tasks)]
    perhaps = [part for part in plan.parts if part.if_found]
    yield from listed("Buy now, for the next working day", first)
    if full:
        yield from listed("Buy for later, when its turn comes", later)
        yield from listed("Decide after the look, buy nothing yet", [_part(part, names) for part in perhaps])
    else:
        now = [_part(part, names) for part in perhaps if soon.intersection(part.tasks)]
        yield from run_on("Decide after the next looks, buy nothing yet", now)
        others = len(later) + len(perhaps) - len(now)
        if others:
            words = (
                f"For later work {counted(others, 'more part')}, of which {len(perhaps) - len(now)} only if a look asks"
            )
            yield Block("command", "revive lists RECORD", f"{words}, listed by")
    waste = list(map(names.prose, waste_makers(base, plan.tasks)))
    if waste:
        yield line(sentence("; ".join(waste)), "Keep each apart in marked cans or bags and hand in by local rules")
    yield Block("command", "revive lists RECORD", _more(plan, base))


def _more(plan: Plan, base: RuleBase) -> str:
    asked = workshop_sheet(base, plan.tasks) is not None
    how = "What to ask the workshop in writing before you pay, and how" if asked else "How"
    return f"{how} much waste comes of it, as sheets to take along, with"


def _part(part: PlanPart, names: Names) -> str:
    much = amount(part.quantity, part.unit) if part.quantity is not None else "as much as an answer still missing tells"
    numbers = [str(names.number[task]) for task in part.tasks if task in names.number]
    return f"{flat(part.item)}: {much} ({', '.join(numbers)})"
