"""Figures: quantities computed from stated inputs by named methods. Pure: nothing is read, printed or timed.

`FIGURES` describes them all; a figure's module is imported only when that figure is reckoned.
"""

import math
from collections.abc import Iterable, Mapping
from functools import lru_cache
from importlib import import_module
from typing import Any

from revive.figures.core import REQUIRED, Figure, FigureError, Input, Spec
from revive.figures.table import FIGURES
from revive.frozen import replace
from revive.model import ReviveError

__all__ = ["FIGURES", "Figure", "FigureError", "Input", "Spec", "figure_value", "reckon"]


def reckon(name: str, inputs: Mapping[str, Any]) -> Figure:
    """The figure for these inputs.

    Args:
        inputs: name -> number in the input's unit, a word, or text with a unit such as `70 F`; None counts as left out.

    Raises:
        FigureError: unknown figure or input (the nearest is named), one missing, of the wrong kind or unit, out of
            range, or refused by the method.
    """
    spec = _spec(name)
    _known(spec, inputs)
    values = {item.name: _value(spec, item, inputs.get(item.name)) for item in spec.inputs}
    figure: Figure = getattr(import_module(f"revive.figures.{spec.module}"), name)(**values)
    return replace(figure, inputs={key: value for key, value in values.items() if value is not None})


def figure_value(name: str, inputs: Mapping[str, Any], take: str = "") -> float | str | None:
    """One result for a derived fact: the value, or with `take` a key of `also`; None where the figure is refused.

    Raises:
        FigureError: the rule base names a figure, input or result that does not exist.
    """
    return _remembered(name, tuple(inputs.items()), take)


@lru_cache(maxsize=4096)
def _remembered(name: str, pairs: tuple[tuple[str, Any], ...], take: str) -> float | str | None:
    spec, inputs = _spec(name), dict(pairs)
    _known(spec, inputs)
    results = [key for key in spec.also if key not in spec.lists]
    if take and take not in results:
        raise FigureError(_unknown(f"{name} has no result", take, results))
    try:
        figure = reckon(name, inputs)
    except FigureError:
        return None
    found: float | str | None = figure.also.get(take) if take else figure.value
    return found


def _spec(name: str) -> Spec:
    if name not in FIGURES:
        raise FigureError(_unknown("there is no figure", name, FIGURES))
    return FIGURES[name]


def _known(spec: Spec, names: Iterable[str]) -> None:
    known = [item.name for item in spec.inputs]
    for name in names:
        if name not in known:
            raise FigureError(_unknown(f"{spec.id} has no input", name, known))


def _unknown(what: str, name: str, known: Iterable[str]) -> str:
    from revive.problems import listed, nearest, quoted

    close = nearest(name, known)
    return f"{what} {quoted(name)}\n    " + (f"Did you mean '{close}'?" if close else f"Known: {listed(known, 30)}.")


def _value(spec: Spec, item: Input, given: Any) -> Any:
    """One input, read and checked; its default where nothing was given."""
    if given is None:
        if item.default is REQUIRED:
            unit = f" in {item.unit}" if item.unit else ""
            raise FigureError(f"{spec.id} needs {item.name}{unit}: {item.text}\n    Write: {item.name}=…")
        return item.default
    if item.kind in ("choice", "yes_no"):
        return _word(item, given)
    if item.kind in ("text", "date"):
        if not isinstance(given, str):
            raise _wrong(item, given, "text was expected", f"Write it as on the part: {item.text}.")
        return given.strip()
    if item.kind == "numbers":
        return tuple(_in_range(item, number) for number in _numbers(item, given))
    return _in_range(item, _number(item, given))


def _number(item: Input, given: Any) -> float:
    if isinstance(given, str):
        return _read(item, given)
    if isinstance(given, bool) or not isinstance(given, int | float) or not math.isfinite(given):
        raise _wrong(item, given, _wanted(item), f"It is: {item.text}.")
    return float(given)


def _read(item: Input, text: str) -> float:
    """A number from text, in the input's unit."""
    from revive.units import parse

    try:
        if item.kind == "ratio" and ":" in text:
            one, _, other = text.partition(":")
            sides = sorted((parse(one, ""), parse(other, "")))
            if sides[0] == 1:
                return sides[1]
            raise _wrong(item, text, "one side of the ratio is 1", "Write it as 25:1.")
        if item.kind == "fraction" and text.rstrip().endswith("%"):
            return parse(text, "%") / 100
        return parse(text, item.unit)
    except FigureError:
        raise
    except ReviveError as error:
        raise FigureError(f"{item.name}: {error}") from None


def _numbers(item: Input, given: Any) -> list[float]:
    if isinstance(given, int | float):
        return [_number(item, given)]
    if not isinstance(given, str):
        return [_number(item, one) for one in given]
    parts = [part.strip() for part in given.split(";" if ";" in given else ",")]
    unit = parts[-1].lstrip("0123456789.,+- ")
    return [_number(item, part if part[-1:].isalpha() or not unit else f"{part} {unit}") for part in parts]


def _word(item: Input, given: Any) -> str:
    if isinstance(given, bool):
        given = "yes" if given else "no"
    text = f"{given:g}" if isinstance(given, int | float) else str(given)
    word = text.strip().lower().replace(" ", "_")
    for known in item.choices:
        if word == known.lower():
            return known
    found = item.other_words.get(word) or item.other_words.get(word.replace("_", ""))
    if found is None:
        raise FigureError(_unknown(f"{item.name} cannot be", text, item.choices))
    return found


def _in_range(item: Input, number: float) -> float:
    if not item.low <= number <= item.high:
        raise _wrong(item, f"{number:g}", _wanted(item), "Outside it the method does not hold, so no figure is given.")
    return number


def _wanted(item: Input) -> str:
    bounds = f" from {item.low:g} to {item.high:g}" if math.isfinite(item.low) and math.isfinite(item.high) else ""
    return f"a number{bounds}{' ' + item.unit if item.unit else ''} was expected"


def _wrong(item: Input, given: Any, wanted: str, mend: str) -> FigureError:
    from revive.problems import quoted

    return FigureError(f"{item.name} is {quoted(given)}; {wanted}\n    {mend}")
