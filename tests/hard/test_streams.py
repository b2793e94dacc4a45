"""Closed and full outputs, broken pipes, odd encodings and locales: a sentence, the right exit code, nothing lost."""

import json
import os
import shutil
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

from revive.cli import main
from revive.loading import default_rules_folder, load_rules
from revive.record import read_record

from .conftest import ROOT, TWIN, Run, said

DAY = ("--today", "2026-10-11")
LOST = "Standard output is closed"


def base():
    found, problems = load_rules(default_rules_folder())
    assert found is not None, problems[:3]
    return found


def look(record: Path) -> object:
    return read_record(record, base()).answers["oil_look"].value


def close(*numbers: int):
    return lambda: [os.close(number) for number in numbers]


def test_a_pipe_that_closes_early_is_no_trouble(twin: Path) -> None:
    command = [sys.executable, "-m", "revive", "plan", str(twin), "--as", "json", *DAY]
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    child = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=environment)
    assert child.stdout is not None and child.stderr is not None
    first = child.stdout.readline()
    child.stdout.close()

    assert (first, child.stderr.read(), child.wait(60)) == (b"{\n", b"", 0)
    child.stderr.close()


def test_what_cannot_be_printed_is_said_to_be_lost(twin: Path, revive: Run) -> None:
    ran = revive("plan", str(twin), *DAY, stdout=None, preexec_fn=close(1))

    assert ran.returncode == 1 and LOST in said(ran)


def test_a_finding_is_saved_though_nothing_can_be_printed(twin: Path, revive: Run) -> None:
    ran = revive("note", str(twin), "oil_look=milky", *DAY, stdout=None, stderr=None, preexec_fn=close(0, 1, 2))

    assert ran.returncode == 1
    assert look(twin) == "milky"
    assert sorted(path.name for path in twin.parent.iterdir()) == ["twin.yaml", "twin.yaml.bak"]


def test_no_complaint_goes_where_results_belong(tmp_path: Path, revive: Run) -> None:
    ran = revive("plan", str(tmp_path / "none.yaml"), stderr=None, preexec_fn=close(2))

    assert (ran.returncode, ran.stdout) == (1, b"")


def test_without_input_nothing_is_asked(twin: Path, revive: Run) -> None:
    keys = revive("ask", str(twin), stdin=None, preexec_fn=close(0))
    lines = revive("ask", "--plain", str(twin), *DAY, stdin=None, preexec_fn=close(0))

    assert (keys.returncode, lines.returncode) == (2, 130)
    assert "needs a terminal" in said(keys) and "are saved" in said(lines)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device here that is always full")
@pytest.mark.parametrize("command", [["note", "oil_look=milky"], ["ask", "--plain"]])
def test_a_full_disk_under_the_output_is_told(command: list[str], twin: Path, revive: Run) -> None:
    with open("/dev/full", "wb") as full:
        ran = revive(command[0], str(twin), *command[1:], *DAY, stdout=full)

    assert ran.returncode == 1 and "The output cannot be written (No space left on device)" in said(ran)
    if command[0] == "note":
        assert look(twin) == "milky"


def named(record: Path, name: str) -> Path:
    record.write_bytes(TWIN.read_bytes().replace(b"name: Grey flat twin (invented)", f"name: {name}".encode()))
    return record


def test_a_terminal_without_the_letters_gets_others_and_programs_get_utf_8(twin: Path, revive: Run) -> None:
    record, narrow = named(twin, "Grün ½ Zwilling"), {"PYTHONIOENCODING": "ascii"}
    plain = revive("plan", str(record), *DAY, environment=narrow)
    data = revive("plan", str(record), "--as", "json", *DAY, environment=narrow)
    page = revive("plan", str(record), "--as", "html", *DAY, environment=narrow)
    why = revive("why", str(record), "crank", *DAY, environment=narrow)

    assert [ran.returncode for ran in (plain, data, page, why)] == [0, 0, 0, 0]
    assert plain.stdout.decode("ascii").startswith("Gr?n 1/2 Zwilling")
    assert json.loads(data.stdout.decode("utf-8"))["machine"]["name"] == "Grün ½ Zwilling"
    assert "Grün ½ Zwilling" in page.stdout.decode("utf-8")


@pytest.mark.parametrize("name", ["C", "POSIX"])
def test_in_the_plainest_locale_words_come_in_and_out_whole(name: str, twin: Path, revive: Run) -> None:
    ran = revive("note", str(twin), "oil_look=milky", "--by=Jürgen", *DAY, environment={"LC_ALL": name})

    assert ran.returncode == 0, said(ran)
    assert read_record(twin, base()).answers["oil_look"].by == "Jürgen"


def test_bytes_that_are_no_text_are_asked_again(tmp_path: Path, revive: Run) -> None:
    for name in ("C.UTF-8", "C"):
        ran = revive("ask", "--plain", str(tmp_path / "m.yaml"), input=b"\xff\xfe\n1\n", environment={"LC_ALL": name})

        assert ran.returncode == 130 and b"is not in the list" in ran.stdout
        said(ran)
        (tmp_path / "m.yaml").unlink()


@pytest.mark.parametrize("hostile", [b"\xff", b"\x1b[2J", b"\n", b"\xe2\x80\xae"])
def test_a_file_name_cannot_steer_the_terminal(hostile: bytes, twin: Path, revive: Run) -> None:
    name = os.fsencode(twin.parent) + b"/a" + hostile + b"b.yaml"
    missing = revive("plan", name, environment={"LC_ALL": "C.UTF-8"})
    shutil.copy(twin, name)
    noted = revive("note", name, "oil_look=milky", *DAY, environment={"LC_ALL": "C.UTF-8"})

    assert missing.returncode == 1 and noted.returncode == 0
    for ran in (missing, noted):
        said(ran)
        assert b"a" + hostile + b"b.yaml" not in ran.stderr + ran.stdout
    assert missing.stderr.count(b"\n") <= 3


def test_numbers_are_the_same_where_the_locale_has_a_comma(twin: Path, tmp_path: Path) -> None:
    if shutil.which("localedef") is None:
        pytest.skip("no localedef: no locale with a comma can be made here")
    made = subprocess.run(
        ["localedef", "-i", "de_DE", "-f", "UTF-8", str(tmp_path / "de_DE.UTF-8")], capture_output=True
    )
    if not (tmp_path / "de_DE.UTF-8" / "LC_NUMERIC").is_file():
        pytest.skip(f"no locale with a comma can be made here: {made.stderr.decode()[:80]}")
    code = (
        "import locale, sys; locale.setlocale(locale.LC_ALL, ''); print(locale.str(1.5), file=sys.stderr)\n"
        "from revive.cli import main; sys.exit(main(sys.argv[1:]))"
    )

    def run(where: str, *arguments: str) -> "subprocess.CompletedProcess[str]":
        environment = {**os.environ, "PYTHONPATH": str(ROOT), "LOCPATH": str(tmp_path), "LC_ALL": where}
        command = [sys.executable, "-c", code, *arguments]
        return subprocess.run(command, capture_output=True, text=True, env=environment, cwd=ROOT)

    here, there = (run(where, "plan", str(twin), "--as", "json", *DAY) for where in ("C.UTF-8", "de_DE.UTF-8"))
    assert there.stderr.split("\n")[0] == "1,5" and here.stderr.split("\n")[0] == "1.5"
    assert here.returncode == 0 and here.stdout == there.stdout
    assert run("de_DE.UTF-8", "note", str(twin), "drained_l=1.75", *DAY).returncode == 0
    assert b"drained_l: {value: 1.75," in twin.read_bytes()
    refused = run("de_DE.UTF-8", "note", str(twin), "drained_l=1,5", *DAY)
    assert refused.returncode == 1 and "Write it with a point: 1.5" in refused.stderr


@pytest.mark.parametrize("argv", [["plan"], ["note", "oil_look=milky"], ["why", "crank"], ["listing"]])
def test_ctrl_c_in_any_command_ends_it_with_a_word(argv: list[str], twin: Path, monkeypatch, capsys) -> None:
    command = import_module(f"revive.commands.{argv[0]}")
    place = command if hasattr(command, "today") else import_module("revive.commands.common")

    def interrupted(*_: object) -> object:
        raise KeyboardInterrupt

    before = twin.read_bytes()
    monkeypatch.setattr(place, "today", interrupted)

    assert main([argv[0], str(twin), *argv[1:]]) == 130
    assert "Stopped." in capsys.readouterr().err
    assert twin.read_bytes() == before


def test_too_little_memory_is_told(twin: Path, monkeypatch, capsys) -> None:
    import revive.commands.plan

    def full(*_: object) -> object:
        raise MemoryError

    monkeypatch.setattr(revive.commands.plan, "today", full)

    assert main(["plan", str(twin)]) == 1
    assert "not enough memory" in capsys.readouterr().err


@pytest.mark.parametrize("date", ["9999-12-31", "0001-01-01", "0000-01-01", "٢٠٢٦-١١-٢٥", "2026-11-25T10:00"])
def test_a_day_that_no_plan_can_start_on_is_refused(date: str, twin: Path, capsys) -> None:
    for option in ("--today", "--start"):
        assert main(["plan", str(twin), option, date]) == 1
        assert "a date such as 2026-11-25 was expected" in capsys.readouterr().err
