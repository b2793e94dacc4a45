"""What only the engine can find is told in exact words; the shipped base is proved whole, and in time.

Each file of tests/bad_rules/proof loads without a problem and breaks one promise of the proof; its mended twin is silent.
"""

import re
from pathlib import Path

import pytest
from test_bad_rules import mended, put

from revive.loading import default_rules_folder, load_rules
from revive.loading.proof import prove
from revive.problems import tidy

BAD = Path(__file__).parent.parent / "bad_rules" / "proof"
FILES = sorted(BAD.glob("*.yaml"))
CODES = (
    "example-fails",
    "gate-never-opens",
    "never-asked",
    "never-called",
    "never-cleared",
    "never-fires",
    "never-noticed",
    "never-proved",
    "never-quiet",
    "never-released",
    "unknown-figure",
)


def proved(rules):
    base, problems = load_rules(str(rules))
    assert [str(problem) for problem in problems] == []
    return tidy(prove(base))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_base_that_cannot_be_proved_is_told_of_in_the_exact_words_beside_the_file(file, rules):
    bad = file.read_bytes()
    put(rules, bad, bad)

    problems = proved(rules)

    assert "".join(f"{problem}\n" for problem in problems) == file.with_suffix(".txt").read_text("utf-8")
    assert file.stem in {problem.code for problem in problems}


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_the_mended_twin_is_proved(file, rules):
    bad = file.read_bytes()
    put(rules, bad, mended(bad))

    assert proved(rules) == []


def test_every_code_of_the_proof_has_its_smallest_bad_file():
    package = Path(__file__).parents[2] / "revive" / "loading"
    source = "".join(path.read_text("utf-8") for path in package.glob("proof*.py"))
    codes = set(re.findall(r'"((?:never|gate|example|unknown)-[a-z-]+)"', source))

    assert codes == set(CODES) == {file.stem for file in FILES}


def test_the_shipped_rules_are_proved_whole():
    base, problems = load_rules(default_rules_folder(), use_cache=False)
    assert problems == []

    assert [str(problem) for problem in prove(base)] == []
