"""The stored copy of a record: equal to the one read from YAML, and never believed when it is not certain."""

import os
import stat
import subprocess
import sys
from binascii import crc32
from pathlib import Path

import pytest

from revive.loading import default_rules_folder, kept_record, load_rules
from revive.record import parse_record

PROJECT = Path(__file__).parents[2]
SAMPLES = sorted((PROJECT / "samples").glob("*/*.yaml"))
TEXT = b"""record: 1
machine: {name: Grey twin, owner: "A. M\\u00e4nner, 007", frame: 010}
answers:
  years_stored: 14
  oil_look: dont_know
  leak_marks: [engine_oil, petrol]
  drain_first_flow: {value: sludge, on: 2026-11-21T10:40, by: owner, how: seen}
done:
  oil_drain: {on: 2026-11-21, by: owner, note: "sludge: first", litres: 1.50, seen: [a, 2, {b: no}]}
  photo_record: 2026-11-20
maker:
  comp_low_bar_min: {value: 4, unit: bar, where: manual p. 31}
readings:
  - {what: prime_burst, on: 2026-11-22, seconds: 10, points_seen: 2}
  - {what: compression_bar, cylinder: 1, value: 8.6}
earlier:
  - {question: oil_look, value: dont_know, on: 2026-11-20}
"""


@pytest.fixture(scope="module")
def base():
    return load_rules(default_rules_folder())[0]


@pytest.fixture
def stored(base, own_cache):
    """A record, and the only copy of it."""
    record = parse_record(TEXT, "grey.yaml", base)
    kept_record.store(TEXT, base.digest, record)
    (copy,) = own_cache.glob("record-*.json")
    return record, copy


@pytest.mark.parametrize("data", [TEXT, *(path.read_bytes() for path in SAMPLES)])
def test_the_copy_equals_the_record_read_from_yaml(data, base, own_cache):
    record = parse_record(data, "grey.yaml", base)
    kept_record.store(data, base.digest, record)

    copy = kept_record.load(data, base.digest)

    assert copy == record
    assert repr(copy) == repr(record)


def test_other_bytes_or_other_rules_have_no_copy(base, stored):
    assert kept_record.load(TEXT + b"\n", base.digest) is None
    assert kept_record.load(TEXT, base.digest + "0") is None


def test_only_the_user_may_read_it(stored, own_cache):
    _, copy = stored

    assert stat.S_IMODE(copy.stat().st_mode) == 0o600
    assert stat.S_IMODE(own_cache.stat().st_mode) == 0o700


def rewritten(copy, body):
    head = copy.read_bytes().split(b"\n")[0].decode().rsplit(" ", 1)[0]
    copy.write_bytes(f"{head} {crc32(body):08x}\n".encode() + body)


@pytest.mark.parametrize(
    "spoil",
    [
        lambda copy: copy.write_bytes(b""),
        lambda copy: copy.write_bytes(copy.read_bytes()[:-10]),
        lambda copy: copy.write_bytes(copy.read_bytes().replace(b"sludge", b"golden")),
        lambda copy: copy.write_bytes(copy.read_bytes().replace(b"revive record", b"revive rules")),
        lambda copy: rewritten(copy, b"[]"),
        lambda copy: rewritten(copy, b"not json"),
        lambda copy: rewritten(copy, b"[" * 100_000),
        lambda copy: rewritten(copy, b'[{}, [["years_stored", 14, "", "", "", "more"]], [], [], [], []]'),
        lambda copy: copy.chmod(0o666),
        lambda copy: (copy.unlink(), copy.mkdir()),
    ],
)
def test_a_damaged_or_foreign_copy_is_passed_over(spoil, base, stored):
    record, copy = stored
    assert kept_record.load(TEXT, base.digest) == record

    spoil(copy)

    assert kept_record.load(TEXT, base.digest) is None


def test_few_are_kept_and_nothing_half_written_stays(base, own_cache):
    record = parse_record(TEXT, "grey.yaml", base)
    for number in range(kept_record.KEEP_COPIES + 5):
        kept_record.store(TEXT + b"#" * number, base.digest, record)

    assert len(list(own_cache.glob("record-*.json"))) == kept_record.KEEP_COPIES
    assert not list(own_cache.glob(".*"))


def test_a_large_record_is_not_kept(base, own_cache):
    record = parse_record(TEXT, "grey.yaml", base)
    kept_record.store(TEXT + b"#" * kept_record.MOST_BYTES, base.digest, record)

    assert not own_cache.exists()


def test_a_second_plan_needs_no_yaml_and_a_changed_record_is_read_anew(own_cache, tmp_path):
    place = tmp_path / "grey.yaml"
    place.write_bytes(TEXT)
    code = (
        "import sys, argparse; argparse.ArgumentParser(); brought = set(sys.modules)\n"  # 3.14 brings dataclasses with it
        "from revive.cli import main; code = main(['plan', sys.argv[1], '--as', 'json'])\n"
        "unwanted = {'yaml', 'dataclasses', 'difflib', 'pathlib', 'rich', 'jinja2'}\n"
        "print(code, sorted(unwanted & set(sys.modules) - brought), file=sys.stderr)"
    )

    def said():
        ran = subprocess.run(
            [sys.executable, "-c", code, str(place)], capture_output=True, text=True, check=True, cwd=PROJECT
        )
        return ran.stderr, '"name": "Grey twin"' in ran.stdout

    said()
    assert said() == ("0 []\n", True)
    state = place.stat()
    place.write_bytes(TEXT.replace(b"Grey", b"Blue"))
    os.utime(place, ns=(state.st_atime_ns, state.st_mtime_ns))
    assert said()[1] is False
