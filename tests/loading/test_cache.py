"""The stored copy of a checked base: equal to the fresh one, and never believed when it is not certain."""

import json
import os
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


def test_the_stored_base_loads_faster_than_the_yaml(rules, stored):
    def seconds(use_cache):
        best = 9.0
        for _ in range(5):
            start = time.perf_counter()
            load_rules(str(rules), use_cache=use_cache)
            best = min(best, time.perf_counter() - start)
        return best

    assert seconds(use_cache=True) < seconds(use_cache=False) / 3
