"""Arrange a plan for people: the same blocks in the same order for every renderer, so that each says the same words.

Takes a plan, its rule base, who reads and how much is wanted; gives pages of plain blocks. Work of the next day stands
in full, later work in short with its cautions. Refuses to decide how anything looks, and leaves out no caution of a task to
do, no caution of a gate and no standing stop.
"""

from collections.abc import Iterator

from revive.engine.compiled import compile_base
from revive.engine.meant import planned_task
from revive.model import GATES, RuleBase
from revive.plan import Hold, Plan, PlanGate, PlanTask
from revive.render.basis_page import basis_blocks, cited_blocks
from revive.render.blocks import GAP, Block, Page, care, heading, line, listed, run_on
from revive.render.calendar_page import calendar_blocks
from revive.render.figures_page import figure_blocks
from revive.render.outlook import Outlook
from revive.render.page_one import PageOne
from revive.render.standing import standing_blocks
from revive.render.stops_page import stop_blocks
from revive.render.supplies_page import supply_blocks
from revive.render.task_blocks import TaskWriter
from revive.render.wording import BY, WHO, Names, counted, flat, gate_state, lower_first, sentence, wait_words
from revive.text import span

MOST_HOLDS, MOST_ASKS = 8, 6
NOTICE = (
    "This plan is advice on work that its reader does and answers for. It is no warranty and no inspection.",
    "Local law, waste rules, the maker's manual and licensed practice govern wherever they say more or otherwise.",
    "A gate opens on what was seen and put on record, never because nothing bad was heard.",
    "In doubt, stop, leave it as it is and ask a skilled hand.",
)


def arrange(
    plan: Plan, base: RuleBase, reader: str, full: bool = False, cards: tuple[str, ...] = ()
) -> tuple[Page, ...]:
    """The whole plan as pages, page one first; or only the cards of some tasks, with what must be known before them.

    full: every method, reason, part and source, not only those of the next work. cards: task ids of this plan.
    """
    arranger = _Arranger(plan, base, reader, full or bool(cards))
    return tuple(arranger.cards(cards)) if cards else arranger.pages()


class _Arranger:
    def __init__(self, plan: Plan, base: RuleBase, reader: str, full: bool) -> None:
        self.plan, self.base, self.reader, self.full = plan, base, reader, full
        self.names = Names(plan, base)
        self.outlook = Outlook(plan, base, self.names, reader)
        self.writer = TaskWriter(plan, base, self.names)
        self.questions_of = compile_base(base).questions_of

    def pages(self) -> tuple[Page, ...]:
        made = [PageOne(self.plan, self.base, self.names, self.outlook, self.reader).page()]
        made.append(Page("next", tuple(self._next())))
        made.append(Page("stops", tuple(stop_blocks(self.plan, self.base, self.names, self.full))))
        made += [Page(f"gate-{gate.id}", tuple(self._gate(gate))) for gate in self.plan.gates]
        made.append(Page("calendar", tuple(calendar_blocks(self.plan, self.base, self.names, self.full))))
        made.append(Page("unknown", tuple(self._unknown())))
        made.append(Page("parts", tuple(supply_blocks(self.plan, self.base, self.names, self.outlook, self.full))))
        made.append(Page("figures", tuple(figure_blocks(self.plan, self.full))))
        cited = self.writer.cited
        made.append(Page("basis", tuple(basis_blocks(self.plan, self.base, self.names, cited, self.full))))
        made.append(Page("notice", (heading(2, "What governs"), *care(NOTICE, "", tight=True))))
        return tuple(page for page in made if page.blocks)

    def cards(self, wanted: tuple[str, ...]) -> Iterator[Page]:
        """The head of page one, then each card below its gate, with the gate's cautions and what it stands on."""
        first = PageOne(self.plan, self.base, self.names, self.outlook, self.reader)
        yield Page("page-one", tuple(first.head()))
        for gate in self.plan.gates:
            tasks = [task for task in self.plan.tasks if task.id in wanted and task.gate == gate.id]
            if tasks:
                cautions = [self.names.prose(text) for text in self.base.gates[gate.id].cautions]
                blocks = [heading(2, self._gate_title(gate)), *care(cautions, tight=True)]
                for task in tasks:
                    blocks += self.writer.whole(task, every_reason=True)
                yield Page(f"gate-{gate.id}", tuple(blocks))
        cited = self.writer.cited
        yield Page("basis", tuple(cited_blocks(self.plan, self.names, cited)))
        yield Page("notice", (heading(2, "What governs"), *care(NOTICE, "", tight=True)))

    def _next(self) -> Iterator[Block]:
        to_do = [task for task in self.plan.tasks if task.state == "to_do"]
        if not to_do:
            return
        yield heading(2, "The next working day")
        day = [self._numbered(task) for task in self.outlook.day]
        yield from listed("The next safe step" if len(day) == 1 else "The day's work, in this order", day)
        now = [task for task in to_do if task.allowed_now and task not in self.outlook.day]
        due = [task for task in now if not task.optional]
        if day:
            yield from run_on("Safe to do now as well, in any order", list(map(self._pointed, due)))
        else:
            yield from listed("Safe to do now", list(map(self._numbered, due)))
        yield from run_on("Worth doing now, nothing waits for it", [self._pointed(t) for t in now if t.optional])
        perhaps = [lower_first(flat(self.base.tasks[name].title)) for name in self.outlook.perhaps]
        if perhaps:
            yield line(sentence("; ".join(perhaps)), "Before other hands go in, unless your answers rule it out")
        tasks = [planned_task(self.base, task) for task in self.outlook.day]
        tools = dict.fromkeys(self.names.prose(tool) for task in tasks for tool in task.tools)
        yield from listed("Tools to have at hand", ["; ".join(tools)] if tools else [])
        yield from run_on("It goes to skilled hands or a workshop if you find", self.outlook.elsewhere())
        yield from run_on("Presumed dead by age", self.outlook.presumed_dead())
        yield from standing_blocks(self.plan, self.base, self.names)
        yield from self._not_yet()

    def _not_yet(self) -> Iterator[Block]:
        shut = [
            f"{lower_first(flat(gate.title))}: {gate_state(gate)}"
            for gate in self.plan.gates
            if gate.state not in ("open", "not_needed")
        ]
        yield from listed("Not yet", shut) if self.full else []
        sure = [task for task in self.plan.tasks if task.state == "to_do" and task.certainty == "certain"]
        hours = sum(task.minutes["likely"] for task in sure) / 60
        waits = wait_words(sum(task.wait_h for task in sure))
        yield line(
            f"The plan holds about {hours:.0f} hours of hands-on work for certain, and {waits} of waiting, much of it at "
            "the same time. Work that hangs on a look is not counted."
        )
        if not self.full:
            yield Block(
                "command",
                "revive plan RECORD --card TASK",
                f"Whole cards follow for {counted(len(self.outlook.carded), 'task')}; the rest stands below in short, "
                "every caution with it. Any card whole",
            )

    def _numbered(self, task: PlanTask) -> str:
        return f"{task.order}. {flat(task.title)} ({WHO[task.who]}, {span(task.minutes['likely'])})"

    def _gate(self, gate: PlanGate) -> Iterator[Block]:
        told = self.base.gates[gate.id]
        tasks = [task for task in self.plan.tasks if task.gate == gate.id]
        yield heading(2, self._gate_title(gate))
        if gate.state == "not_needed":
            words = "The goal of this plan does not use this gate. That does not make it open."
            if any(task.state == "to_do" for task in tasks):
                words += " What stands here is worth doing all the same and passes no gate that is shut."
            yield line(words)
        elif self.full or gate.state == "open" or gate.id == self.plan.verdict.next_gate:
            yield line(f"{sentence(self.names.prose(told.opens))} Opened by: {BY[told.who]}.", "It opens")
        yield from care([self.names.prose(text) for text in told.cautions], tight=not self.full)
        yield from self._holds(gate)
        done = [task for task in tasks if task.state == "done"]
        if self.full:
            yield from listed("Done, on record", [f"{task.order}. {flat(task.title)}" for task in done])
        elif done:
            yield line(f"Tasks {', '.join(str(task.order) for task in done)}.", "Done, on record")
        was_brief = False
        for task in tasks:
            if task.state == "to_do":
                brief = not self.full and task not in self.outlook.carded
                yield from [GAP] if brief and not was_brief else []
                yield from self.writer.brief(task) if brief else self.writer.whole(task, self.full)
                was_brief = brief

    def _gate_title(self, gate: PlanGate) -> str:
        return f"Gate {GATES.index(gate.id) + 1}, {lower_first(flat(gate.title))}: {gate_state(gate)}"

    def _pointed(self, task: PlanTask) -> str:
        return f"{task.order} {lower_first(self.outlook.shortened(self.base.tasks[task.id]))}"

    def _holds(self, gate: PlanGate) -> Iterator[Block]:
        near = self.full or gate.id == self.plan.verdict.next_gate
        shut = [hold for hold in gate.held_by if hold.shut]
        unsure = [hold for hold in gate.held_by if not hold.shut]
        if not near:
            shut = [hold for hold in shut if hold.kind in ("stop", "gate") or self._was_found(hold)]
        lines = list(dict.fromkeys(map(self._hold, shut))) if near else self._far(shut)
        yield from (listed if near else run_on)("Held shut by", lines)
        left = list(dict.fromkeys(map(self._hold, unsure)))
        if near and left:
            most = len(left) if self.full else MOST_HOLDS
            yield from listed("Not shown yet", left[:most])
            left = left[most:]
        others = len(left) + sum(hold.shut for hold in gate.held_by) - len(shut)
        if others:
            more = "other thing" if lines or near else "thing"
            yield Block("command", f"revive why RECORD {gate.id}", f"It waits for {counted(others, more)}, listed by")

    def _was_found(self, hold: Hold) -> bool:
        """Whether a hold rests on something seen at the machine, not on what was told or on age alone."""
        asked = self.questions_of.get(hold.rule, ())
        return any(self.base.questions[name].stage >= 3 for name in asked if name in self.base.questions)

    def _far(self, shut: list[Hold]) -> list[str]:
        """What holds a later gate: each stop once with what was found, then other findings and the gate before it."""
        stops: dict[str, dict[str, None]] = {}
        others: dict[str, None] = {}
        for hold in shut:
            words = lower_first(self.names.prose(hold.text))
            if hold.kind == "stop" and hold.id in self.base.stops:
                title = f"stop, {lower_first(self.names.prose(self.base.stops[hold.id].title))}"
                stops.setdefault(title, {}).update({words.rstrip("."): None} if self._was_found(hold) else {})
            else:
                others[f"the gate before it, {words}" if hold.kind == "gate" else words] = None
        return [title + (f" ({'; '.join(found)})" if found else "") for title, found in stops.items()] + list(others)

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
        shown = asks if self.full else asks[:MOST_ASKS]
        yield from listed("Questions that can still change the plan, in asking order", shown)
        if asks:
            yield Block(
                "command", "revive ask RECORD", f"{counted(len(asks), 'question')} open, asked one at a time by"
            )
        if self.full:
            work = [f"{'; '.join(titles)}. {self._hangs(names)}" for names, titles in possible.items()]
            yield from listed("Work that may still come", work)
        elif possible:
            more = counted(sum(map(len, possible.values())), "more task")
            yield Block("command", "revive looks RECORD", f"{more} may still come of them; which look decides most")

    def _hangs(self, names: tuple[str, ...]) -> str:
        return f"Hangs on: {' '.join(map(self.names.question, names))}"

    def _trust(self, clash_id: str) -> str:
        text = self.base.contradictions[clash_id].trust_text if clash_id in self.base.contradictions else ""
        return f" {sentence(self.names.prose(text))}" if text else ""
