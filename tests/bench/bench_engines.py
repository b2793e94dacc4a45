"""Our judging of every rule beside general-purpose rule engines: the same rules, the same cases, equal results first.

Every engine judges every rule of the shipped base on every case and must come to what ours came to, rule by rule:
certain, possible or quiet. Only then is it timed, case by case in turn with ours. How three values are asked of an engine
that knows two stands in translate.py. Ours reckons derived facts anew for each case; the others are given them.

The engines come with: .venv/bin/pip install -e ".[bench]"
Run: python tests/bench/bench_engines.py [--quick]
"""

import statistics
import tempfile
from collections.abc import Sequence
from importlib import metadata
from pathlib import Path

import records
import timing
from engines import ENGINES, Judge
from ours import STATE, rule_pass
from timing import TODAY, Taken, shown_s
from translate import Table, Translator

from revive.loading import default_rules_folder, load_rules
from revive.model import Record, RuleBase
from revive.record import read_record


def report(base: RuleBase, cases: Sequence[Record], timed: int, rounds: int, names: Sequence[str]) -> str:
    """A row an engine. timed: so many of the cases are timed, after all were compared."""
    translator = Translator(base)
    tables = [translator.table(record, TODAY) for record in cases]
    passes = [rule_pass(base, record, TODAY) for record in cases]
    wanted = [{rule: STATE[truth] for rule, truth in judge().items()} for judge in passes]
    ours: list[float] = []
    rows, notes = [], []
    for name in names:
        try:
            version = metadata.version(name)
        except metadata.PackageNotFoundError:
            rows.append([name, "", "not installed", "", "", "", ""])
            continue
        judge, differing = ENGINES[name](translator), 0
        for table, right in zip(tables, wanted, strict=True):
            found = judge(table)
            differing += sum(found.get(rule) != state for rule, state in right.items())
        if differing:
            rows.append([name, version, f"DIFFER in {differing:,}", "", "", "", ""])
            continue
        taken = [_pair(judge, table, call, rounds) for table, call in list(zip(tables, passes, strict=True))[:timed]]
        own = [timing.cpu_s(runs["ours"]) for runs in taken]
        theirs = [timing.cpu_s(runs["theirs"]) for runs in taken]
        ours += own
        times = statistics.median(one / other for one, other in zip(theirs, own, strict=True))
        told = "ours is faster" if times > 1 else "OURS IS SLOWER"
        equal = f"{len(base.rules) * len(tables):,} equal"
        rows.append(
            [name, version, equal, shown_s(statistics.median(theirs)), shown_s(min(theirs)), f"{times:.1f}", told]
        )
    if ours:
        rows.insert(0, ["ours", "", "", shown_s(statistics.median(ours)), shown_s(min(ours)), "1.0", ""])
    if any("not installed" in row for row in rows):
        notes.append('The engines come with: .venv/bin/pip install -e ".[bench]"')
    spread = [state for right in wanted for state in right.values()]
    counted = ", ".join(f"{spread.count(state):,} {state}" for state in STATE.values())
    notes.append(
        f"{len(cases)} cases, {timed} of them timed, {rounds} rounds in turn. On all cases together: {counted}."
    )
    head = ["engine", "version", "verdicts", "CPU a case", "least", "x ours", ""]
    return timing.table(f"{len(base.rules)} shipped rules, every rule judged on every case", head, rows, notes)


def _pair(judge: Judge, table: Table, call: object, rounds: int) -> dict[str, list[Taken]]:
    assert callable(call)
    return timing.alternate_calls({"ours": call, "theirs": lambda: judge(table)}, rounds, least_s=0)


def cases(base: RuleBase, count: int) -> list[Record]:
    """Records that can be read: the shipped samples, and more of their kind made up by a seed."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        records.write_records(folder, count, base)
        made = [read_record(path, base) for path in sorted(folder.iterdir())]
    samples = [read_record(path, base) for path in records.sample_files()]
    return [*samples, *made][:count]


def main() -> None:
    """Print the table."""
    given = timing.options(__doc__ or "")
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems
    print(timing.machine_words(), end="\n\n", flush=True)
    print(
        report(
            base,
            cases(base, 20 if given.quick else 100),
            3 if given.quick else 13,
            3 if given.quick else 7,
            list(ENGINES),
        )
    )


if __name__ == "__main__":
    main()
