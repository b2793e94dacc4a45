"""Each problem code has its smallest bad file, its exact message, and a mended twin that is silent.

A file of tests/bad_rules says in its first lines where it stands in the small base (`# at PATH`) and how it is
mended: `# mend 7= text` puts the text in place of line 7, `# mend 7+ text` adds it under line 7; further `# mend`
lines with the same sign follow on. An empty text takes the line out.
"""

import re
from pathlib import Path

import pytest

from revive.loading import load_rules

BAD_RULES = Path(__file__).parent.parent / "bad_rules"
FILES = sorted(BAD_RULES.glob("*.yaml"))
MEND = re.compile(rb"# mend (\d+)([=+]) ?(.*)")


def place_of(bad: bytes) -> str:
    return bad.split(b"\n")[0].decode().removeprefix("# at ")


def mended(bad: bytes) -> bytes:
    lines = bad.split(b"\n")
    under: dict[int, list[bytes]] = {}
    for line in lines:
        if found := MEND.fullmatch(line):
            number, sign, text = int(found[1]), found[2], found[3]
            if sign == b"=" and number not in under:
                lines[number - 1] = b""
            under.setdefault(number, []).append(text)
    return b"\n".join(line for at, here in enumerate(lines, 1) for line in (here, *under.get(at, ())))


def put(rules: Path, bad: bytes, content: bytes) -> None:
    place = rules / place_of(bad)
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(content)


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_bad_file_is_told_of_in_the_exact_words_beside_it(file, rules):
    bad = file.read_bytes()
    put(rules, bad, bad)

    base, problems = load_rules(str(rules))

    assert base is None
    assert "".join(f"{problem}\n" for problem in problems) == file.with_suffix(".txt").read_text("utf-8")
    assert file.stem in {problem.code for problem in problems}


@pytest.mark.parametrize(
    "file", [file for file in FILES if b"\n# mend " in file.read_bytes()], ids=lambda file: file.stem
)
def test_the_mended_twin_is_silent(file, rules):
    bad = file.read_bytes()
    put(rules, bad, mended(bad))

    base, problems = load_rules(str(rules))

    assert [str(problem) for problem in problems] == []
    assert base is not None


def test_every_bad_file_but_those_that_should_not_exist_has_a_mended_twin():
    assert [file.stem for file in FILES if b"\n# mend " not in file.read_bytes()] == ["empty-file", "unknown-file"]


def test_every_code_in_the_loading_package_has_a_bad_file_or_a_test_of_its_own():
    package = Path(__file__).parents[2] / "revive" / "loading"
    source = "".join(path.read_text("utf-8") for path in package.glob("*.py") if path.name != "proof.py")
    codes = set(re.findall(r'"([a-z]+(?:-[a-z0-9]+)+|tab)",? ', source)) - {"utf-8"}
    places = Path(__file__).parent, Path(__file__).parents[1] / "editing"
    tests = "".join(path.read_text("utf-8") for place in places for path in place.glob("test_*.py"))

    untested = {code for code in codes if not (BAD_RULES / f"{code}.yaml").exists() and f'"{code}"' not in tests}

    assert untested == set()
    assert len(codes) > 50
