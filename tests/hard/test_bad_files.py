"""Whatever stands where a record should: one sentence with place, found, wanted and mend; exit code 1; nothing touched."""

import io
import os
import re
import resource
import signal
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from revive.cli import main
from revive.loading import default_rules_folder, load_rules
from revive.record import read_record

from .conftest import ROOT, Run, said

HEAD = b"record: 1\n"
COMMANDS = (
    ["plan"],
    ["note", "oil_look=clear"],
    ["done", "oil_drain"],
    ["ask", "--plain"],
    ["why", "crank"],
    ["listing"],
)
BOMB = b"a: &a [x,x,x,x]\n" + b"".join(
    b"%c: &%c [*%c,*%c,*%c,*%c]\n" % (98 + i, 98 + i, *[97 + i] * 4) for i in range(20)
)
# content -> line and code of the first problem
FILES = {
    "an alias bomb": (HEAD + BOMB, 2, "yaml-anchor"),
    "a tag that would run a program": (HEAD + b"machine: !!python/object/apply:os.system [id]\n", 2, "yaml-tag"),
    "a merge": (HEAD + b"answers: {<<: {oil_look: clear}}\n", 2, "yaml-merge"),
    "a NUL byte": (HEAD + b"machine: {name: 'a\0b'}\n", 1, "not-text"),
    "a NUL byte far down": (HEAD + b"#" * 9000 + b"\n# \0\n", 3, "control-character"),
    "bytes that are not UTF-8": (HEAD + b"machine: {name: Gr\xfcn}\n", 2, "not-utf8"),
    "UTF-16": ("\ufeffrecord: 1\n".encode("utf-16"), 1, "not-text"),
    "two byte order marks": (b"\xef\xbb\xbf\xef\xbb\xbfrecord: 1\n", 1, "control-character"),
    "line ends of an old system": (b"record: 1\rmachine: {}\r", 1, "control-character"),
    "lists in lists": (HEAD + b"answers: " + b"[" * 500 + b"]" * 500 + b"\n", 2, "too-deep"),
    "mappings in mappings": (HEAD + b"answers:\n" + b"".join(b"  " * n + b" a:\n" for n in range(60)), 42, "too-deep"),
    "a tab": (HEAD + b"answers:\n\toil_look: clear\n", 3, "tab"),
    "a colour": (HEAD + b"machine: {name: '\x1b[31mred'}\n", 2, "control-character"),
    "a colour as an escape": (HEAD + b'machine: {name: "\\e[31mred"}\n', 2, "control-character"),
    "a line separator as an escape": (HEAD + b'machine: {name: "a\\u2028b"}\n', 2, "control-character"),
    "another record's version": (b"record: 2\n", 1, "wrong-version"),
    "two documents": (HEAD + b"---\nrecord: 1\n", 2, "yaml-documents"),
    "a list": (b"- record: 1\n", 1, "wrong-type"),
    "a word": (b"record\n", 1, "wrong-type"),
    "a number beyond any": (HEAD + b"answers: {years_stored: " + b"9" * 400 + b"}\n", 2, "wrong-number"),
    "figures of another script": (HEAD + "answers: {years_stored: ٣}\n".encode(), 2, "wrong-number"),
    "infinity": (HEAD + b"answers: {years_stored: .inf}\n", 2, "wrong-number"),
    "a maker's figure beyond any": (HEAD + b"maker: {prime_budget_s: " + b"9" * 400 + b"}\n", 2, "wrong-type"),
    "a date in another script": (
        HEAD + "answers: {oil_look: {value: clear, on: ٢٠٢٦-١١-٢١}}\n".encode(),
        2,
        "wrong-date",
    ),
    "a date that is none": (HEAD + b"done: {oil_drain: {on: 2026-02-29}}\n", 2, "wrong-date"),
    "a date before motorcycles": (HEAD + b"done: {oil_drain: {on: 0001-01-01}}\n", 2, "wrong-date"),
    "a name as long as a book": (HEAD + b"machine: {name: " + b"a" * 20_000 + b"}\n", 2, "too-long"),
    "a machine with a thousand names": (
        HEAD + b"machine:\n" + b"".join(b"  n%d: x\n" % n for n in range(1000)),
        3,
        "too-large",
    ),
}


@pytest.fixture(autouse=True)
def one_base(monkeypatch: pytest.MonkeyPatch, base) -> None:
    import revive.loading

    monkeypatch.setattr(revive.loading, "load_rules", lambda *_: (base, []))


@pytest.fixture(scope="module")
def base():
    found, problems = load_rules(default_rules_folder())
    assert found is not None, problems[:3]
    return found


@pytest.mark.parametrize("name", FILES)
def test_a_bad_record_gets_a_sentence_in_every_command(name: str, tmp_path: Path, capsys, monkeypatch) -> None:
    content, line, code = FILES[name]
    record = tmp_path / "m.yaml"
    record.write_bytes(content)
    for command in COMMANDS:
        monkeypatch.setattr(sys, "stdin", io.StringIO("1\n"))
        assert main([command[0], str(record), *command[1:]]) == 1, command
        out, err = capsys.readouterr()
        sentence = rf"^{re.escape(str(record))}:{line}: .{{5,200}} \[{code}\]\n    \S.{{5,}}$"
        assert out == "" and re.search(sentence, err, re.MULTILINE), err
        assert all(row.startswith(("    ", f"{record}:")) for row in err.split("\n")[:-1])
    assert record.read_bytes() == content and [path.name for path in tmp_path.iterdir()] == ["m.yaml"]


def pipe(path: Path) -> None:
    os.mkfifo(path)


PLACES: dict[str, Callable[[Path], object]] = {
    "a pipe": pipe,
    "a device": lambda path: path.symlink_to("/dev/zero"),
    "nothing at all": lambda path: path.symlink_to("/dev/null"),
    "a folder": lambda path: path.mkdir(),
    "a link to itself": lambda path: path.symlink_to(path.name),
}


class Waited(BaseException):
    """The program stood still for a minute; nothing in it catches this."""


@pytest.fixture
def no_standstill() -> Iterator[None]:
    """Wake a program that waits for what never comes."""

    def wake(*_: object) -> None:
        raise Waited

    before = signal.signal(signal.SIGALRM, wake)
    signal.alarm(60)
    yield
    signal.alarm(0)
    signal.signal(signal.SIGALRM, before)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.usefixtures("no_standstill")
def test_what_is_no_file_is_not_even_waited_for(place: str, tmp_path: Path, capsys, monkeypatch) -> None:
    record = tmp_path / "m.yaml"
    PLACES[place](record)
    for command in COMMANDS:
        if command[0] == "ask" and place == "a link to itself":
            continue  # nothing is there yet: a new record may be begun
        monkeypatch.setattr(sys, "stdin", io.StringIO("1\n"))
        assert main([command[0], str(record), *command[1:]]) == 1, command
        err = capsys.readouterr().err
        assert err.count("\n") == 2 and "\n    " in err and str(record) in err
    assert [path.name for path in tmp_path.iterdir()] == ["m.yaml"]


LARGE = {
    "10 MB of comment": (b"#" * 79 + b"\n") * 125_000,
    "2 MB of tabs": HEAD + b"\t\n" * 990_000,
    "2 MB of unknown questions": HEAD + b"answers:\n" + b"".join(b"  qu_%x: yes\n" % n for n in range(120_000)),
    "2 MB of things about the machine": HEAD + b"machine:\n" + b"".join(b"  k%x: 1\n" % n for n in range(150_000)),
    "2 MB of readings": HEAD + b"readings:\n" + b"  - {what: prime_burst, seconds: 10}\n" * 52_000,
}


@pytest.mark.parametrize("name", LARGE)
def test_a_huge_record_is_read_or_refused_within_seconds_and_in_little_memory(
    name: str, tmp_path: Path, revive: Run
) -> None:
    record = tmp_path / "m.yaml"
    record.write_bytes(LARGE[name])
    before = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime

    def little_memory() -> None:
        resource.setrlimit(resource.RLIMIT_AS, (400_000_000, 400_000_000))

    ran = revive("plan", str(record), preexec_fn=little_memory)

    used_s = resource.getrusage(resource.RUSAGE_CHILDREN).ru_utime - before
    assert ran.returncode == (0 if name == "2 MB of readings" else 1) and "memory" not in said(ran)
    assert used_s < 8 and len(ran.stderr) < 400_000


LAYOUTS = {
    "line ends of another system": lambda text: text.replace(b"\n", b"\r\n"),
    "a byte order mark": lambda text: b"\xef\xbb\xbf" + text,
    "both": lambda text: b"\xef\xbb\xbf" + text.replace(b"\n", b"\r\n"),
    "no line end at the end": lambda text: text.rstrip(b"\n"),
}


@pytest.mark.parametrize("layout", LAYOUTS)
def test_the_way_a_file_is_written_stays(layout: str, twin: Path, base) -> None:
    before = LAYOUTS[layout](twin.read_bytes())
    twin.write_bytes(before)

    assert main(["note", str(twin), "oil_look=milky", "--today", "2026-10-11"]) == 0
    after = twin.read_bytes()
    assert after.startswith(b"\xef\xbb\xbf") == before.startswith(b"\xef\xbb\xbf")
    assert (after.count(b"\r\n") == after.count(b"\n")) == (b"\r\n" in before)
    kept = [line for line in before.split(b"\n") if b"#" in line]
    assert kept and all(line in after.split(b"\n") for line in kept)
    assert read_record(twin, base).answers["oil_look"].value == "milky"


def test_a_number_too_long_to_be_one_stays_a_word(tmp_path: Path, base) -> None:
    record = tmp_path / "m.yaml"
    for digits in ("9" * 5000, "9" * 400 + ".0", "1" * 16):
        record.write_bytes(HEAD + f"readings:\n  - {{what: x, seconds: {digits}}}\n".encode())
        assert read_record(record, base).readings == ({"what": "x", "seconds": digits},)
        assert main(["plan", str(record), "--as", "json"]) == 0


def test_words_that_were_written_come_back_from_the_record(base) -> None:
    from revive.record import parse_record
    from revive.record_edit import RecordText

    from .hostile import TEXTS, UNSEEN

    for text in TEXTS:
        written = RecordText(HEAD)
        written.put("answers", "oil_look", {"value": "dont_know", "by": text})
        written.append("readings", {"what": text, "seconds": 10})
        found = parse_record(written.as_bytes(), "m.yaml", base)
        said_back = found.answers["oil_look"].by
        seen = "".join(char for char in text if char.isprintable() or char == "\n")
        assert said_back == seen, text
        assert not UNSEEN.search(said_back + str(found.readings[0]["what"]))


def test_a_rules_folder_that_never_ends_is_refused(tmp_path: Path, revive: Run) -> None:
    """Folders in folders, a sparse file of a terabyte: a sentence, no lack of memory."""
    deep, wide = tmp_path / "deep", tmp_path / "wide"
    (deep / ("a/" * 60)).mkdir(parents=True)
    wide.mkdir()
    with open(wide / "big.yaml", "wb") as file:
        file.truncate(10**12)
    for folder, told in ((deep, "nested too deep"), (wide, "more than a rule base can")):
        ran = revive("rules", "check", str(folder))
        assert ran.returncode == 1 and told in ran.stdout.decode()
        said(ran)


def test_a_base_of_one_s_own_that_is_sound_can_be_planned_with(tmp_path: Path, monkeypatch, capsys) -> None:
    """Entries that only the shipped rules have are not taken for granted."""
    monkeypatch.undo()
    small = ROOT / "tests" / "loading" / "small_base"
    record = tmp_path / "m.yaml"
    record.write_bytes(HEAD + b"answers: {layout: flat_twin_wet, years_stored: 3, oil_look: dont_know}\n")
    for command in (["plan", "--as", "html"], ["plan"], ["listing"], ["looks"], ["why", "fire"]):
        assert main([command[0], str(record), *command[1:], "--rules", str(small)]) == 0, capsys.readouterr().err
    assert main(["prime", "--plain", str(record), "--rules", str(small)]) == 1
    assert "does not say how priming is done" in capsys.readouterr().err


def test_problems_beyond_a_thousand_are_not_told_one_by_one(tmp_path: Path, capsys) -> None:
    record = tmp_path / "m.yaml"
    record.write_bytes(HEAD + b"answers:\n" + b"".join(b"  qu_%x: yes\n" % n for n in range(3000)))

    assert main(["plan", str(record)]) == 1
    err = capsys.readouterr().err
    assert err.count("[unknown-question]") == 1000 and err.count("[too-many]") == 1
