"""What every figure is made of, and two small helpers. Knows no physics and prints nothing."""

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from revive.frozen import Frozen, field
from revive.model import ReviveError


class FigureError(ReviveError):
    """A figure that is refused: input missing, of the wrong kind, or outside the range in which the method holds."""


class _Required:
    """The default of an input that has none."""


REQUIRED = _Required()


class Figure(Frozen):
    """A computed quantity.

    value: a number in `unit`, or a word.
    inputs: name -> value used, defaults included; filled in by `reckon`.
    method, source: how it was worked out, and the document, edition and clause that this rests on.
    note: what limits it, in whole sentences. also: further results; "low" and "high" are the range of `value`.
    """

    id: str
    value: float | str
    unit: str
    method: str
    source: str
    note: str = ""
    also: Mapping[str, Any] = field(default_factory=dict)
    inputs: Mapping[str, Any] = field(default_factory=dict)


class Input(Frozen):
    """One input of a figure.

    kind: number, numbers (a list), ratio (25 or 25:1), fraction (0.15 or 15 %), choice, yes_no, text or date.
    low, high: the accepted range, in `unit`. choices: word -> what it means. other_words: spelling -> word.
    default: REQUIRED, a value, or None for one that may be left out.
    """

    name: str
    unit: str
    text: str
    kind: str = "number"
    low: float = float("-inf")
    high: float = float("inf")
    default: Any = REQUIRED
    choices: Mapping[str, str] = field(default_factory=dict)
    other_words: Mapping[str, str] = field(default_factory=dict)


class Spec(Frozen):
    """One figure as `revive reckon` lists it; the function of the same name stands in `module`.

    also: every key that `Figure.also` may hold; lists: those whose value is a list, which no fact can take.
    """

    id: str
    unit: str
    text: str
    module: str
    inputs: tuple[Input, ...]
    also: tuple[str, ...] = ()
    lists: tuple[str, ...] = ()


def interpolate(points: Sequence[tuple[float, float]], at: float) -> float:
    """The straight-line value between the points, which are sorted by their first number; flat beyond the ends.

    >>> interpolate([(0, 10), (2, 20)], 0.5), interpolate([(0, 10), (2, 20)], 9)
    (12.5, 20)
    """
    if at <= points[0][0]:
        return points[0][1]
    for (x1, y1), (x2, y2) in pairwise(points):
        if at <= x2:
            return y1 + (y2 - y1) * (at - x1) / (x2 - x1)
    return points[-1][1]


def yes_no(truth: bool) -> str:
    """A truth as the word that rules use."""
    return "yes" if truth else "no"
