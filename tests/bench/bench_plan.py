"""How long a plan takes: the whole process against an empty Python, and its parts by size of rule base.

Run: python tests/bench/bench_plan.py [--quick] [--record FILE]
"""

import cProfile
import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path

import synthetic
import timing
from ours import rule_pass
from timing import PROCESS_HEAD, ROOT, TODAY, Taken, environment, revive, shown_s

from revive.engine.compiled import compile_base
from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.model import Record, RuleBase
from revive.record import read_record

SAMPLE = ROOT / "samples" / "flat-twin" / "1-first-answers.yaml"
SIZES = (330, 3_300, 33_000)
WARM_BUDGET, PASS_BUDGET_S = 6.0, 0.001
LINEAR = 1.3
"""So much more time a rule counts as linear growth: larger data misses the processor's caches more often."""
STEPS = "calls in make_plan"
JUDGED = ("load, no cache", "load from cache", "make_plan", STEPS)
PARTS = ("load, no cache", "load from cache", "compile", "rule pass", "make_plan")


def processes(record: str, rounds: int) -> str:
    """`revive plan --as json` as a whole process, with a warm and with an empty cache, against `python -c pass`."""
    with tempfile.TemporaryDirectory() as folder:
        warm = environment(Path(folder) / "warm")
        plan = revive("plan", record, "--as", "json", "--today", TODAY)
        names = ["python -c pass", "revive plan, warm cache", "revive plan, empty cache"]
        number = iter(range(10**6))
        taken = timing.alternate(
            {
                names[0]: lambda: timing.run_process([sys.executable, "-c", "pass"], warm),
                names[1]: lambda: timing.run_process(plan, warm),
                names[2]: lambda: timing.run_process(plan, environment(Path(folder) / f"cold{next(number)}")),
            },
            rounds,
        )
    rows = timing.process_rows(taken, names[0], {names[1]: WARM_BUDGET})
    return timing.table("A plan as JSON, whole process", PROCESS_HEAD, rows, [f"{rounds} rounds in turn."])


def where_it_goes(record: str, rounds: int) -> str:
    """The stages of a warm plan as JSON, least of all rounds, and what share of the whole each takes."""
    with tempfile.TemporaryDirectory() as folder:
        warm = environment(Path(folder) / "warm")
        script = [sys.executable, str(Path(__file__).with_name("stages.py")), record, TODAY]
        ran = [subprocess.run(script, env=warm, capture_output=True, check=True) for _ in range(rounds + 1)]
    found = [json.loads(one.stdout) for one in ran[1:]]
    least = {name: min(one[name] for one in found) for name in found[0]}
    whole = sum(least.values())
    rows = [[name, shown_s(seconds), f"{100 * seconds / whole:.0f} %"] for name, seconds in least.items()]
    rows.append(["all of it, without Python's own start", shown_s(whole), "100 %"])
    return timing.table("Where the time of such a plan goes", ["stage", "least", "share"], rows)


def shipped(record: str, rounds: int) -> str:
    """The parts of a plan over the shipped base, within one process."""
    base = loaded(default_rules_folder())
    found = read_record(record, base)
    taken = timing.alternate_calls(calls(base, found), rounds)
    rows = []
    for name, runs in taken.items():
        budget = timing.within(timing.judged_s(runs), PASS_BUDGET_S, "s") if name == "rule pass" else ""
        times = [shown_s(figure) for figure in (timing.median_s(runs), timing.least_s(runs), timing.cpu_s(runs))]
        rows.append([name, *times, budget])
    title = f"A plan over the shipped base of {len(base.rules)} rules, within one process"
    return timing.table(title, ["what", "median", "least", "CPU", "budget"], rows)


def growth(sizes: Sequence[int], rounds: int) -> str:
    """Parts of a plan over made-up bases of several sizes, and how their times grow."""
    with tempfile.TemporaryDirectory() as folder:
        seconds = [measured(Path(folder), size, rounds) for size in sizes]
    rows = []
    for part in (*PARTS, STEPS):
        shown = shown_s if part != STEPS else "{:,.0f}".format
        row = [part, *(shown(of_size[part]) for of_size in seconds)]
        for place in range(1, len(sizes)):
            row.append(f"{seconds[place][part] / seconds[place - 1][part] / (sizes[place] / sizes[place - 1]):.2f}")
        worst = max(map(float, row[len(sizes) + 1 :]), default=0.0)
        rows.append([*row, timing.within(worst, LINEAR, "x a rule") if part in JUDGED else ""])
    head = ["least CPU time", *(f"{size:,} rules" for size in sizes)]
    head += [f"{one:,} to {two:,}" for one, two in pairwise(sizes)]
    notes = [
        "Growth is by rule: 1.00 is linear, less is better. The record answers half of all questions of its base.",
        "Calls are counted, not timed: where they grow less than the time does, the processor waits for its memory.",
    ]
    return timing.table(
        "By size of rule base (made-up rules, shaped like the shipped ones)", [*head, "budget"], rows, notes
    )


def measured(folder: Path, size: int, rounds: int) -> dict[str, float]:
    """Least CPU seconds of every part for one size: what other work on the machine adds is no growth."""
    rules, path = folder / f"rules-{size}", folder / f"{size}.yaml"
    synthetic.write_rules(rules, size)
    synthetic.write_record(path, size)
    long = size > 5_000
    os.environ["REVIVE_CACHE"] = str(folder / "cache")
    cold = [timing.once(lambda: load_rules(rules, use_cache=False)) for _ in range(1 if long else rounds)]
    base = loaded(rules)
    warm = [timing.once(lambda: loaded(rules)) for _ in range(rounds)]
    compiling = [timing.once(lambda: compile_base.__wrapped__(base)) for _ in range(rounds)]
    record = read_record(path, base)
    compile_base(base)
    work = calls(base, record)
    plans = [timing.once(work["make_plan"]) for _ in range(rounds)]
    passes = timing.alternate_calls({"rule pass": work["rule pass"]}, rounds)["rule pass"]
    runs: dict[str, list[Taken]] = dict(zip(PARTS, (cold, warm, compiling, passes, plans), strict=True))
    least = {name: min(run.cpu_s for run in found) for name, found in runs.items()}
    return {**least, STEPS: counted(work["make_plan"])}


def counted(call: Callable[[], object]) -> float:
    """How many functions a call calls in all."""
    profile = cProfile.Profile()
    profile.runcall(call)
    return sum(row.callcount for row in profile.getstats())


def calls(base: RuleBase, record: Record) -> dict[str, Callable[[], object]]:
    """What is timed within one process: one judging of every rule, and the whole plan."""
    return {"rule pass": rule_pass(base, record, TODAY), "make_plan": lambda: make_plan(base, record, TODAY)}


def loaded(folder: str | Path) -> RuleBase:
    """A rule base without a problem."""
    base, problems = load_rules(folder)
    assert base is not None, problems[:5]
    return base


def main() -> None:
    """Print the four tables."""
    given = timing.options(__doc__ or "", "record")
    record, rounds = given.record or str(SAMPLE), 3 if given.quick else 15
    print(timing.machine_words(), end="\n\n")
    print(processes(record, rounds), end="\n\n", flush=True)
    print(where_it_goes(record, rounds), end="\n\n", flush=True)
    print(shipped(record, rounds), end="\n\n", flush=True)
    print(growth(SIZES[:2] if given.quick else SIZES, 3))


if __name__ == "__main__":
    main()
