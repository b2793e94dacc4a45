"""Arrange a plan for people: the same blocks in the same order for every renderer, so that each says the same words.

Takes a plan, its rule base, who reads and whether every method is wanted; gives pages of plain blocks. Refuses to
decide how anything looks, and leaves out no caution of a task to do, no caution of a gate and no standing stop.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.model import GATES, RuleBase
from revive.plan import Hold, Plan, PlanGate, PlanPart, PlanStop, PlanTask
from revive.render.blocks import Block, Page, care, heading, line, listed
from revive.render.calendar_page import calendar_blocks
from revive.render.figures_page import figure_blocks
from revive.render.outlook import Outlook
from revive.render.page_one import PageOne
from revive.render.task_blocks import TaskWriter
from revive.render.wording import (
    BY,
    WHO,
    Names,
    amount,
    counted,
    day_words,
    flat,
    gate_state,
    lower_first,
    sentence,
    wait_words,
)

MOST_HOLDS = 8
NOTICE = (
    "This plan is advice on work that its reader does and answers for. It is no warranty and no inspection.",
    "Local law, waste rules, the maker's manual and licensed practice govern wherever they say more or otherwise.",
    "A gate opens on what was seen and put on record, never because nothing bad was heard.",
    "In doubt, stop, leave it as it is and ask a skilled hand.",
)


def arrange(plan: Plan, base: RuleBase, reader: str, full: bool = False) -> tuple[Page, ...]:
    """The whole plan as pages, page one first. full: print the method of every task, not only of the next ones."""
    return _Arranger(plan, base, reader, full).pages()


class _Arranger:
    def __init__(self, plan: Plan, base: RuleBase, reader: str, full: bool) -> None:
        self.plan, self.base, self.reader, self.full = plan, base, reader, full
        self.names = Names(plan, base)
        self.outlook = Outlook(plan, base, self.names, reader)
        self.writer = TaskWriter(plan, base, self.names)

    def pages(self) -> tuple[Page, ...]:
        made = [PageOne(self.plan, self.base, self.names, self.outlook, self.reader).page()]
        made.append(Page("next", tuple(self._next())))
        made.append(Page("stops", tuple(self._stops())))
        made += [Page(f"gate-{gate.id}", tuple(self._gate(gate))) for gate in self.plan.gates]
        made.append(Page("calendar", tuple(calendar_blocks(self.plan, self.base, self.names, self.full))))
        made.append(Page("unknown", tuple(self._unknown())))
        made.append(Page("parts", tuple(self._parts())))
        made.append(Page("figures", tuple(figure_blocks(self.plan))))
        made.append(Page("basis", tuple(self._basis())))
        made.append(Page("notice", (heading(2, "What governs"), *care(NOTICE, ""))))
        return tuple(page for page in made if page.blocks)

    def _next(self) -> Iterator[Block]:
        to_do = [task for task in self.plan.tasks if task.state == "to_do"]
        if not to_do:
            return
        yield heading(2, "The next working day")
        now = [self._numbered(task) for task in to_do if task.allowed_now and not task.optional]
        worth = [self._numbered(task) for task in to_do if task.allowed_now and task.optional]
        yield from listed("The next safe step" if len(now) == 1 else "Safe to do now", now)
        yield from listed("Worth doing now, nothing waits for it", worth)
        after = [self._numbered(task) for task in self.outlook.day if not task.allowed_now]
        yield from listed("Then, in this order", after)
        perhaps = [lower_first(flat(self.base.tasks[name].title)) for name in self.outlook.perhaps]
        if perhaps:
            yield line(sentence("; ".join(perhaps)), "Before other hands go in, unless your answers rule it out")
        tasks = [self.base.tasks[task.id] for task in self.outlook.day]
        tools = dict.fromkeys(self.names.prose(tool) for task in tasks for tool in task.tools)
        yield from listed("Tools to have at hand", ["; ".join(tools)] if tools else [])
        parts = dict.fromkeys(part for task in tasks for part in self.writer.parts(task))
        yield from listed("Parts to have at hand", ["; ".join(parts)] if parts else [])
        yield from listed("It goes to skilled hands or a workshop if you find", self.outlook.elsewhere())
        yield from listed("Presumed dead by age", list(map(self.names.prose, self.outlook.presumed_dead())))
        yield from self._not_yet()

    def _not_yet(self) -> Iterator[Block]:
        shut = [
            f"{flat(gate.title)}: {gate_state(gate)}"
            for gate in self.plan.gates
            if gate.state not in ("open", "not_needed")
        ]
        yield from listed("Not yet", shut)
        sure = [task for task in self.plan.tasks if task.state == "to_do" and task.certainty == "certain"]
        hours = sum(task.minutes["likely"] for task in sure) / 60
        waits = wait_words(sum(task.wait_h for task in sure))
        yield line(
            f"The plan holds about {hours:.0f} hours of hands-on work for certain, and {waits} of waiting, much of it at "
            "the same time. Work that hangs on a look is not counted."
        )

    def _numbered(self, task: PlanTask) -> str:
        return f"{task.order}. {flat(task.title)} ({WHO[task.who]}, {task.minutes['likely']} min)"

    def _stops(self) -> Iterator[Block]:
        if not self.plan.stops and not any(self._beyond()):
            return
        yield heading(2, "Stops")
        for stop in self.plan.stops:
            if stop.state in ("standing", "assumed"):
                yield from self._stop(stop)
        yield from care(list(self._beyond()), "True of this machine too, though the plan does not go so far")
        for state, label in (("possible", "Could still be raised by what you find"), ("cleared", "Cleared")):
            yield from listed(label, [self.names.prose(stop.title) for stop in self.plan.stops if stop.state == state])

    def _beyond(self) -> Iterator[str]:
        """Texts of stops that findings raise before gates which the goal does not use."""
        told = {stop.id for stop in self.plan.stops}
        raised = {
            rule.stop: None
            for rule in self.base.rules.values()
            if rule.stop and rule.stop not in told and self.plan.rule_states.get(rule.id) in ("certain", "assumed")
        }
        return (self.names.prose(self.base.stops[stop].text) for stop in raised)

    def _stop(self, stop: PlanStop) -> Iterator[Block]:
        told = self.base.stops[stop.id]
        state = "stands" if stop.state == "standing" else "assumed, not seen"
        yield heading(3, f"{self.names.prose(stop.title)} ({state})")
        yield from care([self.names.prose(stop.text)], "")
        yield line(sentence(self.names.prose(told.danger)), "Danger")
        gates = [lower_first(flat(self.base.gates[gate].title)) for gate in stop.shuts if gate in self.base.gates]
        yield from [line(sentence("; ".join(gates)), "Shuts")] if gates else []
        found = [self.names.prose(self.base.rules[rule].finding) for rule in stop.raised_by if rule in self.base.rules]
        yield from [line(" ".join(map(sentence, found)), "Raised by")] if found else []
        yield line(f"{sentence(self.names.prose(stop.clears))} By: {BY[told.who]}.", "Cleared by")
        yield line(sentence(self.names.prose(told.meanwhile)), "Meanwhile")

    def _gate(self, gate: PlanGate) -> Iterator[Block]:
        told = self.base.gates[gate.id]
        tasks = [task for task in self.plan.tasks if task.gate == gate.id]
        yield heading(2, f"Gate {GATES.index(gate.id) + 1}, {lower_first(flat(gate.title))}: {gate_state(gate)}")
        if gate.state == "not_needed":
            words = "The goal of this plan does not use this gate. That does not make it open."
            if any(task.state == "to_do" for task in tasks):
                words += " What stands here is worth doing all the same and passes no gate that is shut."
            yield line(words)
        else:
            yield line(f"{sentence(self.names.prose(told.opens))} Opened by: {BY[told.who]}.", "It opens")
        yield from care([self.names.prose(text) for text in told.cautions])
        yield from self._holds(gate)
        done = [task for task in tasks if task.state == "done"]
        yield from listed("Done, on record", [f"{task.order}. {flat(task.title)}" for task in done])
        for task in tasks:
            if task.state == "to_do":
                yield from self.writer.blocks(task, self.full or self.outlook.in_full(task))

    def _holds(self, gate: PlanGate) -> Iterator[Block]:
        near = self.full or gate.id == self.plan.verdict.next_gate
        shut = [hold for hold in gate.held_by if hold.shut]
        unsure = [hold for hold in gate.held_by if not hold.shut]
        if not near:
            shut = [hold for hold in shut if hold.kind in ("stop", "gate")]
        lines = list(dict.fromkeys(map(self._hold, shut)))
        yield from listed("Held shut by", lines)
        left = list(dict.fromkeys(map(self._hold, unsure)))
        if near and left:
            most = len(left) if self.full else MOST_HOLDS
            yield from listed("Not shown yet", left[:most])
            left = left[most:]
        others = len(left) + sum(hold.shut for hold in gate.held_by) - len(shut)
        if others:
            more = "other thing" if lines or near else "thing"
            yield Block("command", f"revive why RECORD {gate.id}", f"It waits for {counted(others, more)}, listed by")

    def _hold(self, hold: Hold) -> str:
        words = self.names.prose(hold.text)
        if hold.kind == "gate":
            return f"The gate before it: {lower_first(words)}"
        if hold.kind == "stop" and hold.id in self.base.stops:
            return f"Stop, {lower_first(self.names.prose(self.base.stops[hold.id].title))}: {lower_first(words)}"
        numbers = [str(self.names.number[name]) for name in hold.waits_for if name in self.names.number]
        if numbers:
            words += f" ({'task' if len(numbers) == 1 else 'tasks'} {', '.join(numbers)})"
        return words[:1].upper() + words[1:]

    def _unknown(self) -> Iterator[Block]:
        possible: dict[tuple[str, ...], list[str]] = {}
        for item in self.plan.possible:
            possible.setdefault(item.hangs_on, []).append(flat(self.base.tasks[item.task].title))
        asks = [f"{self.names.question(name)} ({name})" for name in self.plan.to_ask]
        if not (possible or asks or self.plan.assumed or self.plan.contradictions):
            return
        yield heading(2, "What is not known yet")
        clashes = [
            self.names.prose(clash.text)
            + (f" Believed meanwhile: {self.names.question(clash.trusted)}" if clash.trusted else "")
            + self._trust(clash.id)
            for clash in self.plan.contradictions
        ]
        yield from listed("Two answers that cannot both be so", clashes)
        yield from listed("Assumed, because nobody knew", self.outlook.assumed_lines())
        shown = asks if self.full else asks[: 2 * MOST_HOLDS]
        yield from listed("Questions that can still change the plan, in asking order", shown)
        if asks:
            yield Block(
                "command", "revive ask RECORD", f"{counted(len(asks), 'question')} open, asked one at a time by"
            )
        work = [f"{'; '.join(titles)}. {self._hangs(names)}" for names, titles in possible.items()]
        yield from listed("Work that may still come", work)

    def _hangs(self, names: tuple[str, ...]) -> str:
        shown = names if self.full else names[:2]
        more = f" And {counted(len(names) - len(shown), 'more answer')}." if len(names) > len(shown) else ""
        return f"Hangs on: {' '.join(map(self.names.question, shown))}{more}"

    def _trust(self, clash_id: str) -> str:
        text = self.base.contradictions[clash_id].trust_text if clash_id in self.base.contradictions else ""
        return f" {sentence(self.names.prose(text))}" if text else ""

    def _parts(self) -> Iterator[Block]:
        to_do = [task for task in self.plan.tasks if task.state == "to_do"]
        if self.plan.parts:
            yield heading(2, "Parts and waste")
        soon = {task.id for task in to_do if self.outlook.in_full(task)}
        firm = [part for part in self.plan.parts if not part.if_found]
        first = [self._part(part) for part in firm if soon.intersection(part.tasks)]
        later = [self._part(part) for part in firm if not soon.intersection(part.tasks)]
        yield from listed("Buy now", first)
        yield from listed("Buy for later, when the gates before are open", later)
        yield from listed(
            "Decide after the look, buy nothing yet", [self._part(p) for p in self.plan.parts if p.if_found]
        )
        waste = dict.fromkeys(self.names.prose(kind) for task in to_do for kind in self.base.tasks[task.id].waste)
        if waste:
            yield line(sentence("; ".join(waste)), "Keep each apart in marked cans or bags and hand in by local rules")

    def _part(self, part: PlanPart) -> str:
        much = (
            amount(part.quantity, part.unit)
            if part.quantity is not None
            else "as much as an answer still missing tells"
        )
        numbers = [str(self.names.number[task]) for task in part.tasks if task in self.names.number]
        return f"{flat(part.item)}: {much} ({'task' if len(numbers) == 1 else 'tasks'} {', '.join(numbers)})"

    def _basis(self) -> Iterator[Block]:
        yield heading(2, "What this plan rests on")
        yield from listed(
            "Limits used; the maker's manual governs", [self._fallback(row) for row in self.plan.fallbacks]
        )
        yield from listed("Published sources", [self._source(row) for row in self.plan.sources])
        yield from listed("Rules of this club that replace shipped ones", [flat(text) for text in self.plan.overrides])
        about = f"Made on {day_words(self.plan.made_on)}"
        about += f" with version {flat(self.plan.rules_version)}" if self.plan.rules_version else ""
        about += f", rule base {flat(self.plan.rules_digest)[:12]}" if self.plan.rules_digest else ""
        yield line(f"{about}. The same answers on the same day give the same plan.")
        known = [f"{flat(key)}: {flat(text)}" for key, text in self.plan.machine.items() if flat(text)]
        yield from listed("The machine, as written in the record", known)

    def _fallback(self, row: Mapping[str, Any]) -> str:
        words = f"{self.names.prose(row['text'])}: {amount(float(row['value']), flat(row['unit']))}"
        if row["from_maker"]:
            return f"{words} (the maker's figure{', ' + flat(row['where']) if row['where'] else ''})"
        limit = self.base.limits.get(row["limit"])
        return f"{words} ({self.names.sources(limit.sources)})" if limit else words

    def _source(self, row: Mapping[str, Any]) -> str:
        words = ", ".join(flat(row.get(key, "")) for key in ("issued_by", "title", "edition") if row.get(key))
        words += f": {self.names.prose(row['where'])}" if row.get("where") else ""
        return words + (" (known from pages that restate it)" if row.get("as_read") == "restated" else "")
