"""Print what the journeys, samples and scenarios of the tests reach of the rule base. Run: python tests/coverage_figures.py

Rules fired (certain at some moment), answers read by some condition, tasks that came into a plan, stops raised and
cleared, for each layout and over all. It judges nothing; test_coverage.py holds the figures that must stay whole.
"""

import sys
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parent)]

from journeys.walk import moments, plan_at, read_yaml, shipped, steps_of  # noqa: E402

from revive.engine.compiled import fact_conditions  # noqa: E402
from revive.model import Record  # noqa: E402
from revive.plan import Plan  # noqa: E402
from revive.record import read_record  # noqa: E402

DAY = "2026-11-25"


@dataclass
class Reached:
    """What was reached on one layout. raised, cleared: (stop, rule) pairs; cleared means raised and later no more."""

    rules: set[str] = field(default_factory=set)
    tasks: set[str] = field(default_factory=set)
    raised: set[tuple[str, str]] = field(default_factory=set)
    cleared: set[tuple[str, str]] = field(default_factory=set)

    def take(self, plan: Plan) -> None:
        self.rules |= {rule for rule, state in plan.rule_states.items() if state == "certain"}
        self.tasks |= {task.id for task in plan.tasks}
        standing = {(stop.id, rule) for stop in plan.stops if stop.state == "standing" for rule in stop.raised_by}
        self.cleared = (self.cleared | self.raised) - standing
        self.raised |= standing

    def add(self, other: "Reached") -> None:
        for name in ("rules", "tasks", "raised", "cleared"):
            getattr(self, name).update(getattr(other, name))


def scenario_files() -> list[Path]:
    return sorted((HERE / "scenarios").glob("*.yaml"))


def runs() -> Iterator[Iterable[tuple[Record, str]]]:
    """Every journey, scenario and sample as the records that it goes through, each with its day."""
    for path in sorted((HERE / "journeys").glob("*.yaml")):
        if not path.stem.startswith("never-"):
            yield [(moment.record, moment.step.day) for moment in moments(steps_of(read_yaml(path)["steps"]))]
    for path in scenario_files():
        for scenario in read_yaml(path)["scenarios"]:
            yield [(moment.record, moment.step.day) for moment in moments(steps_of(scenario["steps"]))]
    for path in sorted((HERE.parent / "samples").rglob("*.yaml")):
        if path.read_text("utf-8").lstrip().startswith(("record:", "#")) and "\nanswers:" in path.read_text("utf-8"):
            yield [(read_record(path, shipped()), DAY)]


def reached() -> dict[str, Reached]:
    """Layout -> what was reached on it; "" for records that name none."""
    found: dict[str, Reached] = {}
    for run in runs():
        here, layout = Reached(), ""
        for record, day in run:
            layout = str(record.answers["layout"].value) if "layout" in record.answers else layout
            here.take(plan_at(record, day))
        found.setdefault(layout, Reached()).add(here)
    return found


def conditions() -> Iterator[Any]:
    """Every condition of the rule base."""
    base = shipped()
    for rule in base.rules.values():
        yield rule.when
    for gate in base.gates.values():
        yield gate.not_needed
        for need in gate.needs:
            yield from (need.when, need.then)
    for stop in base.stops.values():
        for by_gate in stop.clears.values():
            yield from by_gate.values()
    for fact in base.facts.values():
        yield from fact_conditions(fact)
    yield from (question.skip_when for question in base.questions.values())
    yield from (task.only_if for task in base.tasks.values())
    for claim in base.claims.values():
        yield from (claim.evidence, claim.forbidden)
    yield from (entry["when"] for entry in base.disclosures.values())
    yield from (item.when for item in (*base.contradictions.values(), *base.oddities.values()))


def named_answers() -> set[tuple[str, str]]:
    """(question, answer) pairs that some condition names; a number counts as one answer of its question."""
    base, found, todo = shipped(), set[tuple[str, str]](), [part for part in conditions() if part]
    while todo:
        part = todo.pop()
        kind = part[0]
        if kind in ("all", "any"):
            todo.extend(part[1])
        elif kind in ("not", "when"):
            todo.extend(part[1:])
        elif kind == "is":
            found |= {(part[1], value) for value in part[2]}
        elif kind == "has":
            found.add((part[1], part[2]))
        elif kind == "compare":
            found |= {(name, "number") for name in (part[1], part[3][1]) if name in base.questions}
    return {(name, answer) for name, answer in found if name in base.questions}


def all_answers() -> set[tuple[str, str]]:
    return {
        (question.id, answer)
        for question in shipped().questions.values()
        for answer in (question.choices or (("yes", "no") if question.kind == "yes_no" else ("number",)))
    }


def figures(found: Mapping[str, Reached]) -> list[str]:
    """The figures as lines: one for each layout, then the whole, then what is missing."""
    base, whole = shipped(), whole_of(found)
    lines = [f"{'layout':22} {'rules':>6} {'tasks':>6} {'stops raised':>13} {'stops cleared':>14}"]
    for layout in base.layouts:
        here = found.get(layout, Reached())
        lines.append(
            f"{layout:22} {len(here.rules):6} {len(here.tasks):6} {len(here.raised):13} {len(here.cleared):14}"
        )
    pairs = {(rule.stop, rule.id) for rule in base.rules.values() if rule.stop}
    named = named_answers() & all_answers()
    lines += [
        f"rules fired              {len(whole.rules)} of {len(base.rules)}",
        f"answers that some condition names  {len(named)} of {len(all_answers())}",
        f"tasks reached            {len(whole.tasks)} of {len(base.tasks)}",
        f"stops raised             {len({stop for stop, _ in whole.raised})} of {len(base.stops)}",
        f"stops cleared            {len({stop for stop, _ in whole.cleared})} of {len(base.stops)}",
        f"stops raised, by rule    {len(whole.raised)} of {len(pairs)}",
        f"stops cleared, by rule   {len(whole.cleared)} of {len(pairs)}",
    ]
    for title, missing in missing_of(whole).items():
        if missing:
            lines.append(f"{title}: {', '.join(missing)}")
    return lines


def whole_of(found: Mapping[str, Reached]) -> Reached:
    """What was reached on any layout."""
    whole = Reached()
    for here in found.values():
        whole.add(here)
    return whole


def missing_of(whole: Reached) -> dict[str, list[str]]:
    """What was not reached, by kind."""
    base = shipped()
    pairs = {(rule.stop, rule.id) for rule in base.rules.values() if rule.stop}
    return {
        "rules never fired": sorted(set(base.rules) - whole.rules),
        "tasks never reached": sorted(set(base.tasks) - whole.tasks),
        "stops never raised": sorted(f"{stop} by {rule}" for stop, rule in pairs - whole.raised),
        "stops never cleared": sorted(f"{stop} of {rule}" for stop, rule in pairs - whole.cleared),
    }


if __name__ == "__main__":
    print("\n".join(figures(reached())))
