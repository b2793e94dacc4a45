"""Print a plan on a terminal or into a pipe. The only module that imports rich; the words come from the pages."""

import os
import shutil
import sys
from io import StringIO

from revive.model import RuleBase
from revive.plan import Plan
from revive.render.blocks import Block, Page
from revive.render.measures import in_units
from revive.render.pages import arrange

NARROWEST, WIDEST, PIPE_WIDTH = 40, 100, 80
STICKS = "\ue000"  # a blank at which no line is broken; no text holds it
STYLES = {
    "lead": "bold",
    "care": "yellow",
    "label": "bold",
    "command": "cyan",
    1: "bold",
    2: "bold",
    3: "bold",
    4: "bold",
}


def plan_terminal(
    plan: Plan,
    base: RuleBase,
    reader: str,
    full: bool = False,
    width: int | None = None,
    colour: bool | None = None,
    units: str = "metric",
    cards: tuple[str, ...] = (),
) -> str:
    """The plan as terminal text.

    width: columns, the terminal's own if left out. colour: only where one looks at it. units: metric or imperial.
    cards: only the cards of these tasks.
    """
    return pages_terminal(in_units(arrange(plan, base, reader, full, cards), units, plan.machine), width, colour)


def pages_terminal(pages: tuple[Page, ...], width: int | None = None, colour: bool | None = None) -> str:
    """Pages that are arranged already."""
    from rich.console import Console

    colour = _wants_colour() if colour is None else colour
    width = max(NARROWEST, min(width, WIDEST)) if width else columns()
    out = StringIO()
    console = Console(
        file=out,
        width=width,
        force_terminal=colour,
        color_system="standard" if colour else None,
        legacy_windows=False,
        highlight=False,
        markup=False,
        emoji=False,
    )
    writer = _Writer(console, width)
    for place, page in enumerate(pages):
        if place:
            writer.blank()
        for block in page.blocks:
            writer.write(block)
    return out.getvalue()


def _wants_colour() -> bool:
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") not in ("dumb", "", None)


def columns() -> int:
    """So wide is what is printed here: the terminal's own width within bounds, or that of a pipe."""
    width = shutil.get_terminal_size((PIPE_WIDTH, 24)).columns if sys.stdout.isatty() else PIPE_WIDTH
    return max(NARROWEST, min(width, WIDEST))


class _Writer:
    """Lays blocks out below each other; what follows a task's heading stands indented below it."""

    def __init__(self, console: object, width: int) -> None:
        from rich.text import Text

        self.console, self.width, self.text = console, width, Text
        self.indent = 0

    def write(self, block: Block) -> None:
        """Print one block."""
        getattr(self, f"_{block.kind}")(block)

    def blank(self) -> None:
        self.console.print()  # type: ignore[attr-defined]

    def _put(self, words: str, label: str = "", style: str = "", mark: str = "", indent: int | None = None) -> None:
        """One paragraph, wrapped, with a mark in front of its first line and the rest hanging below the words."""
        left = self.indent if indent is None else indent
        text = self.text()
        if label:
            text.append(f"{label}: " if words else f"{label}:", STYLES["label"])
        text.append(words, style)
        wrapped = text.wrap(self.console, max(self.width - left - len(mark), 20))  # type: ignore[arg-type]
        for place, row in enumerate(wrapped):
            row.rstrip()
            row.plain = row.plain.replace(STICKS, " ")
            front = " " * left + (mark if place == 0 else " " * len(mark))
            self.console.print(self.text(front) + row, no_wrap=True, crop=False, soft_wrap=True)  # type: ignore[attr-defined]

    def _heading(self, block: Block) -> None:
        if block.level > 1 and not block.tight:
            self.blank()
        self.indent = 4 if block.level == 4 else 0
        number, dot, title = block.text.partition(". ")
        if block.level == 4 and dot and number.isdigit():
            self._put(title, style=STYLES[4], mark=f"{number:>3} ", indent=0)
            return
        self._put(block.text, style=STYLES[block.level])
        if block.level == 2:
            self._put("-" * min(len(block.text), self.width))

    def _gap(self, block: Block) -> None:
        self.blank()

    def _lead(self, block: Block) -> None:
        self._put(block.text, style=STYLES["lead"])

    def _line(self, block: Block) -> None:
        self._put(block.text, block.label)

    def _command(self, block: Block) -> None:
        self._put(block.text, block.label, STYLES["command"])

    def _list(self, block: Block) -> None:
        if len(block.items) == 1 and block.label:
            self._put(block.items[0], block.label)
            return
        if block.tight:
            self._put(block.running(), block.label)
            return
        self._label(block)
        for item in block.items:
            self._put(item, mark="- ")

    def _boxes(self, block: Block) -> None:
        self._label(block)
        for item in block.items:
            self._put(item, mark="[ ] ")

    def _steps(self, block: Block) -> None:
        self._label(block)
        for place, item in enumerate(block.items, start=1):
            self._put(item, mark=f"{place:>2}) ")

    def _care(self, block: Block) -> None:
        if block.tight:
            label = f"{block.label}: " if block.label else ""
            self._put(label + f" !{STICKS}".join(block.items), style=STYLES["care"], mark="! ")
            return
        self._label(block)
        for item in block.items:
            self._put(item, style=STYLES["care"], mark="! ")

    def _label(self, block: Block) -> None:
        if block.label:
            self._put("", block.label)
