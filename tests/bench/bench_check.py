"""How long `revive rules check` takes by size of rule base: reading every file and proving the whole.

Run: python tests/bench/bench_check.py [--quick]
"""

import tempfile
from collections.abc import Sequence
from pathlib import Path

import synthetic
import timing
from bench_plan import LINEAR, SIZES
from timing import Taken, environment, revive, shown_s

BUDGET_S = 5.0


def report(sizes: Sequence[int], rounds: int, shipped_too: bool = True) -> str:
    """A row for the shipped base and one a size of made-up base; growth is of CPU time a rule."""
    rows: list[list[str]] = []
    with tempfile.TemporaryDirectory() as place:
        settings = environment(Path(place) / "cache")
        if shipped_too:
            runs = [timing.run_process(revive("rules", "check"), settings) for _ in range(rounds)]
            rows.append(["shipped", *_figures(runs), "", timing.within(timing.judged_s(runs), BUDGET_S, "s")])
        before: tuple[int, float] | None = None
        for size in sizes:
            folder = Path(place) / f"rules-{size}"
            synthetic.write_rules(folder, size)
            often = 1 if size > 5_000 else rounds
            runs = [timing.run_process(revive("rules", "check", str(folder)), settings) for _ in range(often)]
            cpu = min(run.cpu_s for run in runs)
            growth = f"{cpu / before[1] / (size / before[0]):.2f}" if before else ""
            told = timing.within(float(growth), LINEAR, "x time a rule") if growth else ""
            rows.append([f"{size:,} made up", *_figures(runs), growth, told])
            before = size, cpu
    note = "Growth is of the least CPU time a rule, against the row above: 1.00 is linear, less is better."
    head = ["rules", "median", "least", "CPU", "peak", "growth", "budget"]
    return timing.table("revive rules check, whole process", head, rows, [note])


def _figures(runs: Sequence[Taken]) -> list[str]:
    times = [shown_s(found) for found in (timing.median_s(runs), timing.least_s(runs), timing.cpu_s(runs))]
    return [*times, f"{max(run.peak_mb for run in runs):.0f} MB"]


def main() -> None:
    """Print the table."""
    given = timing.options(__doc__ or "")
    print(timing.machine_words(), end="\n\n", flush=True)
    print(report(SIZES[:2] if given.quick else SIZES, 1 if given.quick else 5))


if __name__ == "__main__":
    main()
