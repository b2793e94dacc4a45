"""Arrange what a plan rests on: limits, sources with the numbers by which the cards cite them, the club's own rules."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from revive.model import RuleBase
from revive.plan import Plan
from revive.render.blocks import Block, heading, line, listed, run_on
from revive.render.wording import NO_SOURCE, Names, amount, counted, day_words, flat


def basis_blocks(plan: Plan, base: RuleBase, names: Names, cited: Iterable[str], full: bool) -> Iterator[Block]:
    """The page of what the plan rests on. cited: ids of the sources that the cards name. full: every source used."""
    yield heading(2, "What this plan rests on")
    several = listed if full else run_on
    if full:
        yield from listed(
            "Limits used; the maker's manual governs", [_limit(row, base, names) for row in plan.fallbacks]
        )
    else:
        yield from _limits_by_source(plan, base, names)
    wanted = {*cited, *_of_limits(plan, base)}
    sources = [row for row in plan.sources if full or row["id"] in wanted]
    yield from several("Published sources, by the numbers in brackets", [_source(row, names, full) for row in sources])
    if len(sources) < len(plan.sources):
        rest = counted(len(plan.sources) - len(sources), "more published source")
        yield Block("command", "revive plan RECORD --full", f"Later work rests on {rest}, listed with their places by")
    yield from listed("Rules of this club that replace shipped ones", [flat(text) for text in plan.overrides])
    about = f"Made on {day_words(plan.made_on)}"
    about += f" with version {flat(plan.rules_version)}" if plan.rules_version else ""
    about += f", rule base {flat(plan.rules_digest)[:12]}" if plan.rules_digest else ""
    yield line(f"{about}. The same answers on the same day give the same plan.")
    known = [f"{flat(key)}: {flat(text)}" for key, text in plan.machine.items() if flat(text)]
    yield from several("The machine, as written in the record", known)


def cited_blocks(plan: Plan, names: Names, cited: Iterable[str]) -> Iterator[Block]:
    """The sources that single cards name."""
    wanted = set(cited)
    rows = [_source(row, names, False) for row in plan.sources if row["id"] in wanted]
    if rows:
        yield heading(2, "Published sources")
        yield from run_on("By the numbers in brackets", rows)


def _of_limits(plan: Plan, base: RuleBase) -> Iterator[str]:
    for row in plan.fallbacks:
        limit = base.limits.get(row["limit"])
        yield from (ref.id for ref in limit.sources) if limit else ()


def _limits_by_source(plan: Plan, base: RuleBase, names: Names) -> Iterator[Block]:
    """Limits run on, those that rest on nothing published named once by what they rest on."""
    groups: dict[str, list[str]] = {}
    for row in plan.fallbacks:
        limit = base.limits.get(row["limit"])
        plain = limit is not None and len(limit.sources) == 1 and limit.sources[0].id in NO_SOURCE
        if plain and limit and not row["from_maker"] and not limit.sources[0].where:
            words = f"{names.prose(row['text'])}: {amount(float(row['value']), flat(row['unit']))}"
            groups.setdefault(NO_SOURCE[limit.sources[0].id], []).append(words)
        else:
            groups.setdefault("as named", []).append(_limit(row, base, names))
    for rest, limits in groups.items():
        yield from run_on(f"Limits used, {rest}; the maker's manual governs", limits)


def _limit(row: Mapping[str, Any], base: RuleBase, names: Names) -> str:
    words = f"{names.prose(row['text'])}: {amount(float(row['value']), flat(row['unit']))}"
    if row["from_maker"]:
        return f"{words} (the maker's figure{', ' + flat(row['where']) if row['where'] else ''})"
    limit = base.limits.get(row["limit"])
    return f"{words} ({names.cited(limit.sources)})" if limit else words


def _source(row: Mapping[str, Any], names: Names, full: bool) -> str:
    words = ", ".join(flat(row.get(key, "")) for key in ("issued_by", "title", "edition") if row.get(key))
    words += f": {names.prose(row['where'])}" if full and row.get("where") else ""
    words += " (known from pages that restate it)" if row.get("as_read") == "restated" else ""
    return f"[{names.marks[row['id']]}] {words}"
