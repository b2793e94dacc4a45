"""Time whole processes and functions in pairs within one run; prints ratios, judges nothing."""

import statistics
import subprocess
import time
from collections.abc import Callable, Sequence


def process_seconds(command: Sequence[str], times: int = 7) -> float:
    """Median wall seconds of a whole process, after one run that is not counted."""
    taken = []
    for _ in range(times + 1):
        begun = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken[1:])


def paired_ratio(command: Sequence[str], floor: Sequence[str], times: int = 9) -> tuple[float, float, float]:
    """Median seconds of a command and of its floor, run in turn, and the median of the ratios pair by pair."""
    pairs = []
    for _ in range(times + 1):
        pairs.append((process_seconds(command, 1), process_seconds(floor, 1)))
    pairs = pairs[1:]
    ratio = statistics.median(one / other for one, other in pairs)
    return statistics.median(p[0] for p in pairs), statistics.median(p[1] for p in pairs), ratio


def call_seconds(call: Callable[[], object], times: int = 50) -> float:
    """Median seconds of one call, after three that are not counted."""
    for _ in range(3):
        call()
    taken = []
    for _ in range(times):
        begun = time.perf_counter()
        call()
        taken.append(time.perf_counter() - begun)
    return statistics.median(taken)
