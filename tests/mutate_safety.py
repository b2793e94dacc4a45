"""Change the shipped rules for the worse, one thing at a time and in memory only, and count how often it is noticed.

    python tests/mutate_safety.py                 every change; the table and the examples
    python tests/mutate_safety.py --sample 200    200 of them, always the same
    python tests/mutate_safety.py --played 400    400 of them are also played on machines, without the table's wording
    python tests/mutate_safety.py --behaviour 40  40 of them are shown to the journeys and scenarios too

Exit code 0 where at least 95 of 100 are noticed, else 1. Survivors are listed. No file is changed.
"""

import argparse
import random
import sys
import time
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

if __name__ == "__main__":
    here = Path(__file__).resolve().parent
    sys.path[:0] = [str(here), str(here.parent)]

from safety.detectors import BehaviourDetector, ExampleDetector, PlayedDetector, TableDetector
from safety.mutants import Mutant, mutants

from revive.loading import default_rules_folder, load_rules
from revive.model import RuleBase

LEAST_NOTICED = 0.95
SEED = 1


def main(arguments: Sequence[str]) -> int:
    """Print the count; 0 where enough was noticed."""
    parser = argparse.ArgumentParser(description="Change the rules for the worse and count how often it is noticed.")
    parser.add_argument("--sample", type=int, default=0, metavar="N", help="only N of the changes")
    parser.add_argument("--played", type=int, default=0, metavar="N", help="play N on machines as well")
    parser.add_argument(
        "--behaviour", type=int, default=0, metavar="N", help="show N to the journeys as well, about half a minute each"
    )
    given = parser.parse_args(arguments)
    base, problems = load_rules(default_rules_folder())
    if base is None:
        print("\n".join(map(str, problems)))
        return 1
    return report(base, given.sample, given.played, given.behaviour)


def report(base: RuleBase, sample: int = 0, played: int = 0, behaviour: int = 0) -> int:
    """Judge the mutants of a base and print what came of them."""
    began = time.monotonic()
    made = some(list(mutants(base)), sample)
    table, examples = TableDetector(base), ExampleDetector()
    noticed = {mutant for mutant in made if table.notice(mutant)}
    by_examples = {mutant for mutant in made if examples.notice(mutant)}
    lines = [
        f"  {share(len(noticed), len(made))} by {table.name}",
        f"  {share(len(by_examples), len(made))} by {examples.name}",
    ]
    noticed |= by_examples
    for count, make in ((played, PlayedDetector), (behaviour, BehaviourDetector)):
        if not count:
            continue
        detector, shown = make(base), some(made, count)
        found = {mutant for mutant in shown if detector.notice(mutant)}
        lines.append(f"  {share(len(found), len(shown))} of the {len(shown)} shown to {detector.name}")
        noticed |= found
    survivors = [mutant for mutant in made if mutant not in noticed]

    print(f"{len(made)} changes for the worse, {share(len(made) - len(survivors), len(made))} noticed.")
    print("\n".join(lines))
    print("By kind of change, noticed of made:")
    of, lost = Counter(mutant.kind for mutant in made), Counter(mutant.kind for mutant in survivors)
    for kind in sorted(of):
        print(f"  {kind}: {of[kind] - lost[kind]} of {of[kind]}")
    print("Survivors:" if survivors else "No survivor.")
    for mutant in survivors:
        print(f"  {mutant.kind}: {mutant.what}")
    print(f"Took {time.monotonic() - began:.0f} s.")
    return 0 if len(survivors) <= (1 - LEAST_NOTICED) * len(made) else 1


def some(made: list[Mutant], count: int) -> list[Mutant]:
    """So many of them, always the same; all where the count is 0."""
    return random.Random(SEED).sample(made, min(count, len(made))) if count else made


def share(part: int, whole: int) -> str:
    """A count with its share in a hundred."""
    return f"{part} ({100 * part / whole:.1f} %)" if whole else "0"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
