"""Make job cards from a plan's pages: a card for each task, with ticks, reminders and room for what is found.

Takes the pages as every renderer gets them; adds boxes and lines to write on, leaves out no word of a caution.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from revive.model import Question, RuleBase, Task
from revive.render.beside import opening, reminders
from revive.render.blocks import Block, Page
from revive.render.measures import unit_shown
from revive.render.pictures import Pictures
from revive.render.wording import Names, flat
from revive.text import spoken

_TYPED = re.compile(r"(\w+)=\.\.\. ")
_LOG = "Write into the log as well"
MOST_LINES = 16
LETTER_MM2, LINE_MM2, HEAD_LINES, SHEET_MM2 = 11.1, 600.0, 7, 44000.0  # as the style sheet prints them, measured


@dataclass(frozen=True)
class Step:
    """One step of a method with the cautions that are repeated beside it."""

    text: str
    reminders: tuple[str, ...] = ()


@dataclass(frozen=True)
class Ask:
    """A question to answer on the card. choices: (id, words). unit: of the number that is to be written."""

    id: str
    words: str
    choices: tuple[tuple[str, str], ...] = ()
    many: bool = False
    unit: str = ""
    also_unit: str = ""
    low: str = ""
    high: str = ""


@dataclass(frozen=True)
class Table:
    """Room for readings that are taken more than once. heads: of the columns; rows: what stands in the first one."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[str, ...]


@dataclass(frozen=True)
class Card:
    """One task. blocks: its words in order; steps, asks and tables take the place of those that they are made from."""

    number: str
    title: str
    id: str
    blocks: tuple[Block, ...]
    steps: tuple[Step, ...] = ()
    asks: tuple[Ask, ...] = ()
    details: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()
    brief: bool = False

    @property
    def long(self) -> bool:
        """Whether the card will hardly fit on one sheet of paper, so that it may be split."""
        words = [text for block in self.blocks for text in (block.label, block.text, *block.items)]
        words += [text for step in self.steps for text in step.reminders]
        words += [text for ask in self.asks for text in (ask.words, *(part for pair in ask.choices for part in pair))]
        lines = len(self.asks) + len(self.details) + 2 * sum(len(table.rows) for table in self.tables)
        return LETTER_MM2 * sum(map(len, words)) + LINE_MM2 * (lines + HEAD_LINES) > SHEET_MM2


@dataclass(frozen=True)
class Part:
    """A run of blocks, or one card."""

    blocks: tuple[Block, ...] = ()
    card: Card | None = None


class CardMaker:
    """Splits the pages of one plan into runs of blocks and cards."""

    def __init__(self, base: RuleBase, names: Names, drawn: Pictures, units: str) -> None:
        self.base, self.names, self.drawn, self.units = base, names, drawn, units
        self.task_of = {number: task for task, number in names.number.items()}

    def parts(self, page: Page) -> list[Part]:
        """A page in order."""
        made: list[Part] = []
        for run in _runs(page.blocks):
            made.append(Part(card=self._card(run)) if run[0].level == 4 else Part(blocks=tuple(run)))
        return made

    def _card(self, run: Sequence[Block]) -> Card:
        number, _, title = run[0].text.partition(". ")
        task = self.base.tasks[self.task_of[int(number)]]
        typed = [match[1] for block in run for item in block.items if (match := _TYPED.match(item))]
        asked = [self.base.questions[name] for name in typed if name in self.base.questions]
        whole = any(block.kind == "steps" for block in run)
        return Card(
            number,
            title,
            task.id,
            tuple(block for block in run[1:] if not (block.label == _LOG or any(map(_TYPED.match, block.items)))),
            tuple(self._steps(run)),
            tuple(map(self._ask, asked)),
            tuple(spoken(name) for name in task.details) if whole else (),
            tuple(self._tables(task)) if whole else (),
            brief=run[0].tight,
        )

    def _steps(self, run: Sequence[Block]) -> Iterator[Step]:
        cautions = [item for block in run if block.kind == "care" for item in block.items]
        for block in run:
            if block.kind == "steps":
                beside = reminders(block.items, cautions)
                for place, text in enumerate(block.items):
                    yield Step(text, tuple(opening(cautions[at]) for at in beside.get(place, ())))

    def _ask(self, question: Question) -> Ask:
        if question.kind == "number":
            shown = unit_shown(question.unit, self.units)
            return Ask(
                question.id,
                flat(question.ask),
                unit=flat(question.unit),
                also_unit="" if shown == question.unit else shown,
                low=spoken(question.low),
                high=spoken(question.high),
            )
        choices = {"yes": "", "no": ""} if question.kind == "yes_no" else question.choices
        pairs = tuple((flat(name), self.names.prose(words)) for name, words in choices.items())
        return Ask(question.id, flat(question.ask), pairs, question.kind == "many")

    def _tables(self, task: Task) -> Iterator[Table]:
        seen: set[str] = set()
        for name in task.records:
            question = self.base.questions.get(name)
            spec = question.from_readings if question else {}
            if not question or not spec or spec["what"] in seen:
                continue
            seen.add(spec["what"])
            if spec.get("one_per"):
                rows = tuple(str(at) for at in range(1, (self.drawn.cylinders or 4) + 1))[:MOST_LINES]
                unit = unit_shown(question.unit, self.units)
                heads = (spec["one_per"].capitalize(), f"Reading, {unit}", "Reading again", "Day and hand")
                yield Table(f"Each {spec['one_per']}", heads, rows)
            else:
                rows = tuple(str(at) for at in range(1, self.drawn.bursts + 1))[:MOST_LINES]
                points = sum(len(point.numbers) for point in self.drawn.points)
                of = f" of {points}" if points else ""
                yield Table("Each burst", ("Burst", "Seconds", f"Points seen{of}", "Dry, spits or runs"), rows)


def _runs(blocks: Sequence[Block]) -> Iterator[list[Block]]:
    run: list[Block] = []
    for block in blocks:
        if block.kind == "heading" and run and (block.level == 4 or run[0].level == 4):
            yield run
            run = []
        run.append(block)
    if run:
        yield run
