"""How long the worth of every look takes: over records without answers, with first answers only, and over the samples.

Run: python tests/bench/bench_looks.py [--quick]
"""

import tempfile
from pathlib import Path

import timing
from records import sample_files
from timing import TODAY, environment, revive, shown_s

from revive.engine.worth import rank_looks
from revive.loading import default_rules_folder, load_rules
from revive.model import Answer, Record, RuleBase
from revive.record import read_record

BUDGET_S = 1.0


def cases(base: RuleBase, quick: bool) -> dict[str, Record]:
    """Name -> record: nothing known, a layout and nothing else, and the samples."""
    found = {"nothing known": Record()}
    layouts = list(base.layouts)
    for layout in layouts[:: 5 if quick else 1]:
        found[f"bare, {layout}"] = Record(answers={"layout": Answer(layout)})
    for path in sample_files()[:: 5 if quick else 1]:
        found[f"{path.parent.name}/{path.stem}"] = read_record(path, base)
    return found


def report(quick: bool, rounds: int) -> str:
    """A row a record, within one process."""
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems
    rows = []
    for name, record in cases(base, quick).items():
        looks = rank_looks(base, record, TODAY)
        runs = [timing.once(lambda record=record: rank_looks(base, record, TODAY)) for _ in range(rounds)]
        budget = timing.within(timing.judged_s(runs), BUDGET_S, "s") if name.startswith(("bare", "nothing")) else ""
        times = [shown_s(figure) for figure in (timing.median_s(runs), timing.least_s(runs), timing.cpu_s(runs))]
        rows.append([name, str(len(looks)), *times, budget])
    note = f"{rounds} rounds. Every answer is tried, numbers at the limits that rules name."
    return timing.table(
        "Worth of all looks, within one process", ["record", "looks", "median", "least", "CPU", "budget"], rows, [note]
    )


def processes(rounds: int) -> str:
    """`revive looks --all --as json` as a whole process over a bare record."""
    with tempfile.TemporaryDirectory() as folder:
        settings = environment(Path(folder) / "cache")
        bare = Path(folder) / "bare.yaml"
        bare.write_text("record: 1\nanswers:\n  layout: flat_twin_wet\n", encoding="utf-8")
        command = revive("looks", str(bare), "--all", "--as", "json", "--today", TODAY)
        plan = revive("plan", str(bare), "--as", "json", "--today", TODAY)
        taken = timing.alternate(
            {
                "revive plan": lambda: timing.run_process(plan, settings),
                "revive looks --all": lambda: timing.run_process(command, settings),
            },
            rounds,
        )
    rows = timing.process_rows(taken, "revive plan", {})
    return timing.table("Looks of a bare record, whole process, beside its plan", timing.PROCESS_HEAD, rows)


def main() -> None:
    """Print both tables."""
    given = timing.options(__doc__ or "")
    print(timing.machine_words(), end="\n\n", flush=True)
    print(report(given.quick, 1 if given.quick else 5), end="\n\n", flush=True)
    print(processes(2 if given.quick else 9))


if __name__ == "__main__":
    main()
