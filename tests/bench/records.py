"""Write any number of made-up records: the shipped samples with a few answers taken out, unknown or changed by a seed.

The same number and seed always give the same files. Every one is a record that can be read; no two are the same.
"""

import random
import re
from collections.abc import Iterator
from pathlib import Path

from timing import ROOT

from revive.model import Question, RuleBase

_ANSWER = re.compile(r"  ([a-z0-9_]+): ([^#\n]*?)\s*(#.*)?\n")
_VALUE = re.compile(r"(\{value: )(\[[^]]*\]|[^,}]+)")
KEPT = ("layout", "cylinders", "plan_goal", "user_role", "batch_size")
"""Answers that hang together with others of the record and stay as they are."""
TAKEN_OUT, UNKNOWN, OTHER = 0.04, 0.04, 0.06


def write_records(folder: Path, count: int, base: RuleBase, seed: int = 1) -> None:
    """Write `count` records, NNNNN-SAMPLE.yaml, into a folder that is there."""
    samples = sample_files()
    texts = {path: path.read_text(encoding="utf-8") for path in samples}
    for number in range(count):
        path = samples[number % len(samples)]
        rng = random.Random(f"{seed} {number}")
        text = "".join(_varied(texts[path], rng, base, number))
        (folder / f"{number:05}-{path.parent.name}.yaml").write_text(text, encoding="utf-8")


def sample_files() -> list[Path]:
    """The records of the shipped samples, in order of their names."""
    return sorted(path for path in (ROOT / "samples").glob("*/*.yaml"))


def _varied(text: str, rng: random.Random, base: RuleBase, number: int) -> Iterator[str]:
    section = ""
    for line in text.splitlines(keepends=True):
        if not line.startswith((" ", "#")):
            section = line.split(":")[0]
        found = _ANSWER.fullmatch(line) if section == "answers" else None
        if found and found[1] not in KEPT:
            yield from _varied_answer(line, found[1], rng, base.questions[found[1]])
        elif section == "machine" and line.startswith("  name: "):
            yield f"  name: Made-up machine {number}\n"
        else:
            yield line


def _varied_answer(line: str, name: str, rng: random.Random, question: Question) -> Iterator[str]:
    die = rng.random()
    if die < TAKEN_OUT:
        return
    if die < TAKEN_OUT + UNKNOWN:
        value = "dont_know"
    elif die < TAKEN_OUT + UNKNOWN + OTHER:
        value = _other(rng, question)
    else:
        yield line
        return
    yield _VALUE.sub(rf"\g<1>{value}", line) if "{value:" in line else f"  {name}: {value}\n"


def _other(rng: random.Random, question: Question) -> str:
    if question.kind == "number":
        return f"{rng.uniform(question.low, question.high):.1f}" if question.low != question.high else "dont_know"
    choice = rng.choice(list(question.choices) or ["yes", "no"])
    return f"[{choice}]" if question.kind == "many" else f'"{choice}"'
