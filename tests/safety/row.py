"""Print the line of a rule in the notation of table.yaml, to be read and judged before it is put there.

python tests/safety/row.py RULE ...
"""

import sys
import textwrap
from pathlib import Path

if __name__ == "__main__":
    here = Path(__file__).resolve().parents[1]
    sys.path[:0] = [str(here), str(here.parent)]

from revive.loading import default_rules_folder, load_rules
from revive.model import Rule
from safety.notation import show


def row(rule: Rule) -> str:
    """The lines of one rule."""
    lines = [f"  {rule.id}:", *_folded("when", show(rule.when)), f"    severity: {rule.severity}"]
    if rule.adds:
        lines.append(f"    adds: [{', '.join(rule.adds)}]")
    if rule.holds and all(tasks == rule.adds for tasks in rule.holds.values()):
        lines.append(f"    holds: [{', '.join(rule.holds)}]")
    elif rule.holds:
        lines += ["    holds:", *(f"      {gate}: [{', '.join(tasks)}]" for gate, tasks in rule.holds.items())]
    if rule.stop:
        lines.append(f"    stop: {rule.stop}")
    return "\n".join(lines)


def _folded(key: str, text: str) -> list[str]:
    if len(text) < 100:
        return [f"    {key}: '{text}'"]
    wrapped = textwrap.wrap(text, 106, break_long_words=False, break_on_hyphens=False)
    return [f"    {key}: >-", *(f"      {line}" for line in wrapped)]


if __name__ == "__main__":
    base, problems = load_rules(default_rules_folder())
    for name in sys.argv[1:]:
        print(row(base.rules[name]) if base and name in base.rules else f"no rule is called {name}")
    for problem in problems:
        print(problem)
