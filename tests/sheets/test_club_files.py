"""The club's folder: what is broken, changed, gone, oddly named or damaged; and what is never written."""

import gc
import os
import re
import shutil
import tracemalloc
from pathlib import Path

import pytest

from revive import club_work
from revive.club_files import MADE, label_of, sheet_name
from sheets.clubs import GOOD, club, read, rows, stamps


def test_a_broken_record_is_listed_and_does_not_stop_the_rest(folder: Path, capsys):
    (folder / "bad.yaml").write_text("record: 1\nanswers: {oil_look: shiny, <b>: 1}\n")
    (folder / "worse.yaml").write_bytes(b"\x00\xff\xfe")
    (folder / "tags.yaml").write_text("record: 1\nmachine: !!python/object:os.system {}\n")
    (folder / "folder.yaml").mkdir()
    os.mkfifo(folder / "pipe.yaml")
    (folder / "nowhere.yaml").symlink_to(folder / "gone.yaml")
    (folder / "round.yaml").symlink_to(folder / "round.yaml")

    assert club(folder) == 1

    broken = {row["machine"]: row["problems"] for row in rows(folder, "overview.csv") if row["problems"]}
    assert set(broken) == {"bad", "worse", "tags", "folder", "pipe", "nowhere", "round"}
    assert "bad.yaml:2" in broken["bad"] and "shiny" in broken["bad"]
    overview = read(folder, "overview.html")
    assert "7 to mend first" in overview and "<b>: 1" not in overview
    assert "do not turn, crank or start them" in overview
    assert sum(row["problems"] == "" for row in rows(folder, "overview.csv")) == len(GOOD)
    assert "7 to mend" in capsys.readouterr().err


def test_a_record_on_which_the_program_fails_does_not_stop_the_rest(folder: Path, monkeypatch):
    from revive.engine import planner

    real = planner.make_plan

    def failing(base, record, *more):
        if record.answers["layout"].value == "two_stroke_premix":
            raise KeyError("ours")
        return real(base, record, *more)

    monkeypatch.setattr(planner, "make_plan", failing)

    assert club(folder) == 1
    told = {row["machine"]: row["problems"] for row in rows(folder, "overview.csv")}
    assert "the program failed on it (KeyError)" in told["red-soaking"]
    assert told["2-first-day"] == ""


def test_only_what_changed_is_made_again(folder: Path, capsys):
    club(folder)
    before, overview = stamps(folder), read(folder, "overview.html")
    assert club(folder) == 0
    assert stamps(folder) == before
    assert read(folder, "overview.html") == overview
    assert "0 plans made, 4 unchanged" in capsys.readouterr().err

    with open(folder / "red-soaking.yaml", "a") as file:
        file.write("# looked at again\n")
    club(folder)
    after = stamps(folder)
    assert {name for name in after if after[name] != before[name]} == {"red-soaking.html", "red-soaking.md"}


@pytest.mark.parametrize("more", [("--units", "imperial"), ("--today", "2026-11-26")])
def test_another_day_or_other_units_make_everything_again(folder: Path, capsys, more: tuple[str, ...]):
    club(folder)
    capsys.readouterr()
    club(folder, *more)

    assert "4 plans made, 0 unchanged" in capsys.readouterr().err


def test_other_rules_make_everything_again(folder: Path, tmp_path: Path, capsys):
    own = tmp_path / "own"
    shutil.copytree(Path(__file__).parents[2] / "rules", own)
    club(folder, "--rules", str(own))
    capsys.readouterr()
    limits = own / "limits.yaml"
    limits.write_text(limits.read_text() + "# changed\n")
    club(folder, "--rules", str(own))

    assert "4 plans made, 0 unchanged" in capsys.readouterr().err


def test_a_sheet_that_was_lost_or_changed_is_made_again(folder: Path, capsys):
    club(folder)
    sheets = folder / "club-sheets" / "machines"
    whole = (sheets / "2-first-day.html").read_text()
    (sheets / "2-first-day.html").write_text("torn")
    (sheets / "red-soaking.md").unlink()
    capsys.readouterr()
    club(folder)

    assert "2 plans made, 2 unchanged" in capsys.readouterr().err
    assert (sheets / "2-first-day.html").read_text() == whole


@pytest.mark.parametrize(
    "damage",
    [
        lambda path: path.write_text("nonsense\n"),
        lambda path: path.write_bytes(os.urandom(4000)),
        lambda path: path.write_text(path.read_text().replace("standing", "cleared")),
        lambda path: path.write_text("\n".join(reversed(path.read_text().splitlines()))),
        lambda path: (path.unlink(), path.mkdir()),
        lambda path: (path.unlink(), path.symlink_to("/etc/hostname")),
    ],
)
def test_a_damaged_list_of_what_was_made_is_not_believed(folder: Path, damage):
    club(folder)
    good, made = read(folder, "overview.csv"), folder / "club-sheets" / MADE
    damage(made)
    if made.is_dir() and not made.is_symlink():
        assert club(folder) == 1
        return
    assert club(folder) == 0
    assert read(folder, "overview.csv") == good
    assert not made.is_symlink()


def test_sheets_of_a_record_that_is_gone_or_broken_are_taken_away(folder: Path):
    club(folder)
    (folder / "red-soaking.yaml").unlink()
    (folder / "2-first-day.yaml").write_text("record: 1\nanswers: {oil_look: shiny}\n")
    club(folder)

    left = {path.stem for path in (folder / "club-sheets" / "machines").iterdir()}
    assert left == {"3-opened", "white-first-answers"}


def test_nothing_is_written_outside_the_folder_for_the_sheets(folder: Path, tmp_path: Path):
    victim = tmp_path / "victim.txt"
    victim.write_text("mine")
    sheets = folder / "club-sheets" / "machines"
    sheets.mkdir(parents=True)
    for name in ("2-first-day.html", "2-first-day.md"):
        (sheets / name).symlink_to(victim)
    for name in ("overview.html", "order-list.csv", MADE):
        (folder / "club-sheets" / name).symlink_to(victim)
    before = {path.name for path in folder.iterdir()}

    assert club(folder) == 0
    assert victim.read_text() == "mine"
    assert {path.name for path in folder.iterdir()} == before
    assert "2-first-day" in read(folder, "overview.html")


def test_a_link_in_place_of_the_sheets_is_refused(folder: Path, tmp_path: Path, capsys):
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (folder / "club-sheets").symlink_to(elsewhere)
    assert club(folder) == 1
    assert "this is a link" in capsys.readouterr().err
    (folder / "club-sheets").unlink()
    (folder / "club-sheets").mkdir()
    (folder / "club-sheets" / "machines").symlink_to(elsewhere)
    assert club(folder) == 1
    assert not list(elsewhere.iterdir())


@pytest.mark.parametrize(
    "name",
    [
        "a b.yaml",
        "Ünïcode.yaml",
        "CON.yaml",
        "nul.yaml",
        "x..yaml",
        "-x.yaml",
        "a.yml",
        "x" * 200 + ".yaml",
        "a'\".yaml",
    ],
)
def test_odd_names_give_safe_file_names(folder: Path, name: str):
    shutil.copy(folder / "red-soaking.yaml", folder / name)
    assert club(folder) == 0

    made = {path.name for path in (folder / "club-sheets" / "machines").iterdir()}
    assert f"{sheet_name(name)}.html" in made
    assert all(re.fullmatch(r"[a-z0-9][a-z0-9._-]{0,69}\.(html|md)", made_name) for made_name in made)
    assert label_of(name) in {row["machine"].removeprefix("'") for row in rows(folder, "overview.csv")}


def test_names_that_look_alike_do_not_share_a_sheet():
    names = ["a b.yaml", "a-b.yaml", "A-b.yaml", "a_b.yaml", "a-b.yml", "a-b--.yaml", "con.yaml", "con.x.yaml"]

    assert len({sheet_name(name) for name in names}) == len(names)


def test_a_name_that_is_not_text_is_read_all_the_same(folder: Path):
    odd = os.fsencode(str(folder)) + b"/odd-\xff\n\x1b[31m.yaml"
    shutil.copy(os.fsencode(str(folder / "red-soaking.yaml")), odd)

    assert club(folder) == 0
    for name in ("overview.html", "overview.csv", "order-list.html"):
        assert "\x1b" not in read(folder, name)
        assert "\ufffd" in read(folder, name) or "odd-?" in read(folder, name)


def test_forms_can_be_asked_for_alone(folder: Path):
    club(folder, "--as", "csv", "--out", str(folder / "lists"))
    names = {path.name for path in (folder / "lists").iterdir()}
    assert {name for name in names if name.endswith(".html")} == set()
    assert not list((folder / "lists" / "machines").iterdir())
    club(folder, "--as", "html", "--out", str(folder / "pages"))
    assert not [path for path in (folder / "pages").iterdir() if path.suffix == ".csv"]
    assert len(list((folder / "pages" / "machines").iterdir())) == 2 * len(GOOD)


def test_records_are_not_touched(folder: Path):
    before = {path.name: path.read_bytes() for path in folder.glob("*.yaml")}
    club(folder)

    assert {path.name: path.read_bytes() for path in folder.glob("*.yaml")} == before


@pytest.mark.parametrize(
    ("make", "said"), [(None, "cannot be read"), ([], "no record is in it"), (["x.txt"], "no record")]
)
def test_a_folder_without_records_is_said(tmp_path: Path, capsys, make: list[str] | None, said: str):
    folder = tmp_path / "club"
    if make is not None:
        folder.mkdir()
        for name in make:
            (folder / name).write_text("")

    assert club(folder) == 1
    assert said in capsys.readouterr().err
    assert not (folder / "club-sheets").exists()


def test_helper_processes_make_the_same_sheets_in_the_same_order(folder: Path, tmp_path: Path, monkeypatch, capsys):
    for at in range(6):
        shutil.copy(folder / "red-soaking.yaml", folder / f"copy-{at}.yaml")
    (folder / "bad.yaml").write_text("record: 1\nanswers: {oil_look: shiny}\n")
    club(folder, "--out", str(tmp_path / "alone"))
    monkeypatch.setattr(club_work, "HELPERS_FROM", 2)
    monkeypatch.setattr(club_work.os, "cpu_count", lambda: 2)
    club(folder, "--out", str(tmp_path / "helped"))

    alone, helped = tmp_path / "alone", tmp_path / "helped"
    names = sorted(path.relative_to(alone) for path in alone.rglob("*") if path.is_file())
    assert names == sorted(path.relative_to(helped) for path in helped.rglob("*") if path.is_file())
    for name in names:
        assert (alone / name).read_bytes() == (helped / name).read_bytes(), name
    assert "11 records: 10 plans made" in capsys.readouterr().err


def test_memory_does_not_grow_with_the_number_of_records(folder: Path, tmp_path: Path):
    """Lists only, so that each record is quick; the first run fills caches and is not counted."""

    def held(count: int) -> tuple[int, int]:
        """Bytes at the most, and those that stay when the sheets are written."""
        many = tmp_path / f"many-{count}"
        many.mkdir()
        for at in range(count):
            shutil.copy(folder / "white-first-answers.yaml", many / f"m{at:04d}.yaml")
        tracemalloc.start()
        try:
            club(many, "--as", "csv")
            most = tracemalloc.get_traced_memory()[1]
            gc.collect()
            return most, tracemalloc.get_traced_memory()[0]
        finally:
            tracemalloc.stop()

    held(2)
    few, more = held(5), held(35)

    assert more[0] - few[0] < 30 * 100_000, "a plan takes about 500 kB; no more than the rows of the lists may wait"
    assert more[1] - few[1] < 30 * 2_000, "a row takes about 20 kB as text; none of them may stay"
