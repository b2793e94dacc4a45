"""What a conversation needs from a terminal: choices, replies, text that fits. Reads and prints nothing.

Two modules do the reading and printing: prompts.py by keys, plain_prompts.py by numbered lines.
"""

import textwrap
from collections.abc import Sequence
from typing import Any, Protocol

from revive.frozen import Frozen
from revive.text import inert

WIDEST = 92
NARROWEST = 24
SIMPLER = {
    "…": "...",
    "–": "-",
    "—": "-",
    "‘": "'",
    "’": "'",
    "“": '"',
    "”": '"',
    "°": " deg ",
    "×": "x",
    "·": "-",
    "½": "1/2",
    "¼": "1/4",
    "±": "+/-",
    "≤": "at most ",
    "≥": "at least ",
    "→": "->",
    "µ": "u",
    "Ω": " ohm",
    "²": "2",
    "³": "3",
}


class Option(Frozen):
    """One thing that can be chosen. key: the letter that chooses it; numbered where it is empty."""

    value: str
    text: str
    key: str = ""


class Reply(Frozen):
    """What came back. kind: value, key (the letter of an option), back, forward or help.

    value: the option chosen, a tuple of the options ticked, the line typed, or the letter.
    """

    kind: str
    value: Any = None


class Screen(Protocol):
    """A terminal under conversation. Every reading call may raise KeyboardInterrupt (Ctrl-C) or EOFError (closed)."""

    def say(self, text: str = "", indent: int = 0) -> None:
        """Show text, wrapped; an empty text leaves a line free."""

    def count(self, text: str) -> None:
        """Show one step of a count on the same line, at once."""

    def forget_keys(self) -> None:
        """Drop what was typed while nothing was asked."""

    def choose(self, options: Sequence[Option], current: str = "") -> Reply:
        """One of the options. current: the value that Enter keeps."""

    def tick(self, options: Sequence[Option], ticked: Sequence[str], alone: Sequence[str]) -> Reply:
        """Any number of the options. alone: values that exclude the others."""

    def line(self, hint: str, keys: Sequence[Option] = (), free: bool = False) -> Reply:
        """One typed line; the letters of `keys` alone on it choose them. free: any text may be typed."""


def wrapped(text: str, width: int, indent: int = 0, hang: int = 0) -> list[str]:
    """Text as lines of at most `width`, without control characters; paragraphs are kept. At least one line.

    hang: how much further in the second and later lines of a paragraph stand.

    >>> wrapped("one two three", 9, indent=2)
    ['  one two', '  three']
    """
    room = max(NARROWEST, min(width, WIDEST))
    margin, further = " " * indent, " " * (indent + hang)
    lines: list[str] = []
    for part in inert(text).split("\n"):
        lines += textwrap.wrap(part, room, initial_indent=margin, subsequent_indent=further) or [""]
    return lines


def fits(text: str, encoding: str | None) -> str:
    """The text in characters that the terminal can show; the rest is written out or becomes a question mark.

    >>> fits("20 °C … at most", "ascii")
    '20 deg C ... at most'
    """
    name = encoding or "ascii"
    try:
        text.encode(name)
        return text
    except (UnicodeEncodeError, LookupError):
        plain = "".join(SIMPLER.get(char, char) for char in text).replace("  deg", " deg")
        return plain.encode("ascii", "replace").decode("ascii")


def pages(heights: Sequence[int], room: int, most: int = 9) -> list[range]:
    """Which options share a page: at most `most` of them and at most `room` lines; one at least.

    >>> pages([2, 2, 2, 2], 5)
    [range(0, 2), range(2, 4)]
    """
    found, start, used = [], 0, 0
    for place, height in enumerate(heights):
        if place > start and (used + height > room or place - start == most):
            found.append(range(start, place))
            start, used = place, 0
        used += height
    found.append(range(start, len(heights)))
    return found


def ticked_after(value: str, ticked: Sequence[str], alone: Sequence[str]) -> tuple[str, ...]:
    """The ticks after one was pressed: a "none" answer takes the others out, and they it.

    >>> ticked_after("dry", ("oil", "fuel"), ("dry",)), ticked_after("oil", ("dry",), ("dry",))
    (('dry',), ('oil',))
    """
    if value in ticked:
        return tuple(other for other in ticked if other != value)
    if value in alone:
        return (value,)
    return (*(other for other in ticked if other not in alone), value)
