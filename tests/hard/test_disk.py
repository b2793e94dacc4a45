"""Full disks, protected folders, links, devices, clocks set back and two programs at once: the record stays whole."""

import errno
import os
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from revive.cli import main
from revive.loading import default_rules_folder, load_rules
from revive.record import read_record

from .conftest import ROOT, TWIN, Run, said

DAY = ("--today", "2026-10-11")
NOTE = ("oil_look=milky", *DAY)


@pytest.fixture(scope="module")
def base():
    found, problems = load_rules(default_rules_folder())
    assert found is not None, problems[:3]
    return found


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


STEPS = ["open", "write", "flush", "fsync", "chmod", "replace"]
TROUBLES = [errno.ENOSPC, errno.EIO]


@pytest.mark.parametrize("trouble", TROUBLES, ids=[errno.errorcode[one] for one in TROUBLES])
@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("time", [1, 2], ids=["of the copy", "of the record"])
def test_a_step_that_the_disk_refuses_leaves_the_old_record(
    time: int, step: str, trouble: int, twin: Path, monkeypatch, capsys
) -> None:
    load_rules(default_rules_folder())  # so that the cache has nothing to write meanwhile
    before, count = twin.read_bytes(), [0]
    refused = 3 if step == "fsync" and time == 2 else time  # the second sync is that of the folder

    def refuse() -> None:
        count[0] += 1
        if count[0] == refused:
            raise OSError(trouble, os.strerror(trouble))

    class Refusing:
        """An open file that writes or flushes no more."""

        def __init__(self, file) -> None:
            self.file = file

        def __enter__(self):
            self.file.__enter__()
            return self

        def __exit__(self, *what):
            return self.file.__exit__(*what)

        def write(self, data: bytes) -> int:
            if step == "write":
                self.file.write(data[: len(data) // 2])
                refuse()
            return self.file.write(data)

        def flush(self) -> None:
            if step == "flush":
                refuse()
            self.file.flush()

        def fileno(self) -> int:
            return self.file.fileno()

    def before_it(real):
        def call(*given, **named):
            if step != "open" or (given[1] & os.O_EXCL and Path(given[0]).parent == twin.parent):
                refuse()
            return real(*given, **named)

        return call

    if step in ("write", "flush"):
        real = os.fdopen
        monkeypatch.setattr(os, "fdopen", lambda *given: Refusing(real(*given)))
    else:
        monkeypatch.setattr(os, step, before_it(getattr(os, step)))
    assert main(["note", str(twin), *NOTE]) == 1
    monkeypatch.undo()

    said = capsys.readouterr().err
    assert count[0] == refused
    assert "the record cannot be written" in said and os.strerror(trouble) in said and "The old file is whole" in said
    assert twin.read_bytes() == before
    assert set(names(twin.parent)) <= {"twin.yaml", "twin.yaml.bak"}
    assert main(["note", str(twin), *NOTE]) == 0


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 64 kB."""
    place = tmp_path / "disk"
    place.mkdir()
    mounted = subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", str(place)], capture_output=True)
    if mounted.returncode:
        pytest.skip("no disk can be mounted here by this user")
    try:
        yield place
    finally:
        subprocess.run(["umount", str(place)], check=True)


def test_a_disk_that_is_really_full_keeps_the_record(small_disk: Path, revive: Run) -> None:
    record = Path(shutil.copy(TWIN, small_disk / "twin.yaml"))
    before = record.read_bytes()
    (small_disk / "ballast").write_bytes(b"x" * (60_000 - len(before) // 4096 * 4096))
    noted = revive("note", str(record), *NOTE)
    planned = revive("plan", str(record), "--as", "html", "--out", str(small_disk / "plan.html"), *DAY)

    assert (noted.returncode, planned.returncode) == (1, 1)
    assert "No space left on device" in said(noted) and "No space left on device" in said(planned)
    assert record.read_bytes() == before
    assert set(names(small_disk)) <= {"twin.yaml", "twin.yaml.bak", "ballast"}
    (small_disk / "ballast").unlink()
    assert revive("note", str(record), *NOTE).returncode == 0


def test_a_limit_on_file_sizes_keeps_the_record(twin: Path, revive: Run) -> None:
    import resource

    before = twin.read_bytes()
    limit = lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))  # noqa: E731
    ran = revive("note", str(twin), *NOTE, preexec_fn=limit, environment={"REVIVE_CACHE": "/dev/null/none"})

    assert ran.returncode == 1 and "the record cannot be written (File too large)" in said(ran)
    assert twin.read_bytes() == before and set(names(twin.parent)) <= {"twin.yaml", "twin.yaml.bak"}


def held_to_rules(*command: str, folder: Path) -> "subprocess.CompletedProcess[bytes]":
    """Run the program so that permissions count, for the superuser too."""
    whole = [sys.executable, "-m", "revive", *command]
    if os.geteuid() == 0:
        if shutil.which("setpriv") is None:
            pytest.skip("the superuser is held to no permission, and there is no setpriv here")
        whole = ["setpriv", "--bounding-set=-dac_override,-dac_read_search,-fowner", *whole]
    return subprocess.run(whole, capture_output=True, env={**os.environ, "PYTHONPATH": str(ROOT)}, cwd=folder)


def test_a_folder_that_may_only_be_read_gives_a_sentence(twin: Path, base) -> None:
    before = twin.read_bytes()
    twin.parent.chmod(0o555)
    try:
        noted, planned = (
            held_to_rules(*one, folder=ROOT) for one in (["note", str(twin), *NOTE], ["plan", str(twin), *DAY])
        )
        made = held_to_rules("plan", str(twin), "--out", str(twin.parent / "plan.txt"), *DAY, folder=ROOT)
    finally:
        twin.parent.chmod(0o755)

    assert (noted.returncode, planned.returncode, made.returncode) == (1, 0, 1)
    assert "the record cannot be written (Permission denied)" in said(noted)
    assert "the file cannot be written (Permission denied)" in said(made)
    assert twin.read_bytes() == before and names(twin.parent) == ["twin.yaml"]


def test_a_record_that_may_only_be_read_is_not_written(twin: Path) -> None:
    before = twin.read_bytes()
    twin.chmod(0o444)
    ran = held_to_rules("note", str(twin), *NOTE, folder=ROOT)

    assert ran.returncode == 1 and "it is protected from writing" in said(ran)
    assert (twin.read_bytes(), names(twin.parent)) == (before, ["twin.yaml"])


def test_a_record_or_folder_that_may_not_be_read_gives_a_sentence(twin: Path) -> None:
    twin.chmod(0o000)
    record = held_to_rules("plan", str(twin), folder=ROOT)
    twin.parent.chmod(0o000)
    folders = [held_to_rules(*one, folder=ROOT) for one in (["plan", str(twin)], ["ask", "--plain", str(twin)])]
    twin.parent.chmod(0o755)

    assert [ran.returncode for ran in (record, *folders)] == [1, 1, 1]
    assert all("Permission denied" in said(ran) for ran in (record, *folders))


def test_a_permission_lost_between_two_answers_keeps_those_given(tmp_path: Path, base, monkeypatch, capsys) -> None:
    import io

    record, real, saves = tmp_path / "m.yaml", os.replace, [0]

    def replace(old, new) -> None:
        saves[0] += 1
        if saves[0] > 5:
            raise PermissionError(errno.EACCES, "Permission denied")
        real(old, new)

    monkeypatch.setattr(os, "replace", replace)
    monkeypatch.setattr(sys, "stdin", io.StringIO("1\n1\n1\n14\n2\n1\n1\n"))

    assert main(["ask", "--plain", str(record), *DAY]) == 1
    assert "Permission denied" in capsys.readouterr().err
    assert list(read_record(record, base).answers) == ["start_tried", "petrol_smell", "layout"]
    assert set(names(tmp_path) or ()) <= {"m.yaml", "m.yaml.bak", "shed"}


def test_a_link_stays_and_its_record_changes(tmp_path: Path, twin: Path, base) -> None:
    (tmp_path / "links").mkdir()
    link = tmp_path / "links" / "mine.yaml"
    link.symlink_to("../shed/twin.yaml")
    before = twin.read_bytes()

    assert main(["note", str(link), *NOTE]) == 0
    assert os.readlink(link) == "../shed/twin.yaml" and names(link.parent) == ["mine.yaml"]
    assert read_record(twin, base).answers["oil_look"].value == "milky"
    assert (twin.parent / "twin.yaml.bak").read_bytes() == before


def test_no_other_place_is_needed_to_save(twin: Path, base, monkeypatch, bugs: Path) -> None:
    monkeypatch.setenv("TMPDIR", "/nowhere/at/all")
    monkeypatch.chdir(twin.parent)

    assert main(["note", "twin.yaml", *NOTE]) == 0
    assert read_record(twin, base).answers["oil_look"].value == "milky"


def test_the_mode_of_a_record_stays(twin: Path) -> None:
    twin.chmod(0o640)

    assert main(["note", str(twin), *NOTE]) == 0
    assert [twin.stat().st_mode & 0o777, Path(f"{twin}.bak").stat().st_mode & 0o777] == [0o640, 0o640]


def test_a_folder_in_place_of_the_copy_is_named(twin: Path, capsys) -> None:
    before = twin.read_bytes()
    (twin.parent / "twin.yaml.bak").mkdir()

    assert main(["note", str(twin), *NOTE]) == 1
    assert "twin.yaml.bak" in capsys.readouterr().err
    assert twin.read_bytes() == before


def test_what_a_killed_program_left_is_tidied_and_nothing_else(twin: Path) -> None:
    (twin.parent / ".twin.yaml.abcd1234.tmp").write_bytes(b"half")
    (twin.parent / ".twin.yaml.bak.abcd_234.tmp").write_bytes(b"half")
    kept = [".twin.yaml.mine.tmp", ".other.yaml.abcd1234.tmp", "twin.yaml.abcd1234.tmp", ".twin.yaml.ABCD1234.tmp"]
    for name in kept:
        (twin.parent / name).write_bytes(b"somebody's")

    assert main(["note", str(twin), *NOTE]) == 0
    assert names(twin.parent) == sorted([*kept, "twin.yaml", "twin.yaml.bak"])


def test_two_programs_at_once_lose_nothing(twin: Path, base) -> None:
    """Two programs write as fast as they can; whatever one of them says is saved is in the record at the end."""
    code = (
        f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
        "from revive.cli import main\n"
        "path, who, least = sys.argv[1], sys.argv[2], float(sys.argv[3])\n"
        "for number in range(6):\n"
        "    pair = f'oil_capacity_l={least + number / 10:.1f}'\n"
        "    if main(['note', path, pair, f'--by={who}{number}', '--today', '2026-10-11']) == 0:\n"
        "        print('SAVED', f'{who}{number}')\n"
    )
    writers = [
        subprocess.Popen(
            [sys.executable, "-c", code, str(twin), who, least],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for who, least in (("a", "1"), ("b", "3"))
    ]
    told = [writer.communicate(timeout=300) for writer in writers]

    record = read_record(twin, base)
    there = {record.answers["oil_capacity_l"].by, *(str(entry.get("by", "")) for entry in record.earlier)}
    for (out, err), who in zip(told, "ab", strict=True):
        saved = {line.split()[1] for line in out.split("\n") if line.startswith("SAVED")}
        assert saved == {name for name in there if name[:1] == who and name[1:].isdigit()}
        assert len(saved) + err.count("another program") == 6 and saved and "Traceback" not in err
    assert set(names(twin.parent)) == {"twin.yaml", "twin.yaml.bak"}


def test_a_record_that_changed_meanwhile_is_not_overwritten(twin: Path, monkeypatch, capsys) -> None:
    import revive.commands.note as note

    real = note.put_answer

    def meanwhile(*given):
        twin.write_bytes(twin.read_bytes() + b"# another hand\n")
        return real(*given)

    monkeypatch.setattr(note, "put_answer", meanwhile)
    before = twin.read_bytes()

    assert main(["note", str(twin), *NOTE]) == 1
    assert "another program has changed this record" in capsys.readouterr().err
    assert twin.read_bytes() == before + b"# another hand\n"


def test_a_clock_set_back_opens_nothing_and_loses_nothing(twin: Path, base, capsys) -> None:
    from revive.engine.planner import make_plan

    before = read_record(twin, base)
    opened = {gate.id for gate in make_plan(base, before, "2026-10-11").gates if gate.state == "open"}
    for command in (["done", "oil_drain", "sump_drop", "hand_turn", "--no-card"], ["note", "oil_look=milky"]):
        assert main([command[0], str(twin), *command[1:], "--today", "2009-01-01"]) == 0
    after = read_record(twin, base)
    plan = make_plan(base, after, "2009-01-01")

    assert {gate.id for gate in plan.gates if gate.state == "open"} <= opened
    assert next(task for task in plan.tasks if task.id == "sump_drop").state == "to_do"
    assert len(after.earlier) >= len(before.earlier) + 1 and set(after.answers) == set(before.answers)


@pytest.mark.parametrize("name", ["twin.yaml", "other.yaml"])
def test_a_plan_is_never_written_over_its_record(name: str, twin: Path, capsys) -> None:
    (twin.parent / "other.yaml").symlink_to("twin.yaml")
    before = twin.read_bytes()

    for command in ("plan", "listing"):
        assert main([command, str(twin), "--out", str(twin.parent / name), *DAY]) == 1
        assert "this is the record itself" in capsys.readouterr().err
    assert twin.read_bytes() == before


def test_out_writes_through_links_and_to_devices_and_keeps_modes(twin: Path, tmp_path: Path, capsys) -> None:
    page, link, pipe = tmp_path / "page.txt", tmp_path / "link.txt", tmp_path / "pipe"
    page.write_text("old", "utf-8")
    page.chmod(0o600)
    link.symlink_to("page.txt")
    os.mkfifo(pipe)
    null = os.stat("/dev/null")

    assert main(["plan", str(twin), "--out", str(link), *DAY]) == 0
    assert main(["plan", str(twin), "--out", "/dev/null", *DAY]) == 0
    assert main(["plan", str(twin), "--out", str(pipe), *DAY]) == 1

    assert "Grey flat twin" in page.read_text("utf-8") and link.is_symlink() and page.stat().st_mode & 0o777 == 0o600
    assert (os.stat("/dev/null").st_mode, os.stat("/dev/null").st_rdev) == (null.st_mode, null.st_rdev)
    assert pipe.is_fifo() and "cannot be written" in capsys.readouterr().err


def test_a_new_file_is_as_open_as_any_other_and_its_name_may_be_long(twin: Path, tmp_path: Path) -> None:
    long = "ü" * 120 + ".yaml"
    kept = os.umask(0o027)
    try:
        for name in ("plan.html", "ü" * 127):
            assert main(["plan", str(twin), "--out", str(tmp_path / name), *DAY]) == 0
        shutil.copyfile(twin, tmp_path / long)
        assert main(["note", str(tmp_path / long), *NOTE]) == 0
    finally:
        os.umask(kept)

    assert (tmp_path / "plan.html").stat().st_mode & 0o777 == 0o640
    assert set(names(tmp_path)) == {"plan.html", "ü" * 127, long, f"{long}.bak", "shed"}
