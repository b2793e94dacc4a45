"""Say the figures of a plan: what each decides, its range, where every input comes from, method, source and limits.

Takes a plan; gives blocks for the page of figures, and the sentences that stand beside the tasks. Reckons nothing.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.figures.core import Spec
from revive.figures.table import FIGURES
from revive.plan import Plan
from revive.render.blocks import Block, heading, line, run_on
from revive.render.wording import flat, lower_first, sentence
from revive.text import spoken

ORIGINS = {
    "record": "from the record",
    "maker": "the maker's figure",
    "layout": "by the engine layout",
    "plan": "by this plan",
    "figure": "reckoned here",
    "fallback": "fallback, from memory",
}
GOVERNS = (
    "Each figure says where its inputs come from. The maker's manual overrides every fallback and every value that is "
    "taken from the engine layout. No gate opens or shuts on these figures."
)


def figure_blocks(plan: Plan, full: bool = True) -> Iterator[Block]:
    """The page of figures, empty where the plan has none. full: also inputs, method, source and limits of each."""
    if not plan.figures:
        return
    yield heading(2, "Figures used in this plan")
    yield line(GOVERNS)
    if not full:
        specs = [(row, FIGURES.get(str(row["id"]))) for row in plan.figures]
        told = [f"{lower_first(spec.text if spec else spoken(row['id']))}: {_value(row)}" for row, spec in specs]
        yield from run_on("What they say for a task stands on its card", told)
        label = "Inputs, method, source and limits of each are told by"
        yield Block("command", f"revive why RECORD {plan.figures[0]['id']}", label)
        return
    for row in plan.figures:
        spec = FIGURES.get(str(row["id"]))
        title = sentence(spec.text if spec else spoken(row["id"])).rstrip(".")
        value = f"{_value(row)}. {flat(row.get('says', ''))}".strip()
        yield heading(3, title)
        yield line(value)
        yield line(sentence("; ".join(_inputs(row, spec))), "From")
        yield line(f"{flat(row['method'])}. {sentence(flat(row['source']))}", "Method and source")
        if row.get("note"):
            yield line(spoken(flat(row["note"])), "Limits of it")
    names = dict.fromkeys(name for row in plan.figures for name in row.get("maker_may_give", {}).values())
    if names:
        yield Block(
            "command",
            f"maker: {', '.join(names)}",
            "The record takes the manual's own figures, each as value, unit and where it stands, under these names",
        )


def says_by_task(plan: Plan) -> dict[str, list[str]]:
    """Task id -> what the figures decide for it."""
    found: dict[str, list[str]] = {}
    for row in plan.figures:
        for task in row.get("tasks", ()):
            found.setdefault(task, []).append(flat(row["says"]))
    return found


def _value(row: Mapping[str, Any]) -> str:
    """The value with its unit and range.

    >>> _value({"value": 28.16, "unit": "h", "also": {"low": 28.16, "high": 31}})
    '28.2 h (28.2 to 31)'
    """
    ends = row.get("range") or row.get("also", {})
    low, high = ends.get("low"), ends.get("high")
    known = low is not None and high is not None and _said(low) != _said(high)
    value = _said(row["value"])
    return f"{value[:1].upper()}{value[1:]} {flat(row['unit'])}".strip() + (
        f" ({_said(low)} to {_said(high)})" if known else ""
    )


def _inputs(row: Mapping[str, Any], spec: Spec | None) -> Iterator[str]:
    known = {item.name: item for item in spec.inputs} if spec else {}
    origins = row.get("inputs_from", {})
    for name, value in row["inputs"].items():
        item = known.get(name)
        what = item.text.split(":")[0].split(",")[0].removeprefix("yes for a ") if item else spoken(name)
        unit = item.unit if item and item.unit not in what else ""
        said = item.choices[value] if item and name == "system_voltage" else f"{_said(value)} {unit}".strip()
        origin = ORIGINS.get(origins.get(name, ""), "")
        yield f"{what}: {said}" + (f" ({origin})" if origin else "")


def _said(value: object) -> str:
    """A number to three figures, without an exponent; other values as they are read."""
    if isinstance(value, list | tuple):
        return ", ".join(map(_said, value))
    if isinstance(value, bool) or not isinstance(value, float | int):
        return flat(value)
    return f"{value:.0f}" if abs(value) >= 100 else f"{float(f'{value:.3g}') + 0.0:g}"
