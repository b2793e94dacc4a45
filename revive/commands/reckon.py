"""Reckon one figure from the inputs given, or list them all. Prints; knows no physics."""

import argparse
from collections.abc import Iterable, Mapping
from textwrap import wrap
from typing import Any

from revive.figures import FIGURES, Figure, FigureError, Input, Spec, reckon
from revive.figures.core import REQUIRED
from revive.problems import quoted
from revive.text import inert

WIDTH = 100


def run(arguments: argparse.Namespace) -> int:
    """Print one figure or the list; 0 when done, ReviveError where a name, unit or number is not accepted.

    Reads `arguments.figure` (None or empty for the list), `.pairs` (texts `name=value`), `.form` (terminal or json).
    """
    if not arguments.figure:
        specs = list(FIGURES.values())
        _print(arguments, [spec_data(spec) for spec in specs], [list_line(spec) for spec in specs])
        return 0
    spec = FIGURES.get(arguments.figure)
    if spec is not None and not arguments.pairs and any(item.default is REQUIRED for item in spec.inputs):
        _print(arguments, spec_data(spec), spec_lines(spec))
        return 0
    inputs, remarks = read_pairs(arguments.pairs)
    if spec is not None:
        for item in spec.inputs:
            if item.kind == "date" and item.name not in inputs:
                inputs[item.name] = _today(arguments)
    figure = reckon(arguments.figure, inputs)
    _print(arguments, figure_data(figure, remarks), figure_lines(figure, remarks))
    return 0


def read_pairs(pairs: Iterable[str]) -> tuple[dict[str, str], list[str]]:
    """The inputs as texts, and what reading their units took for granted."""
    from revive.units import remark

    inputs: dict[str, str] = {}
    for pair in pairs:
        name, equals, text = pair.partition("=")
        if not equals or not name.strip() or not text.strip():
            raise FigureError(f"{quoted(pair)} was found; name=value was expected\n    Write for example: at_c=10")
        if name.strip() in inputs:
            raise FigureError(f"{quoted(name.strip())} is given twice\n    Give it once.")
        inputs[name.strip()] = text.strip()
    return inputs, [f"{name}: {said}" for name, text in inputs.items() if (said := remark(text))]


def figure_data(figure: Figure, remarks: Iterable[str] = ()) -> dict[str, Any]:
    """A figure as plain data for JSON; numbers to six digits."""
    return {
        "id": figure.id,
        "value": _plain(figure.value),
        "unit": figure.unit,
        "inputs": _plain(figure.inputs),
        "method": figure.method,
        "source": figure.source,
        "note": " ".join([figure.note, *remarks]).strip(),
        "also": _plain(figure.also),
    }


def figure_lines(figure: Figure, remarks: Iterable[str] = ()) -> list[str]:
    """A figure for the screen: value and range, further results, inputs, method, source, note."""
    units = {item.name: item.unit for item in FIGURES[figure.id].inputs}
    also = dict(figure.also)
    low, high = also.pop("low", None), also.pop("high", None)
    span = f" (from {_said(low)} to {_said(high)})" if low is not None and low != high else ""
    lines = [f"{figure.id}: {_said(figure.value)}{_unit(figure.unit)}{span}", ""]
    for name, value in also.items():
        lines += wrap(f"  {name}: {_said(value)}", WIDTH, subsequent_indent="    ")
    given = ", ".join(f"{name} = {_said(value)}{_unit(units[name])}" for name, value in figure.inputs.items())
    told = [
        f"From: {given}",
        f"Method: {figure.method}",
        f"Rests on: {figure.source}",
        f"Note: {figure.note}",
        *remarks,
    ]
    return [*lines, "", *(part for text in told for part in wrap(text, WIDTH, subsequent_indent="  "))]


def list_line(spec: Spec) -> str:
    """One figure in one line."""
    return f"{spec.id:<21}{spec.unit or '-':<7}{spec.text}"


def spec_lines(spec: Spec) -> list[str]:
    """What a figure needs and how to ask for it."""
    lines = [f"{spec.id}: {spec.text}{f' ({spec.unit})' if spec.unit else ''}", ""]
    lines += [
        f"  {item.name}{f' ({item.unit})' if item.unit else ''}: {item.text}{_default(item)}" for item in spec.inputs
    ]
    asked = " ".join(f"{item.name}=…" for item in spec.inputs if item.default is REQUIRED)
    return [*lines, "", f"Write: revive reckon {spec.id} {asked}"]


def spec_data(spec: Spec) -> dict[str, Any]:
    """A figure's description as plain data for JSON."""
    return {
        "id": spec.id,
        "unit": spec.unit,
        "text": spec.text,
        "inputs": [
            {
                "name": item.name,
                "unit": item.unit,
                "kind": item.kind,
                "text": item.text,
                "needed": item.default is REQUIRED,
                "default": None if item.default is REQUIRED else item.default,
                "choices": list(item.choices),
            }
            for item in spec.inputs
        ],
        "also": list(spec.also),
    }


def _print(arguments: argparse.Namespace, data: Any, lines: list[str]) -> None:
    if arguments.form == "json":
        from revive.json_text import json_text

        print(json_text(data))
    else:
        print("\n".join(inert(line) for line in lines))


def _default(item: Input) -> str:
    choices = f" [{', '.join(item.choices)}]" if item.choices else ""
    if item.default is REQUIRED:
        return choices
    return f"{choices} (may be left out)" if item.default is None else f"{choices} ({_said(item.default)} if left out)"


def _unit(unit: str) -> str:
    return f" {unit}" if unit else ""


def _plain(value: Any) -> Any:
    if isinstance(value, float):
        rounded = float(f"{value:.6g}")
        return int(rounded) if rounded.is_integer() and abs(rounded) < 1e15 else rounded
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    return [_plain(item) for item in value] if isinstance(value, list | tuple) else value


def _said(value: Any) -> str:
    if isinstance(value, Mapping):
        return ", ".join(f"{key} {_said(item)}" for key, item in value.items())
    if isinstance(value, list | tuple):
        return "; ".join(map(_said, value))
    if isinstance(value, bool) or not isinstance(value, float | int):
        return inert(value)
    if value == int(value) and abs(value) < 1e6:
        return str(int(value))
    return f"{value:.4g}"


def _today(arguments: argparse.Namespace) -> str:
    from revive.commands.common import today

    return today(arguments)
