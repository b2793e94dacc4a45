"""Arrange the shopping list, the workshop sheet and the waste list for people: the same blocks for every renderer.

Takes the plain data of the lists; refuses to reckon, and leaves out no row, no share and no caution.
"""

import re
import shlex
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from revive.engine.lists import LISTS, SIX_BOXES, shop_answer
from revive.model import GATES, RuleBase
from revive.plan import Plan
from revive.render.blocks import Block, Page, care, heading, line, listed
from revive.render.club_texts import NEVER_MIX, RULED
from revive.render.page_one import DOING
from revive.render.wording import Names, amount, counted, day_words, flat, lower_first, sentence
from revive.text import spoken

GOVERNS = (
    "Local law, waste rules and the maker's manual govern wherever they say more or otherwise. Advice, no warranty."
)
FITS = (
    "Sizes, grades and part numbers are those of the maker's parts book for this machine; look at the old part before "
    "ordering. Fits most is not the same."
)
PETROL = (
    "Fresh petrol is bought on the day it is used: in an approved can, not over nine tenths full, wedged upright, windows "
    "open, no flame and nobody smoking. Local law says how much may be carried and kept."
)
WASTE_LAW = "Local law says what is hazardous waste, who may carry it and where it goes. Ask the site before the first can is full."
SOLVENT = NEVER_MIX[3]
DUST = (
    "Linings, clutch plates, wadding and gaskets that nobody has proved free of asbestos: kept wet, not broken, two sealed "
    "and marked bags. Local law says who may handle and carry them."
)
NO_SHELL = (
    "A bearing without a shell (ball, roller or needle): they write so beside the line, name the bearing, and say how its "
    "oil feed was seen open. A line without an answer counts as not done."
)
BY_MOUTH = "Only what stands in writing and is signed is a tick. By word of mouth counts as none."


def arrange_lists(
    data: Mapping[str, Any], plan: Plan, base: RuleBase, record_path: str, only: str = ""
) -> tuple[Page, ...]:
    """The lists as pages. data: as revive.engine.lists.lists_for gives it. only: one list's name, or all three."""
    writer = ListWriter(data, plan, base, record_path)
    chosen = [only] if only else list(LISTS)
    name = flat(plan.machine.get("name", "")) or "This machine"
    head = (heading(1, f"{name}: {', '.join(TITLES[one] for one in chosen)}, {day_words(plan.made_on)}"), line(GOVERNS))
    pages = [Page(one, tuple(getattr(writer, one)())) for one in chosen]
    return (Page(pages[0].id, (*head, *writer.not_counted(), *pages[0].blocks)), *pages[1:])


TITLES = {"shopping": "shopping list", "workshop": "workshop sheet", "waste": "waste to hand in"}


class ListWriter:
    def __init__(self, data: Mapping[str, Any], plan: Plan, base: RuleBase, record_path: str) -> None:
        self.data, self.plan, self.base = data, plan, base
        self.names = Names(plan, base)
        self.record = shlex.quote(flat(record_path))
        self.certain = {task.id: task.certainty == "certain" for task in plan.tasks}

    def shopping(self) -> Iterator[Block]:
        """What to buy now, by the gate that first needs it, and what to decide after which look."""
        now, later = self.data["shopping"]["buy_now"], self.data["shopping"]["decide_after_look"]
        yield heading(2, "Shopping list")
        if not now and not later:
            yield line("Nothing is to be bought for the work on this plan.")
            return
        yield line(
            f"{counted(len(now), 'thing')} to buy, {len(later)} to decide after a look. Each is summed over the work "
            "still to do, spares and the early second oil counted. Numbers in brackets are tasks of the plan, with the "
            "share of each."
        )
        taken = [f"{self._asked(name)} {words} ({name})" for name, words in self._taken([*now, *later]).items()]
        yield from listed("About, because nobody has answered yet; reckoned with", taken)
        hangs = [f"{self._asked(name)} ({name})" for name in self._open([*now, *later])]
        yield from listed("Some hang on answers still missing", hangs)
        yield from care([FITS, *shopping_cautions(self.data["shopping"])])
        if now:
            yield heading(3, "Buy now: no look can spare it")
        for gate in GATES:
            rows = [row for row in now if row["gate"] == gate]
            if rows:
                yield Block("boxes", label=_gate_words(gate, rows), items=tuple(map(self.row_words, rows)))
        if later:
            yield heading(3, "Decide after the look, buy nothing yet")
        looks: dict[tuple[str, ...], list[str]] = {}
        for row in later:
            looks.setdefault(tuple(row["decide_by"]), []).append(self.row_words(row, few=True))
        for names, items in looks.items():
            yield Block("boxes", label=f"After {' or '.join(map(self._task, names))}", items=tuple(items))

    def not_counted(self) -> Iterator[Block]:
        if self.data["possible"]:
            more = counted(self.data["possible"], "more task")
            text = f"revive ask {self.record}"
            yield Block("command", text, f"{more} may still come and {_is(more)} not counted here; answers tell, with")

    def row_words(self, row: Mapping[str, Any], few: bool = False) -> str:
        """One thing to buy in a line. few: without the tasks where there is only one."""
        words = f"{flat(row['item'])}: {self.much(row)}"
        if row["after_first_run"] and row["after_first_run"] != row["quantity"]:
            words += f", of it {amount(row['after_first_run'], row['unit'])} for after the first run"
        words += ", on the day" if row["item"].startswith("fresh petrol") else ""
        shares = row["for"]
        if len(shares) == 1:
            words += "" if few else f" ({self._number(shares[0]['task'])})"
        else:
            words += f" ({'; '.join(self._share(share, row['unit']) for share in shares)})"
        if row["quantity_least"] is not None:
            words += f", {amount(row['quantity_least'], row['unit'])} if it holds the least of its kind"
        return words

    def much(self, row: Mapping[str, Any]) -> str:
        """The quantity in words, or what it hangs on."""
        about = "about " if self._taken([row]) else ""
        if row["quantity"] is not None:
            return about + amount(row["quantity"], row["unit"])
        firm = sum(share["quantity"] for share in row["for"] if share["quantity"] is not None)
        times: dict[str, float] = {}
        for each in (share["each"] for share in row["for"] if share["quantity"] is None):
            times[each["of"]] = times.get(each["of"], 0) + each["times"]
            firm += each["plus"]
        return about + self._formula(times, firm, row["unit"])

    def _formula(self, times: Mapping[str, float], firm: float, unit: str) -> str:
        """So many times each size, and so much besides."""
        if unit == "piece" and not firm and list(times.values()) == [1]:
            return f"as many as {self._size(next(iter(times)))}"
        parts = [f"{count:g} x {self._size(name)}" for name, count in times.items()] + ([f"{firm:g}"] if firm else [])
        return " + ".join(parts) + ("" if unit == "piece" else f" ({flat(unit)})")

    def _size(self, name: str) -> str:
        fact = self.base.facts.get(name)
        return flat(fact.text) if fact and fact.text else re.sub(r" (l|cc|ml|mm)$", "", spoken(name))

    def reckoned(self, row: Mapping[str, Any]) -> str:
        """What a quantity rests on that nobody has answered."""
        taken = [f"{self._asked(name)} {words}" for name, words in self._taken([row]).items()]
        return f"Not answered yet, reckoned with: {'; '.join(taken)}" if taken else ""

    def _taken(self, rows: Sequence[Mapping[str, Any]]) -> dict[str, str]:
        """Questions that nobody has answered -> the value that these rows were reckoned with."""
        return {
            name: amount(value, self.base.questions[name].unit)
            for row in rows
            for name, value in row["reckoned_with"].items()
            if value is not None
        }

    def _open(self, rows: Sequence[Mapping[str, Any]]) -> list[str]:
        """Questions without whose answer a quantity of these rows is unknown."""
        found = [name for row in rows for name, value in row["reckoned_with"].items() if value is None]
        return list(dict.fromkeys(found))

    def _asked(self, name: str) -> str:
        return flat(self.base.questions[name].ask)

    def _share(self, share: Mapping[str, Any], unit: str) -> str:
        number = self._number(share["task"])
        if share["quantity"] is None:
            each = share["each"]
            return f"{number}: {self._formula({each['of']: each['times']}, each['plus'], unit)}"
        return f"{number}: {amount(share['quantity'], unit)}"

    def _number(self, task: str) -> str:
        return str(self.names.number[task])

    def _task(self, task: str) -> str:
        return f"task {self._number(task)}, {lower_first(flat(self.base.tasks[task].title))}"

    def workshop(self) -> Iterator[Block]:
        """What to ask in writing before paying, with boxes, and how the answers go on record."""
        sheet = self.data["workshop"]
        yield heading(2, "To ask the workshop in writing, before you pay")
        if sheet is None:
            yield line("No work for a machine shop or another workshop is in this plan.")
            return
        if sheet["assumed"]:
            yield line("A look may still spare all of this. Ask when the look has called for it.")
        asked = [self._task(name) for name in sheet["for"]]
        yield from listed("Crank and bearings asked about by", [sentence(text) for text in asked])
        yield from listed("Other work for a workshop", [sentence(self._task(name)) for name in sheet["jobs"]])
        yield line(f"Workshop {RULED} Date {RULED}")
        yield from care([self.names.prose(text) for text in sheet["cautions"]])
        if sheet["boxes"]:
            yield heading(
                3, f"{counted(len(sheet['boxes']), 'line')} about every bearing, a tick for each that is confirmed"
            )
            yield Block("boxes", items=tuple(map(flat, sheet["boxes"].values())))
            yield line(NO_SHELL)
            yield line(f"Bearing, clearance, how measured: {RULED} {RULED} {RULED}")
        yield heading(3, "And ask for")
        yield Block("boxes", items=tuple(sheet["besides"]))
        yield line(f"Signed for the workshop {RULED} Date {RULED}")
        if sheet["boxes"]:
            yield from self._back(sheet)

    def _back(self, sheet: Mapping[str, Any]) -> Iterator[Block]:
        yield heading(3, "When the sheet comes back")
        yield line(BY_MOUTH)
        for ticks, answer in answers_by_ticks().items():
            yield Block("command", f"revive note {self.record} {sheet['answers']}={answer}", ticks)
        work = [name for name in sheet["for"] if self.base.tasks[name].who == "shop"]
        for name in work:
            yield Block(
                "command",
                f"revive done {self.record} {name}",
                "The work is back and looked at; then its figures are asked",
            )
        yield line("Keep the paper. A stop that lifts on paper needs the paper in the file.")

    def waste(self) -> Iterator[Block]:
        """Kinds and amounts, and how they are handed in."""
        waste = self.data["waste"]
        yield heading(2, "Waste to hand in")
        if not waste["kinds"]:
            yield line("No work on this plan makes waste.")
        else:
            yield line(
                "Amounts are what the tasks pour in, let out or take off; where that is not known, what one motorcycle "
                "usually makes, from memory. Numbers in brackets are tasks of the plan. Weigh or measure what really "
                "came out, and mark the can with it."
            )
        yield from care([WASTE_LAW, *map(self.names.prose, waste_cautions(waste))])
        if waste["kinds"]:
            yield heading(3, "Each kind in its own marked can, box or bag")
            yield Block("boxes", items=tuple(map(self.waste_words, waste["kinds"])))
        if waste["steps"]:
            yield heading(3, "Handing it in")
            yield Block("steps", items=tuple(map(self.names.prose, waste["steps"])))

    def waste_words(self, row: Mapping[str, Any]) -> str:
        """One kind of waste in a line."""
        numbers = ", ".join(map(self._number, row["for"]))
        tasks = f"{'task' if len(row['for']) == 1 else 'tasks'} {numbers}"
        perhaps = "; only if a look calls for it" if row["assumed"] else ""
        return f"{sentence(self.names.prose(row['kind']))[:-1]}: {waste_amount(row)} ({tasks}{perhaps})"


def shopping_cautions(shopping: Mapping[str, Any]) -> list[str]:
    """What can hurt in buying and carrying these things."""
    rows = [*shopping["buy_now"], *shopping["decide_after_look"]]
    said = [PETROL] if any("petrol" in row["item"] and row["unit"] == "l" for row in rows) else []
    return said + ([NEVER_MIX[0]] if any("brake fluid" in row["item"] for row in rows) else [])


def waste_cautions(waste: Mapping[str, Any]) -> list[str]:
    """The cautions of handing in, with those that hang on the kinds of waste."""
    kinds = " ".join(row["kind"] for row in waste["kinds"])
    dust = [DUST] if re.search("asbestos|linings|clutch plates", kinds) else []
    return [*waste["cautions"], *dust, *([SOLVENT] if re.search("solvent|spirit", kinds) else [])]


def waste_amount(row: Mapping[str, Any]) -> str:
    """How much of one kind, in words."""
    known = [amount(row["count"], row["count_unit"])] if row["count"] is not None else []
    if row["litres"] is not None:
        least = row["litres_least"]
        known.append(f"{least:g} to {row['litres']:g} l" if least is not None else amount(row["litres"], "l"))
    said, usual = " and ".join(known), row["usual"]
    if usual:
        ends = [] if usual["least"] == usual["most"] else [f"{usual['least']:g}"]
        usually = f"usually {' to '.join([*ends, amount(usual['most'], usual['unit'])])}, from memory"
        return f"{said} poured in, and what was there before: {usually}" if said else usually
    return f"{'at least ' if row['at_least'] and said else ''}{said or 'not known before the work'}"


def answers_by_ticks() -> dict[str, str]:
    """How many of the boxes are ticked, in words -> the answer that this makes."""
    boxes = list(SIX_BOXES)
    found: dict[str, list[int]] = {}
    for count in range(len(boxes), -1, -1):
        found.setdefault(shop_answer(boxes[:count]), []).append(count)
    return {_ticked(counts, len(boxes)): answer for answer, counts in found.items()}


def _ticked(counts: Sequence[int], most: int) -> str:
    if counts[0] == most:
        return f"All {most} ticked"
    return (
        f"{min(counts)} to {max(counts)} ticked"
        if len(counts) > 1
        else "None ticked"
        if not counts[0]
        else str(counts[0])
    )


def _is(text: str) -> str:
    return "is" if text.startswith("1 ") else "are"


def _gate_words(gate: str, rows: Sequence[Mapping[str, Any]]) -> str:
    date = min((row["needed_on"] for row in rows if row["needed_on"]), default="")
    return f"For {DOING[gate]}" + (f", first on {day_words(date)}" if date else "")
