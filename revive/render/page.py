"""Write a plan as one HTML page that needs nothing from outside: for a telephone in a shed, and to print on paper.

The words come from the pages that every renderer shares; the pictures are drawn from the plan's data. No script, no
font and no picture is fetched, and the page forbids its reader's browser to try. User text is escaped by the templates.
"""

from dataclasses import dataclass

from revive.model import Record, RuleBase
from revive.plan import Plan
from revive.render.blocks import Page
from revive.render.cards import CardMaker, Part
from revive.render.drawing import Picture
from revive.render.measures import in_units
from revive.render.pages import arrange
from revive.render.pictures import Pictures, draw
from revive.render.templating import environment
from revive.render.wording import Names

PRINT = (
    (2500, ""),
    (3500, "dense"),
    (4300, "dense denser"),
)  # letters that fit on one sheet of A4 or Letter with the picture, in each print


@dataclass(frozen=True)
class Section:
    """One section of the page. title: for the list of contents."""

    id: str
    title: str
    parts: tuple[Part, ...]
    pictures: tuple[Picture, ...] = ()


@dataclass(frozen=True)
class First:
    """Page one, with the picture of the gates between its halves. print: its size on paper, smaller the more words."""

    above: Section
    below: Section
    print: str


def plan_html(
    plan: Plan,
    base: RuleBase,
    reader: str,
    full: bool = False,
    record: Record | None = None,
    units: str = "metric",
    cards: tuple[str, ...] = (),
) -> str:
    """The plan as HTML text.

    Args:
        reader: owner, seller or club_officer. full: the method of every task, not only of the next ones.
        record: the one that the plan was made from; without it there is no oil path and no picture of readings.
        units: metric or imperial, for what is shown. cards: only the cards of these tasks.
    """
    return pages_html(
        in_units(arrange(plan, base, reader, full, cards), units, plan.machine), plan, base, record, units
    )


def pages_html(
    pages: tuple[Page, ...], plan: Plan, base: RuleBase, record: Record | None = None, units: str = "metric"
) -> str:
    """The same of pages that are arranged already, in the reader's units."""
    drawn = draw(plan, base, record, units)
    maker = CardMaker(base, Names(plan, base), drawn, units)
    sections = [_section(page, maker, drawn) for page in pages]
    cards = [part.card for section in sections for part in section.parts if part.card]
    return (
        environment()
        .get_template("page.html")
        .render(
            title=pages[0].blocks[0].text,
            first=_first(pages[0]),
            gates=drawn.gates,
            sections=sections[1:],
            drawn=drawn,
            cards=cards,
            sheet_tasks={task for task in base.tasks if _has_sheet(base, task)} if drawn.sheets else set(),
        )
    )


def _first(page: Page) -> First:
    """Page one: what stands above the picture of the gates ends with the last sentence that is read first."""
    leads = [at for at, block in enumerate(page.blocks) if block.kind == "lead"]
    end = leads[-1] + 1 if leads else 1
    letters = sum(len(text) for block in page.blocks for text in (block.label, block.text, *block.items))
    above, below = (Section(page.id, "", (Part(blocks=blocks),)) for blocks in (page.blocks[:end], page.blocks[end:]))
    return First(above, below, next((name for most, name in PRINT if letters <= most), "dense denser densest"))


def _section(page: Page, maker: CardMaker, drawn: Pictures) -> Section:
    pictures = drawn.days if page.id == "calendar" else ()
    title = next((block.text for block in page.blocks if block.kind == "heading"), "")
    return Section(page.id, title, tuple(maker.parts(page)), pictures)


def _has_sheet(base: RuleBase, task: str) -> bool:
    """Whether a task's readings are drawn on one of the sheets."""
    asked = (base.questions.get(name) for name in base.tasks[task].records)
    return any(question is not None and question.from_readings for question in asked)
