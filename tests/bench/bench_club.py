"""How long `revive club` takes over folders of growing size, how much memory it holds, and what a second run saves.

Memory is that of the whole tree of processes, shared pages counted once (PSS), looked at while it runs; it needs Linux.

Run: python tests/bench/bench_club.py [--quick]
"""

import os
import tempfile
import threading
import time
from collections.abc import Sequence
from pathlib import Path

import records
import timing
from timing import TODAY, Taken, environment, revive, shown_s

from revive.loading import default_rules_folder, load_rules

SIZES = (10, 100, 1_000, 10_000)
BUDGET_RECORDS, BUDGET_S = 1_000, 60.0
FLAT = 1.5
"""Ten times the records may hold so much more memory and still count as flat."""
LOOK_EVERY_S = 0.1


class Watch:
    """Looks at the memory of a process and all below it until told to stop. peak_mb: the most seen at once."""

    def __init__(self) -> None:
        self.peak_mb, self._over = 0.0, threading.Event()
        self._known = set(_below(os.getpid()))
        self._thread = threading.Thread(target=self._look, daemon=True)

    def __enter__(self) -> "Watch":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._over.set()
        self._thread.join()

    def _look(self) -> None:
        while not self._over.wait(LOOK_EVERY_S):
            begun = [child for child in _below(os.getpid()) if child not in self._known]
            self.peak_mb = max(self.peak_mb, sum(map(_pss_kb, begun)) / 1024)


def _below(process: int) -> list[int]:
    """Every process that this one or one below it has started."""
    found = []
    for thread in Path(f"/proc/{process}/task").glob("*/children"):
        try:
            for child in map(int, thread.read_text().split()):
                found += [child, *_below(child)]
        except OSError:
            continue
    return found


def _pss_kb(process: int) -> int:
    try:
        text = Path(f"/proc/{process}/smaps_rollup").read_text()
    except OSError:
        return 0
    return next((int(line.split()[1]) for line in text.split("\n") if line.startswith("Pss:")), 0)


def watched(command: Sequence[str], settings: dict[str, str]) -> Taken:
    """One run of the club command with the peak memory of its whole tree. Records to mend end it with 1."""
    with Watch() as watch:
        taken = timing.run_process(command, settings, (0, 1))
    return Taken(taken.wall_s, taken.cpu_s, watch.peak_mb)


def report(sizes: Sequence[int]) -> str:
    """A row a size: the first run, a second in which one record had changed, memory and growth."""
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems
    rows: list[list[str]] = []
    before: tuple[int, Taken] | None = None
    for size in sizes:
        with tempfile.TemporaryDirectory() as place:
            folder = Path(place) / "club"
            folder.mkdir()
            records.write_records(folder, size, base)
            settings = environment(Path(place) / "cache")
            timing.run_process(revive("plan", str(records.sample_files()[0]), "--as", "json"), settings)
            command = revive("club", str(folder), "--out", str(Path(place) / "sheets"), "--today", TODAY)
            first = watched(command, settings)
            made = len(list((Path(place) / "sheets" / "machines").glob("*.html")))
            _change_one(folder)
            time.sleep(0.05)
            second = watched(command, settings)
        growth = f"{first.wall_s / before[1].wall_s / (size / before[0]):.2f}" if before else ""
        memory = f"{first.peak_mb / before[1].peak_mb:.2f}" if before and before[1].peak_mb else ""
        told = []
        if size == BUDGET_RECORDS:
            own = first.cpu_s / (os.cpu_count() or 1) if timing.is_busy() else first.wall_s
            told.append(timing.within(own, BUDGET_S, "s"))
        if memory and size > BUDGET_RECORDS / 10:
            told.append("memory " + timing.within(float(memory), FLAT))
        rows.append(
            [
                f"{size:,}",
                f"{made:,}",
                shown_s(first.wall_s),
                shown_s(first.cpu_s),
                f"{first.wall_s / size * 1000:.1f} ms",
                growth,
                f"{first.peak_mb:.0f} MB",
                memory,
                shown_s(second.wall_s),
                f"{second.peak_mb:.0f} MB",
                "; ".join(told),
            ]
        )
        before = size, first
    head = [
        "records",
        "plans",
        "first run",
        "CPU",
        "a record",
        "growth",
        "peak",
        "growth",
        "one changed",
        "peak",
        "budget",
    ]
    notes = [
        "Growth is against the row above: of time a record (1.00 is linear), and of peak memory (1.00 is flat).",
        "Peak is the memory of all its processes together. From 40 records on it works in one process a processor;",
        "on a busy machine its time is judged as its CPU time shared out over the processors.",
    ]
    return timing.table("revive club, sheets in HTML and lists", head, rows, notes)


def _change_one(folder: Path) -> None:
    """Add one remark to the middle record."""
    path = sorted(folder.iterdir())[len(list(folder.iterdir())) // 2]
    path.write_text(path.read_text(encoding="utf-8") + "# looked at again\n", encoding="utf-8")


def main() -> None:
    """Print the table."""
    given = timing.options(__doc__ or "")
    print(timing.machine_words(), end="\n\n", flush=True)
    print(report(SIZES[:2] if given.quick else SIZES))


if __name__ == "__main__":
    main()
