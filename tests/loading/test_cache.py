"""The stored copy of a checked base: equal to the fresh one, and never believed when it is not certain."""

import json
import os
import shutil
import subprocess
import sys
import time
from binascii import crc32
from pathlib import Path

import pytest

from revive.loading import cache, load_rules
from revive.model import ReviveError


@pytest.fixture
def stored(rules, own_cache):
    """The only copy, just written."""
    base, problems = load_rules(str(rules))
    assert (base is not None, problems) == (True, [])
    (copy,) = own_cache.glob("rules-*.json")
    return copy


def fresh(rules):
    """The whole base read from YAML, as text: every field of every entry, in order."""
    return repr(load_rules(str(rules), use_cache=False)[0])


def forbid_building(monkeypatch):
    import revive.loading.build

    def refuse(*_):
        raise AssertionError("the copy was not used")

    monkeypatch.setattr(revive.loading.build, "build", refuse)


def test_the_stored_base_equals_the_one_read_from_yaml(rules, stored, monkeypatch):
    from_yaml = fresh(rules)
    stored_rule = load_rules(str(rules), use_cache=False)[0].rules["fuel-stale"]
    forbid_building(monkeypatch)

    from_cache, problems = load_rules(str(rules))

    assert problems == []
    assert repr(from_cache) == from_yaml
    assert from_cache.rules["fuel-stale"] == stored_rule
    assert stored_rule == from_cache.rules["fuel-stale"]
    assert from_cache.rules["fuel-stale"].examples[1]["given"] == {"years_stored": 0.9}


def test_yaml_is_not_even_imported_when_the_copy_is_good(rules, stored):
    code = (
        "import sys; from revive.loading import load_rules; base, problems = load_rules(sys.argv[1]); "
        "print(len(base.rules), problems, {'yaml', 'difflib', 'tempfile', 'hashlib'} & set(sys.modules))"
    )
    project = str(Path(__file__).parents[2])
    ran = subprocess.run(
        [sys.executable, "-c", code, str(rules)], capture_output=True, text=True, check=True, cwd=project
    )

    assert ran.stdout == "2 [] set()\n"


def test_one_changed_byte_in_any_file_is_seen(rules, stored, own_cache):
    page = rules / "limits.yaml"
    state = page.stat()
    page.write_text(page.read_text("utf-8").replace("value: 1", "value: 2"), "utf-8")
    os.utime(page, ns=(state.st_atime_ns, state.st_mtime_ns))

    base, _ = load_rules(str(rules))

    assert base.limits["fuel_keeps_y"].value == 2
    assert len(list(own_cache.glob("rules-*.json"))) == 2


def test_a_renamed_file_is_seen(rules, stored):
    before = load_rules(str(rules))[0].rules["fuel-stale"].subject
    (rules / "findings/fuel/age.yaml").rename(rules / "findings/fuel/old.yaml")

    assert (before, load_rules(str(rules))[0].rules["fuel-stale"].subject) == ("fuel/age", "fuel/old")


def rewritten(copy, body):
    head = copy.read_bytes().split(b"\n")[0].decode().rsplit(" ", 1)[0]
    copy.write_bytes(f"{head} {crc32(body):08x}\n".encode() + body)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda copy: copy.write_bytes(b""),
        lambda copy: copy.write_bytes(copy.read_bytes()[:-10]),
        lambda copy: copy.write_bytes(copy.read_bytes().replace(b"Drain the oil", b"Leave the oil")),
        lambda copy: copy.write_bytes(b"\xff\xfe" + copy.read_bytes()),
        lambda copy: copy.write_bytes(copy.read_bytes().replace(b"revive rules", b"another rules")),
        lambda copy: rewritten(copy, b"[]"),
        lambda copy: rewritten(copy, b"not json"),
        lambda copy: rewritten(copy, b"[" * 100_000),
        lambda copy: rewritten(copy, copy.read_bytes().split(b"\n", 1)[1].replace(b'"oil_drain",', b"", 1)),
        lambda copy: copy.chmod(0o666),
        lambda copy: (copy.unlink(), copy.mkdir()),
        lambda copy: (copy.unlink(), os.mkfifo(copy)),
        lambda copy: (copy.unlink(), copy.symlink_to("/dev/zero")),
        lambda copy: (copy.unlink(), copy.symlink_to(copy.name)),
        lambda copy: os.truncate(copy, 10**12),
        lambda copy: (
            copy.write_bytes(copy.read_bytes().replace(b"Drain the oil", b"Leave the oil")),
            copy.chmod(0o000),
        ),
    ],
)
def test_a_damaged_or_foreign_copy_is_passed_over(spoil, rules, stored):
    spoil(stored)

    base, problems = load_rules(str(rules))

    assert (repr(base), problems) == (fresh(rules), [])


def test_a_copy_of_another_version_is_not_used(rules, stored, monkeypatch):
    text = stored.read_text("utf-8")
    head, body = text.split("\n", 1)
    body = body.replace("Drain the oil", "Leave the oil").encode()
    stored.write_bytes(f"{head.rsplit(' ', 1)[0]} {crc32(body):08x}\n".encode() + body)
    believed = load_rules(str(rules))[0].tasks["oil_drain"].title

    monkeypatch.setattr(cache, "__version__", "999")

    assert (believed, load_rules(str(rules))[0].tasks["oil_drain"].title) == ("Leave the oil", "Drain the oil")


def test_a_cache_folder_that_cannot_be_written_changes_nothing(rules, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("x", "utf-8")
    monkeypatch.setenv("REVIVE_CACHE", str(tmp_path / "file" / "below"))

    base, problems = load_rules(str(rules))

    assert (repr(base), problems) == (fresh(rules), [])


def test_a_base_with_problems_is_never_stored(rules, own_cache):
    (rules / "limits.yaml").write_text("limits: {}\n", "utf-8")

    base, problems = load_rules(str(rules))

    assert (base, bool(problems), own_cache.exists()) == (None, True, False)


def test_nothing_half_written_stays_behind_and_old_copies_go(rules, stored, own_cache):
    for number in range(2, 12):
        page = rules / "limits.yaml"
        page.write_text(page.read_text("utf-8").replace(f"value: {number - 1}", f"value: {number}"), "utf-8")
        load_rules(str(rules))

    names = sorted(path.name for path in own_cache.iterdir())
    assert len(names) == cache.KEEP_COPIES
    assert all(name.startswith("rules-") and name.endswith(".json") for name in names)


def test_a_write_that_fails_leaves_no_copy(rules, own_cache, monkeypatch):
    def refuse(*_):
        raise OSError("disk full")

    monkeypatch.setattr(cache.os, "replace", refuse)

    assert load_rules(str(rules))[0] is not None
    assert list(own_cache.iterdir()) == []


def test_the_cache_folder_follows_the_system(monkeypatch):
    monkeypatch.delenv("REVIVE_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", "/home/member/.cache")

    assert cache.folder() == "/home/member/.cache/revive"
    monkeypatch.setenv("REVIVE_CACHE", "/elsewhere")
    assert cache.folder() == "/elsewhere"


def test_the_copy_is_plain_json(stored):
    _, *lines = stored.read_bytes().split(b"\n")

    assert {type(json.loads(line)) for line in lines} == {list}


def test_a_copy_that_turns_out_to_be_damaged_later_is_told_of(rules, stored):
    rewritten(stored, stored.read_bytes().split(b"\n", 1)[1].replace(b'"Put the tray under."', b"["))
    base, _ = load_rules(str(rules))

    with pytest.raises(ReviveError, match="Delete it"):
        print(base.tasks["oil_drain"].method)


def test_a_link_in_place_of_the_copy_is_replaced_and_what_it_names_stays(rules, stored, tmp_path):
    (tmp_path / "mine.txt").write_text("mine", "utf-8")
    stored.unlink()
    stored.symlink_to(tmp_path / "mine.txt")

    base, problems = load_rules(str(rules))

    assert (repr(base), problems) == (fresh(rules), [])
    assert (tmp_path / "mine.txt").read_text("utf-8") == "mine"
    assert stored.is_file() and not stored.is_symlink()


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="only the superuser can give a file away")
def test_a_copy_that_somebody_else_owns_is_not_believed(rules, stored):
    body = stored.read_bytes().split(b"\n", 1)[1].replace(b"Drain the oil", b"Leave the oil")
    rewritten(stored, body)
    believed = load_rules(str(rules))[0].tasks["oil_drain"].title
    rewritten(stored, body)
    os.chown(stored, 65534, 65534)

    assert (believed, load_rules(str(rules))[0].tasks["oil_drain"].title) == ("Leave the oil", "Drain the oil")


def run(code, *arguments, cwd=None, **environment):
    """A process of its own that loads the rules; variables that are None are taken out of its environment."""
    wanted = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), **environment}
    wanted = {name: value for name, value in wanted.items() if value is not None}
    return subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, text=True, cwd=cwd, env=wanted)


LOAD = "import sys; from revive.loading import load_rules; print(load_rules(sys.argv[1])[0].tasks['oil_drain'].title)"
NOBODY = "import os, pwd; pwd.getpwuid = lambda uid: {}[uid]\n"


@pytest.mark.parametrize(
    "home",
    [
        {"HOME": ""},
        {"HOME": "near/by"},
        {"HOME": "/nowhere/at/all"},
        {"HOME": None},
        {"HOME": "/dev/null"},
        {"HOME": "/nowhere", "XDG_CACHE_HOME": "near/by"},
    ],
)
def test_without_a_home_nothing_is_kept_and_nothing_is_made(home, rules, tmp_path):
    """HOME None: no such variable, and no entry of this user among the system's."""
    (tmp_path / "here").mkdir()

    ran = run(NOBODY + LOAD, str(rules), cwd=tmp_path / "here", REVIVE_CACHE=None, **{"XDG_CACHE_HOME": None, **home})

    assert (ran.stdout, ran.stderr) == ("Drain the oil\n", "")
    assert (
        list((tmp_path / "here").iterdir()) == []
        and not Path("/nowhere").exists()
        and not Path("/.cache/revive").exists()
    )


@pytest.mark.parametrize("place", ["file", "pipe", "loop", "closed"])
def test_whatever_stands_in_place_of_the_folder_the_rules_are_right(place, rules, tmp_path):
    folder = tmp_path / "kept"
    if place == "file":
        folder.write_text("mine", "utf-8")
    elif place == "pipe":
        os.mkfifo(folder)
    elif place == "loop":
        folder.symlink_to("kept")
    else:
        folder.mkdir(mode=0o500)

    ran = run(LOAD, str(rules), REVIVE_CACHE=str(folder))

    assert (ran.stdout, ran.stderr) == ("Drain the oil\n", "")
    assert place != "file" or folder.read_text("utf-8") == "mine"


def test_a_home_that_may_only_be_read_changes_nothing(rules, tmp_path):
    home = tmp_path / "home"
    home.mkdir(mode=0o500)
    held = []
    if os.geteuid() == 0:
        if shutil.which("setpriv") is None:
            pytest.skip("the superuser is held to no permission, and there is no setpriv here")
        held = ["setpriv", "--bounding-set=-dac_override,-dac_read_search,-fowner"]
    wanted = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2]), "HOME": str(home)}
    wanted.pop("REVIVE_CACHE")
    wanted.pop("XDG_CACHE_HOME", None)

    ran = subprocess.run([*held, sys.executable, "-c", LOAD, str(rules)], capture_output=True, text=True, env=wanted)

    assert (ran.stdout, ran.stderr, list(home.iterdir())) == ("Drain the oil\n", "", [])


@pytest.mark.parametrize("room", [0, 1, 1000])
def test_a_disk_that_fills_up_leaves_no_half_copy(room, rules, own_cache, monkeypatch):
    real = os.fdopen

    class Full:
        """A file with so many bytes of room."""

        def __init__(self, file):
            self.file = file

        def __enter__(self):
            return self

        def __exit__(self, *what):
            self.file.close()

        def write(self, data):
            self.file.write(data[:room])
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(cache.os, "fdopen", lambda *given: Full(real(*given)))

    base, problems = load_rules(str(rules))

    assert (repr(base), problems) == (fresh(rules), [])
    assert list(own_cache.iterdir()) == []


DIE = """
import os, sys, tempfile
from revive.loading import cache, load_rules
point, real = sys.argv[2], os.fdopen
def die(*_): os._exit(9)
class Dying:
    def __init__(self, file): self.file = file
    def __enter__(self): return self
    def __exit__(self, *what): self.file.close()
    def write(self, data): self.file.write(data[:len(data) // 2]); self.file.flush(); die()
if point == "made": cache.os.fdopen = die
if point == "half": cache.os.fdopen = lambda *given: Dying(real(*given))
if point == "before": cache.os.replace = die
if point == "after": cache._drop_old = die
load_rules(sys.argv[1])
os._exit(7)
"""


@pytest.mark.parametrize("point", ["made", "half", "before", "after"])
def test_a_kill_at_any_step_of_storing_leaves_a_cache_that_is_right(point, rules, own_cache):
    ran = run(DIE, str(rules), point)
    left = sorted(path.name for path in own_cache.iterdir())

    base, problems = load_rules(str(rules))

    assert ran.returncode == 9, ran.stderr
    assert left[0].startswith("rules-" if point == "after" else ".rules-")
    assert (repr(base), problems) == (fresh(rules), [])
    assert len(list(own_cache.glob("rules-*.json"))) == 1


def test_half_a_copy_that_a_killed_program_left_goes_in_time(rules, own_cache):
    own_cache.mkdir()
    old, new = own_cache / ".rules-old.json.0a1b2c3d.tmp", own_cache / ".rules-new.json.0a1b2c3d.tmp"
    for half in (old, new):
        half.write_bytes(b"half")
    os.utime(old, (time.time() - 2 * cache.STALE_S,) * 2)

    load_rules(str(rules))

    assert [half.exists() for half in (old, new)] == [False, True]


def test_many_programs_at_once_all_read_the_rules_right(rules, own_cache):
    code = LOAD.replace("print(", "print(*{").replace(".title)", ".title for _ in range(15)})")
    command = [sys.executable, "-c", code, str(rules)]
    wanted = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    programs = [
        subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=wanted)
        for _ in range(5)
    ]
    told = [program.communicate(timeout=120) for program in programs]

    assert told == [("Drain the oil\n", "")] * 5
    names = [path.name for path in own_cache.iterdir()]
    assert len(names) == 1 and names[0].startswith("rules-")
    forbidden = run("from revive.loading import build; del build.build\n" + LOAD, str(rules))
    assert (forbidden.stdout, forbidden.stderr) == ("Drain the oil\n", "")
