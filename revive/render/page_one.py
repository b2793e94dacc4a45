"""Arrange page one: what a cold reader must know first, then what comes next. Every standing stop stands on it."""

from collections.abc import Iterator

from revive.model import GATES, Condition, RuleBase
from revive.plan import Plan, PlanGate, PlanPart, PlanStop, PlanTask
from revive.render.blocks import GAP, Block, Page, care, heading, line, listed
from revive.render.outlook import Outlook
from revive.render.wording import (
    BY,
    Names,
    amount,
    counted,
    day_words,
    flat,
    gate_state,
    lower_first,
    sentence,
)

NOTICE_SHORT = "Local law, waste rules and the maker's manual govern. Advice, no warranty."
HANDS_OFF = "Key away, tag it DO NOT START. No starter button, kick, push or petrol tap."
DOING = {
    "touch": "hands on",
    "turn": "turning",
    "crank": "cranking and priming",
    "fire": "firing",
    "roll": "moving",
    "road": "road",
    "claim": "sale words",
}
STANDING_ORDERS = (
    "Battery out before any other hand goes in.",
    "No start, no kick, no push in gear.",
    "Petrol only in the open air.",
    "Old linings, clutch plates and gaskets are worked wet. No air hose, no dry brush.",
    "Two people for lifting and for the first start.",
)
ALONE = {"with_helper": "With a helper", "skilled": "Skilled hands", "shop": "A workshop"}
MOST_TOLD = 5
READERS = {"owner": "the owner", "seller": "the seller", "club_officer": "the club officer"}


class PageOne:
    """Writes page one of one plan for one reader."""

    def __init__(self, plan: Plan, base: RuleBase, names: Names, outlook: Outlook, reader: str) -> None:
        self.plan, self.base, self.names, self.outlook, self.reader = plan, base, names, outlook, reader
        self.gates = {gate.id: gate for gate in plan.gates}

    def page(self) -> Page:
        """Page one: the lead, the stops by gate, the next work, what may turn the plan, what to buy."""
        club = self.reader == "club_officer"
        blocks = [heading(1, self.title()), *self._machine(), *self._lead(), *self._orders(), GAP]
        blocks += [*self._stops(), GAP]
        blocks += self._club() if club else self._next_work()
        blocks += self._may_be_said() if self.reader == "seller" else []
        blocks += [] if self.reader == "owner" else [line(NOTICE_SHORT)]
        return Page("page-one", tuple(blocks))

    def head(self) -> list[Block]:
        """What stands above single cards: the machine, where it stands and what may on no account be done."""
        leads = [Block("lead", text) for text in (self.plan.verdict.sentence, self.hands_off(), *self._earth())]
        return [heading(1, self.title()), *leads, *self._stops()]

    def title(self) -> str:
        """The machine's name and the day of the plan."""
        name = flat(self.plan.machine.get("name", "")) or "Your motorcycle"
        for_whom = "" if self.reader == "owner" else f", for {READERS.get(self.reader, flat(self.reader))}"
        return f"{name}: plan of {day_words(self.plan.made_on)}{for_whom}"

    def _machine(self) -> list[Block]:
        if self.reader == "owner":
            return []
        known = [
            f"{flat(key)}: {flat(text)}" for key, text in self.plan.machine.items() if key != "name" and flat(text)
        ]
        return [line(sentence("; ".join(known)))] if known else []

    def _lead(self) -> Iterator[Block]:
        told_only = self.outlook.rests_on_desk() and not any(task.state == "done" for task in self.plan.tasks)
        told_only = told_only and not self.outlook.is_bare()
        yield Block("lead", self.plan.verdict.sentence + (" All told, nothing seen." if told_only else ""))
        yield Block("lead", self.hands_off())
        if not told_only:
            yield line(self._on_record())
        why = self._dangers()
        if why:
            yield line(" ".join(why), "Why")
        yield from [Block("lead", text) for text in self._earth()]

    def _earth(self) -> list[str]:
        for reason in (reason for task in self.plan.tasks for reason in task.reasons):
            if any(one.question == "earth_polarity" and one.value == "positive" for one in reason.because):
                return ["POSITIVE EARTH. " + sentence(self.names.prose(reason.finding))]
        return []

    def _open(self, gate: str) -> bool:
        return gate in self.gates and self.gates[gate].state == "open"

    def hands_off(self) -> str:
        """What may on no account be done yet, by the gates that are not open."""
        if not self._open("turn"):
            return HANDS_OFF
        if not self._open("crank"):
            return f"By hand only, plugs out. {HANDS_OFF}"
        if not self._open("fire"):
            return (
                "Cranking only, with plugs out, leads earthed and petrol away. It is not to be fired. "
                "The tag stays on the bars: DO NOT START. No push in gear."
            )
        if not self._open("roll"):
            return (
                "It may be started in the open air, with a helper at the kill switch and an extinguisher in reach. "
                "It does not move under its own power."
            )
        if not self._open("road"):
            return "Private ground only, walking pace first. It does not go on a public road."
        return "Look again where the plan says so: new findings shut a gate again."

    def _on_record(self) -> str:
        done = [task for task in self.plan.tasks if task.state == "done"]
        words = f"{counted(len(done), 'task')} on record as done." if done else "No work is on record yet."
        if self.outlook.is_bare():
            words = "Few answers are on record yet, so this plan is thin. Begin with: revive ask RECORD."
        again = sum(task.again for task in self.plan.tasks)
        if again:
            words += f" {counted(again, 'task')} must be done again: a newer finding asks for it."
        left = [task for task in self.plan.tasks if task.state == "to_do" and task.certainty == "certain"]
        return f"{words} {counted(len(left), 'task')} to do."

    def _dangers(self) -> list[str]:
        """Dangers of the stops that findings raise, also before gates that the goal does not use: the gravest two."""
        cleared = {stop.id for stop in self.plan.stops if stop.state == "cleared"}
        shut: dict[str, set[str]] = {}
        for rule in self.base.rules.values():
            if rule.stop and rule.stop not in cleared and self.plan.rule_states.get(rule.id) in ("certain", "assumed"):
                shut.setdefault(rule.stop, set()).update(gate for gate in rule.holds if not self._open(gate))
        first: dict[str, str] = {}
        for stop in self.base.stops.values():
            gate = next((gate for gate in GATES if gate in shut.get(stop.id, ())), "")
            if gate:
                first.setdefault(gate, sentence(self.names.prose(stop.danger)))
        order = [gate for gate in ("crank", "fire", "turn", *GATES) if gate in first]
        return list(dict.fromkeys(first[gate] for gate in order))[:2]

    def _orders(self) -> list[Block]:
        return care(STANDING_ORDERS, "Standing orders") if self.reader == "club_officer" else []

    def _stops(self) -> Iterator[Block]:
        by_gate: dict[str, list[str]] = {}
        for stop in self.plan.stops:
            if stop.state in ("standing", "assumed") and stop.shuts:
                by_gate.setdefault(stop.shuts[0], []).append(self._stop(stop))
        items = []
        for gate, words in sorted(by_gate.items(), key=lambda entry: GATES.index(entry[0])):
            items += [f"{_first_up(DOING[gate])}, {self._word(self.gates[gate])}: {words[0]}", *words[1:]]
        yield from care(items, "" if self.reader == "owner" else "Stops")
        for word in ("SHUT", "UNPROVEN"):
            others = [gate for gate in self.plan.gates if gate.id not in by_gate and self._word(gate) == word]
            if others:
                yield line(", ".join(map(self._due, others)) + ".", f"{'Also ' if items else ''}{word}, tasks due")
        unused = [DOING[gate.id] for gate in self.plan.gates if gate.state == "not_needed" and gate.id != "claim"]
        if unused:
            yield line(f"{', '.join(unused)}. That does not make them open.", "Not in this plan")

    def _word(self, gate: PlanGate) -> str:
        return gate_state(gate).split(",")[0].split(" ")[0]

    def _due(self, gate: PlanGate) -> str:
        tasks = sum(task.gate == gate.id and task.state == "to_do" for task in self.plan.tasks)
        return f"{DOING[gate.id]} {tasks}" if tasks else f"{DOING[gate.id]} (answers missing)"

    def _stop(self, stop: PlanStop) -> str:
        told = self.base.stops[stop.id]
        words = sentence(self.names.prose(stop.text))
        if stop.state == "assumed":
            words = f"Assumed, not seen: {words}"
        if self.reader == "club_officer":
            title, cleared = (sentence(self.names.prose(text)) for text in (stop.title, stop.clears))
            words = f"{title} {words} Cleared by: {cleared} Signed clear by: {BY[told.who]}."
        return words

    def _next_work(self) -> Iterator[Block]:
        first_day = not any(task.state == "done" for task in self.plan.tasks)
        if self.outlook.day:
            words = "; ".join(lower_first(self.outlook.short(task)) for task in self.outlook.day)
            perhaps = "; ".join(
                lower_first(self.outlook.shortened(self.base.tasks[name])) for name in self.outlook.perhaps
            )
            words += f". First, unless ruled out: {perhaps}" if perhaps else ""
            yield line(
                f"{sentence(words)} Then answer again: revive ask.",
                "First working day" if first_day else "Next working day",
            )
        elif any(task.state == "to_do" for task in self.plan.tasks):
            yield line("Nothing that you may do alone is open now. See what holds the next gate.", "Next")
        yield from _in_a_line("To a workshop if you find", self.outlook.elsewhere(), 1)
        yield from _in_a_line("Presume dead by age", self.outlook.presumed_dead(), 2)
        yield from _in_a_line("Buy first", [_bought(part) for part in self.outlook.buy_first()], 1 if first_day else 2)

    def _club(self) -> Iterator[Block]:
        to_do = [task for task in self.plan.tasks if task.state == "to_do"]
        yield from _some("Assumed answers that hold a gate, and the look that settles each", self.outlook.holding(), 4)
        alone = [self._not_alone(who, [task for task in to_do if task.who == who]) for who in ALONE]
        yield from care([words for words in alone if words], "Not to be done alone")
        phones = ("Fire service", "Technical officer", "Waste site", "Licensed pest and asbestos firms")
        yield line("; ".join(f"{who}: {'_' * 16}" for who in phones), "Telephone")
        yield from listed(
            "Signatures",
            [
                "I have read page one and had it explained. I will not turn, crank or start it before the gate is "
                "signed open. Member, date: ____________________",
                "Plan handed over. Officer, date: ____________________",
            ],
        )

    def _may_be_said(self) -> Iterator[Block]:
        done = {task.id for task in self.plan.tasks if task.state == "done"}
        not_yet = [
            words
            for gate, words in (
                ("turn", "turned by hand"),
                ("crank", "primed"),
                ("fire", "started"),
                ("roll", "ridden"),
            )
            if gate in self.base.gates and self.base.gates[gate].first_task not in done
        ]
        said = ["History and storage, as told, with who told it.", "What was looked at, by whom and on which day."]
        said += [self._work_on_record(done)] if done else []
        yield from listed("May be said", said)
        unsaid = []
        if not_yet:
            unsaid.append(f"In this work it was not {', not '.join(not_yet)}: say so.")
        unsaid.append("Never on hearsay: it runs, it turns freely, it needs nothing.")
        unsaid.append(
            "No word about a part that was not looked at. No warranty words. No buyer tries starter, kick or push."
        )
        yield from care(unsaid, "May not be said")

    def _not_alone(self, who: str, tasks: list[PlanTask]) -> str:
        """Work that wants other hands: what comes soon by title, the rest by number."""
        next_gate = self.plan.verdict.next_gate
        last = GATES.index(next_gate) if next_gate else len(GATES)
        soon = [task for task in tasks if GATES.index(task.gate) <= last or task.allowed_now]
        later = ", ".join(str(task.order) for task in tasks if task not in soon)
        words = [*map(self._numbered, soon), *([f"later tasks {later}"] if later else [])]
        return f"{ALONE[who]}: {'; '.join(words)}." if words else ""

    def _numbered(self, task: PlanTask) -> str:
        return f"{task.order} {lower_first(self.outlook.shortened(self.base.tasks[task.id]))}"

    def _work_on_record(self, done: set[str]) -> str:
        """A count, with the last works on which gates rest."""
        asked = {name for gate in self.base.gates.values() for need in gate.needs for name in _works(need.then)}
        telling = [task for task in self.plan.tasks if task.id in done and task.id in asked][-MOST_TOLD:]
        titles = "; ".join(lower_first(self.outlook.shortened(self.base.tasks[task.id])) for task in telling)
        words = f"{counted(len(done), 'task')} on record" + (f", among them: {titles}" if titles else "")
        return f"{words}. Each with its day: revive listing RECORD."


def _works(condition: Condition | None) -> Iterator[str]:
    """Ids of the tasks that a condition asks to be done."""
    for item in condition or ():
        if isinstance(item, tuple):
            yield from _works(item)
    if condition and condition[0] == "done":
        yield condition[1]


def _some(label: str, items: list[str], most: int) -> list[Block]:
    rest = [f"{len(items) - most} more below"] if len(items) > most else []
    return listed(label, [*items[:most], *rest])


def _in_a_line(label: str, items: list[str], rows: int) -> Iterator[Block]:
    """As many items as fit into some rows of 80 columns, at least one; all of them stand further on."""
    shown, room = items[:1], rows * 78 - len(label) - len("".join(items[:1])) - 16
    for item in items[1:]:
        room -= len(item) + 2
        if room < 0:
            break
        shown.append(item)
    if shown:
        rest = f" ({len(items) - len(shown)} more below)" if len(items) > len(shown) else ""
        text = "; ".join(shown)
        yield line(text + (rest if len(label + text + rest) < rows * 78 else "") + ".", label)


def _first_up(text: str) -> str:
    return text[:1].upper() + text[1:]


def _bought(part: PlanPart) -> str:
    if part.quantity is None or (part.quantity == 1 and part.unit == "piece"):
        return flat(part.item)
    return f"{flat(part.item)}, {amount(part.quantity, part.unit)}"
