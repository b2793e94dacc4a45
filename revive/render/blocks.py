"""The plain pieces that a plan's pages are made of. Renderers lay them out; none of them may leave one out."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Block:
    """One piece of a page, without control characters or line breaks; each renderer escapes it for its own medium.

    heading: text, with level 1 (the machine) to 4 (a task, and what follows belongs to it).
    lead: a sentence that is read first. line: text behind an optional label. command: what is typed.
    list, boxes, steps, care: items below an optional label; boxes are ticked, steps numbered, care is what can hurt.
    gap: room between two groups, without words.
    tight: set close, run on in one paragraph where there is room for that; the words are the same.
    """

    kind: str
    text: str = ""
    label: str = ""
    items: tuple[str, ...] = ()
    level: int = 0
    tight: bool = False

    def running(self) -> str:
        """The items as one sentence, for a tight list."""
        text = "; ".join(self.items)
        return text if text.endswith((".", "?", "!")) else f"{text}."


@dataclass(frozen=True)
class Page:
    """One part of the plan. id: a short name for links; the first page is page one."""

    id: str
    blocks: tuple[Block, ...]


GAP = Block("gap")


def heading(level: int, text: str) -> Block:
    return Block("heading", text, level=level)


def line(text: str, label: str = "") -> Block:
    return Block("line", text, label)


def listed(label: str, items: list[str]) -> list[Block]:
    """A list, or nothing where there is nothing to list."""
    return [Block("list", label=label, items=tuple(items))] if items else []


def run_on(label: str, items: list[str]) -> list[Block]:
    """A list that runs on in one paragraph, or nothing where there is nothing to list."""
    return [Block("list", label=label, items=tuple(items), tight=True)] if items else []


def care(items: tuple[str, ...] | list[str], label: str = "Take care", tight: bool = False) -> list[Block]:
    """Cautions, or nothing where there are none."""
    return [Block("care", label=label, items=tuple(items), tight=tight)] if items else []
