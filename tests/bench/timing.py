"""Time processes and calls in turn within one run, and print what came out as a table. Judges nothing but a budget.

What is compared is always run alternately, so that a machine that grows slower meanwhile slows both sides. Wall time is
what a user waits for; CPU time is that of the process and its own children, and moves less on a busy machine. Figures are
medians with the minimum beside them; a ratio is the median of the ratios pair by pair. Needs a Unix (wait4).
"""

import argparse
import gc
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from revive.__main__ import COLLECT_AFTER

ROOT = Path(__file__).resolve().parents[2]
TODAY = "2026-11-25"


@dataclass(frozen=True)
class Taken:
    """One run. wall_s, cpu_s: seconds; peak_mb: the most memory held at once, in megabytes, of the process itself."""

    wall_s: float
    cpu_s: float
    peak_mb: float = 0.0


@dataclass(frozen=True)
class Ratio:
    """How much longer one thing takes than another. least: minimum over minimum."""

    wall: float
    cpu: float
    least: float


def environment(cache: str | os.PathLike[str], **more: str) -> dict[str, str]:
    """Settings in which `python -m revive` is this checkout, compiled as an installed one is, with its own cache folder."""
    held = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**held, "PYTHONPATH": str(ROOT), "REVIVE_CACHE": os.fspath(cache), "NO_COLOR": "1", **more}


def revive(*arguments: str) -> list[str]:
    """The command line of this checkout, under the Python that runs the benchmark."""
    return [sys.executable, "-m", "revive", *arguments]


def run_process(command: Sequence[str], settings: Mapping[str, str], wanted: Sequence[int] = (0,)) -> Taken:
    """Run a whole process; what it took, its reaped children included in the CPU time.

    Raises:
        RuntimeError: it ended with a code that is not wanted; a benchmark of a failure says nothing.
    """
    with tempfile.TemporaryFile() as said:
        begun = time.perf_counter()
        child = subprocess.Popen(command, env=dict(settings), stdout=subprocess.DEVNULL, stderr=said)
        _, status, used = os.wait4(child.pid, 0)
        wall = time.perf_counter() - begun
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode not in wanted:
            said.seek(0)
            raise RuntimeError(f"{' '.join(command)} ended with {child.returncode}: {said.read().decode()[-800:]}")
    return Taken(wall, used.ru_utime + used.ru_stime, used.ru_maxrss / (1024 if sys.platform != "darwin" else 1024**2))


def alternate(runs: Mapping[str, Callable[[], Taken]], times: int) -> dict[str, list[Taken]]:
    """Every run in turn, `times` rounds after one that is not counted; what each took, round by round."""
    taken: dict[str, list[Taken]] = {name: [] for name in runs}
    for number in range(times + 1):
        for name, run in runs.items():
            found = run()
            if number:
                taken[name].append(found)
    return taken


def alternate_calls(
    calls: Mapping[str, Callable[[], object]], times: int, least_s: float = 0.002
) -> dict[str, list[Taken]]:
    """The same for calls within this process; a short call is repeated until least_s seconds are full."""

    def timed(call: Callable[[], object]) -> Callable[[], Taken]:
        call()
        begun = time.perf_counter()
        call()
        repeats = max(1, round(least_s / max(time.perf_counter() - begun, 1e-7)))

        def run() -> Taken:
            wall, cpu = time.perf_counter(), time.process_time()
            for _ in range(repeats):
                call()
            return Taken((time.perf_counter() - wall) / repeats, (time.process_time() - cpu) / repeats)

        return run

    with quiet_collector():
        return alternate({name: timed(call) for name, call in calls.items()}, times)


def once(call: Callable[[], object]) -> Taken:
    """One call, for what is too long to repeat; garbage is collected as seldom as the program itself collects it."""
    gc.set_threshold(*COLLECT_AFTER)
    gc.collect()
    wall, cpu = time.perf_counter(), time.process_time()
    call()
    return Taken(time.perf_counter() - wall, time.process_time() - cpu)


@contextmanager
def quiet_collector() -> Iterator[None]:
    """The garbage collector rests, as in timeit, so that one side does not pay for the other's garbage."""
    gc.collect()
    collects = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if collects:
            gc.enable()


def median_s(runs: Sequence[Taken]) -> float:
    """Median wall seconds."""
    return statistics.median(run.wall_s for run in runs)


def least_s(runs: Sequence[Taken]) -> float:
    """Least wall seconds."""
    return min(run.wall_s for run in runs)


def judged_s(runs: Sequence[Taken]) -> float:
    """The seconds by which a budget is judged: wall, or CPU on a busy machine. For work on one processor."""
    return cpu_s(runs) if is_busy() else median_s(runs)


def cpu_s(runs: Sequence[Taken]) -> float:
    """Median CPU seconds."""
    return statistics.median(run.cpu_s for run in runs)


def ratio(runs: Sequence[Taken], floor: Sequence[Taken]) -> Ratio:
    """Round by round, so that both sides of each ratio met the same machine."""
    pairs = list(zip(runs, floor, strict=True))
    return Ratio(
        statistics.median(one.wall_s / other.wall_s for one, other in pairs),
        statistics.median(one.cpu_s / max(other.cpu_s, 1e-6) for one, other in pairs),
        least_s(runs) / least_s(floor),
    )


def shown_s(seconds: float) -> str:
    """Seconds in the unit that reads best."""
    if seconds >= 10:
        return f"{seconds:.1f} s"
    if seconds >= 1:
        return f"{seconds:.2f} s"
    if seconds >= 0.01:
        return f"{seconds * 1e3:.1f} ms"
    return f"{seconds * 1e3:.3f} ms" if seconds >= 1e-4 else f"{seconds * 1e6:.1f} us"


def is_busy() -> bool:
    """Whether more work waits than there are processors; budgets are then judged by CPU time, and say so."""
    return os.getloadavg()[0] > (os.cpu_count() or 1)


def within(figure: float, budget: float, unit: str = "x") -> str:
    """The budget and whether the figure keeps it. unit: x for a ratio, s for seconds."""
    told = f"{budget:g} x" if unit == "x" else shown_s(budget) if unit == "s" else f"{budget:g} {unit}"
    return f"{told}: {'kept' if figure <= budget else 'NOT KEPT'}"


def process_rows(taken: Mapping[str, Sequence[Taken]], floor: str, budgets: Mapping[str, float]) -> list[list[str]]:
    """A row a process, against the one that is the floor. budgets: name -> largest ratio of wall times."""
    rows = []
    for name, runs in taken.items():
        if name == floor:
            told = ["1.00", "1.00", "1.00", ""]
        else:
            found = ratio(runs, taken[floor])
            judged = found.cpu if is_busy() else found.wall
            budget = within(judged, budgets[name]) + (" (CPU)" if is_busy() else "") if name in budgets else ""
            told = [f"{found.wall:.2f}", f"{found.least:.2f}", f"{found.cpu:.2f}", budget]
        rows.append([name, shown_s(median_s(runs)), shown_s(least_s(runs)), shown_s(cpu_s(runs)), *told])
    return rows


PROCESS_HEAD = ["what", "median", "least", "CPU", "ratio", "of least", "of CPU", "budget"]


def table(title: str, head: Sequence[str], rows: Sequence[Sequence[str]], notes: Sequence[str] = ()) -> str:
    """A table as text: the first column to the left, figures to the right, notes below."""
    widths = [max(len(row[place]) for row in [head, *rows]) for place in range(len(head))]

    def line(cells: Sequence[str]) -> str:
        return "  ".join(
            cell.ljust(width) if place in (0, len(head) - 1) else cell.rjust(width)
            for place, (cell, width) in enumerate(zip(cells, widths, strict=True))
        ).rstrip()

    return "\n".join([title, "", line(head), line(["-" * width for width in widths]), *map(line, rows), "", *notes])


def machine_words() -> str:
    """The kind of machine in general words: system, Python, processors and how busy they were."""
    busy = "; busy, so budgets of time are judged by CPU time" if is_busy() else ""
    load = f"load {os.getloadavg()[0]:.1f}{busy}"
    return f"{platform.system()}, Python {platform.python_version()}, {os.cpu_count()} processors, {load}"


def options(text: str, *names: str) -> argparse.Namespace:
    """The options of a script: --quick for a look, and further names that take a value."""
    parser = argparse.ArgumentParser(description=text)
    parser.add_argument("--quick", action="store_true", help="fewer rounds and smaller sizes, for a look")
    for name in names:
        parser.add_argument(f"--{name}")
    return parser.parse_args()
