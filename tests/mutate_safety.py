"""Change the shipped rules for the worse, one thing at a time and in memory only, and count how often it is noticed.

    python tests/mutate_safety.py                 every change, played on machines; the table and the examples beside it
    python tests/mutate_safety.py --sample 200    200 of them, always the same
    python tests/mutate_safety.py --table         the table and the examples only, without playing
    python tests/mutate_safety.py --behaviour 40  40 of them are shown to the journeys and scenarios too

Exit code 0 where at least 95 of 100 are noticed by what the changed rules do on made-up machines (with --table: by the
wording), else 1. Survivors are listed with what was judged of them in safety/survivors.yaml. No file is changed.
"""

import argparse
import multiprocessing
import os
import random
import sys
import time
from collections import Counter
from collections.abc import Iterator, Sequence
from pathlib import Path

if __name__ == "__main__":
    here = Path(__file__).resolve().parent
    sys.path[:0] = [str(here), str(here.parent)]

from safety.detectors import BehaviourDetector, Detector, ExampleDetector, PlayedDetector, TableDetector
from safety.mutants import Mutant, mutants
from safety.survivors import judgements

from revive.loading import default_rules_folder, load_rules
from revive.model import RuleBase

LEAST_NOTICED = 0.95
SEED = 1


def main(arguments: Sequence[str]) -> int:
    """Print the count; 0 where enough was noticed."""
    parser = argparse.ArgumentParser(description="Change the rules for the worse and count how often it is noticed.")
    parser.add_argument("--sample", type=int, default=0, metavar="N", help="only N of the changes")
    parser.add_argument("--table", action="store_true", help="the table and the examples only")
    parser.add_argument("--jobs", type=int, default=os.cpu_count() or 1, metavar="N", help="processes that play")
    parser.add_argument(
        "--behaviour", type=int, default=0, metavar="N", help="show N to the journeys as well, about half a minute each"
    )
    given = parser.parse_args(arguments)
    base, problems = load_rules(default_rules_folder())
    if base is None:
        print("\n".join(map(str, problems)))
        return 1
    made = some(list(mutants(base)), given.sample)
    played = None if given.table else PlayedDetector(base)
    if played:
        print(f"{played.make_all()} machines made from the page.", flush=True)
    return report(base, made, played, given.jobs, given.behaviour)


def report(base: RuleBase, made: list[Mutant], played: PlayedDetector | None, jobs: int = 1, behaviour: int = 0) -> int:
    """Judge mutants of a base and print what came of them. played: left out, the wording alone is judged."""
    began = time.monotonic()
    table, examples = TableDetector(base), ExampleDetector()
    by_wording = {mutant for mutant in made if table.notice(mutant)}
    by_examples = {mutant for mutant in made if examples.notice(mutant)}
    lines = [
        f"  {share(len(by_wording), len(made))} by the wording of {table.name}",
        f"  {share(len(by_examples), len(made))} by {examples.name}",
    ]
    noticed = by_wording | by_examples
    if played:
        words = dict(zip(made, at_work(played, made, jobs), strict=True))
        noticed = {mutant for mutant in made if words[mutant]}
        told = [mutant for mutant in noticed if "does not say" in words[mutant]]
        lines.insert(
            0, f"  {share(len(noticed), len(made))} by {played.name}, {len(told)} of them only by what a hold says"
        )
    if behaviour:
        whole, shown = BehaviourDetector(base), some(made, behaviour)
        found = [mutant for mutant in shown if whole.notice(mutant)]
        lines.append(f"  {share(len(found), len(shown))} of the {len(shown)} shown to {whole.name}")
    survivors = [mutant for mutant in made if mutant not in noticed]
    judged = judgements()

    print(f"{len(made)} changes for the worse, {share(len(noticed), len(made))} noticed.")
    print("\n".join(lines))
    print("By kind of change, noticed of made:")
    of, lost = Counter(mutant.kind for mutant in made), Counter(mutant.kind for mutant in survivors)
    for kind in sorted(of):
        print(f"  {kind}: {of[kind] - lost[kind]} of {of[kind]}")
    print("Survivors:" if survivors else "No survivor.")
    for mutant in survivors:
        print(f"  {mutant.kind}: {mutant.what} [{judged.get((mutant.kind, mutant.what), 'NOT JUDGED')}]")
    print(f"Took {time.monotonic() - began:.0f} s.")
    return 0 if len(survivors) <= (1 - LEAST_NOTICED) * len(made) else 1


def at_work(detector: Detector, made: list[Mutant], jobs: int) -> Iterator[str]:
    """What a detector says of each mutant, in order; with several processes progress is printed."""
    if jobs < 2:
        yield from map(detector.notice, made)
        return
    global _DETECTOR, _MADE
    _DETECTOR, _MADE = detector, made
    with multiprocessing.get_context("fork").Pool(jobs) as pool:
        for count, words in enumerate(pool.imap(_notice, range(len(made)), chunksize=8), start=1):
            if count % 500 == 0:
                print(f"  {count} of {len(made)} played", flush=True)
            yield words


_DETECTOR: Detector
_MADE: list[Mutant] = []


def _notice(place: int) -> str:
    return _DETECTOR.notice(_MADE[place])


def some(made: list[Mutant], count: int) -> list[Mutant]:
    """So many of them, always the same; all where the count is 0."""
    return random.Random(SEED).sample(made, min(count, len(made))) if count else made


def share(part: int, whole: int) -> str:
    """A count with its share in a hundred."""
    return f"{part} ({100 * part / whole:.1f} %)" if whole else "0"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
