"""How long a plan takes: the whole process against an empty Python, and the rule pass over the shipped base.

Run: python tests/bench/bench_plan.py [RECORD]
"""

import sys
from pathlib import Path

from timing import call_seconds, paired_ratio

from revive.engine.compiled import compile_base
from revive.engine.facts import Reading, open_case, recorded_values
from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.record import read_record

SAMPLE = Path(__file__).parents[2] / "samples" / "flat-twin" / "1-first-answers.yaml"


def main(path: str) -> None:
    """Print the table for one record."""
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems
    record = read_record(path, base)
    case = open_case(compile_base(base), record, "2026-11-25")

    def rule_pass() -> list[bool | None]:
        sight = Reading(case, recorded_values(case)).sight
        return [test(sight) for test in case.compiled.rules.values()]

    plan = [sys.executable, "-m", "revive", "plan", path, "--as", "json"]
    taken, floor, ratio = paired_ratio(plan, [sys.executable, "-c", "pass"])
    print(f"{'what':44} {'median':>10} {'ratio':>8}")
    print(f"{'python -c pass':44} {floor * 1000:8.1f}ms {1:8.2f}")
    print(f"{'revive plan --as json, warm cache':44} {taken * 1000:8.1f}ms {ratio:8.2f}")
    print(f"{f'rule pass, {len(base.rules)} rules':44} {call_seconds(rule_pass) * 1000:8.3f}ms")
    print(f"{'make_plan, all of it':44} {call_seconds(lambda: make_plan(base, record, '2026-11-25')) * 1000:8.3f}ms")


if __name__ == "__main__":
    main(sys.argv[1] if len(sys.argv) > 1 else str(SAMPLE))
