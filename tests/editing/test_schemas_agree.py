"""The JSON Schemas are valid, and say of each file what our own loader says of its shape.

SEEN names the codes of which a schema sees at least the plain cases; every other code hangs on other files, on the
order of things, or on the YAML text itself, and `revive rules check` alone tells it.
"""

import random
import re
from functools import cache
from pathlib import Path

import jsonschema
import pytest
import yaml
from loading.test_bad_rules import BAD_RULES, mended, place_of

from editing.core_yaml import load
from revive.loading import default_rules_folder, load_rules
from revive.loading.gathered import Gathered
from revive.loading.json_record import record_schema
from revive.loading.json_schema import schemas
from revive.loading.schema import gather
from revive.model import GATES
from revive.record import RecordProblems, parse_record

TESTS = Path(__file__).parents[1]
SHIPPED = Path(default_rules_folder())
SEEN = {
    "bad-id",
    "fact-kind",
    "missing-key",
    "mixed-condition",
    "named-twice",
    "no-words",
    "out-of-choices",
    "source-place",
    "stop-without-name",
    "too-long",
    "unknown-gate",
    "unknown-key",
    "wrong-type",
    "empty-file",
}
TEXT_CODES = {"control-character", "equal-keys", "not-utf8", "tab", "too-deep", "too-large"}
"""Problems of the YAML text, of which an editor's YAML reader tells in its own way; so are all yaml-… codes."""

BY_FOLDER = {"questions": "questions", "tasks": "tasks", "findings": "rules"}


@cache
def validator(name: str, overlay: bool = False) -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(schemas(overlay)[name])


@cache
def record_validator() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(record_schema(shipped()))


@cache
def shipped():
    base, problems = load_rules(SHIPPED)
    assert base is not None, "\n".join(map(str, problems))
    return base


def schema_of(path: str) -> str:
    """Which schema a file below a rules folder has."""
    return BY_FOLDER.get(path.split("/")[0], path.removesuffix(".yaml"))


def in_shape(path: str, content: bytes, overlay: bool = False) -> bool:
    return validator(schema_of(path), overlay).is_valid(load(content))


def files_of(folder: Path) -> list[tuple[str, bytes]]:
    return [(file.relative_to(folder).as_posix(), file.read_bytes()) for file in sorted(folder.rglob("*.yaml"))]


@pytest.mark.parametrize("overlay", [False, True])
def test_every_schema_is_valid_against_the_meta_schema(overlay):
    for schema in [*schemas(overlay).values(), record_schema(shipped())]:
        assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
        jsonschema.Draft202012Validator.check_schema(schema)


def test_every_shipped_file_is_in_shape():
    files = files_of(SHIPPED) + files_of(TESTS / "loading" / "small_base")

    assert [path for path, content in files if not in_shape(path, content)] == []
    assert len(files) > 100


def test_a_clubs_own_folder_is_in_the_shape_of_its_own_schemas():
    files = files_of(TESTS / "extra" / "good")

    assert [path for path, content in files if not in_shape(path, content, overlay=True)] == []
    assert [path for path, content in files if not in_shape(path, content)] == [
        "gates.yaml",
        "questions/3-hands-on.yaml",
        "stops.yaml",
    ]


BAD = [file for file in sorted(BAD_RULES.glob("*.yaml")) if schema_of(place_of(file.read_bytes())) in schemas()]


@pytest.mark.parametrize("file", BAD, ids=lambda file: file.stem)
def test_a_bad_file_is_out_of_shape_just_where_a_schema_can_see_it(file):
    bad = file.read_bytes()
    told = set(re.findall(r"\[([a-z0-9-]+)\]$", file.with_suffix(".txt").read_text("utf-8"), re.MULTILINE))
    if told <= TEXT_CODES or any(code.startswith("yaml-") for code in told):
        assert not told & SEEN
        return

    assert in_shape(place_of(bad), bad) is (not told & SEEN), told


@pytest.mark.parametrize(
    "file", [file for file in BAD if b"\n# mend " in file.read_bytes()], ids=lambda file: file.stem
)
def test_the_mended_twin_is_in_shape(file):
    bad = file.read_bytes()

    assert in_shape(place_of(bad), mended(bad))


def test_spoilt_files_are_told_by_both_or_by_neither():
    """Shipped files with a key dropped, added or given a value of another kind; seeded, so always the same."""
    rng = random.Random(20)
    differ = []
    files = files_of(SHIPPED)
    for _ in range(120):
        path, content = rng.choice(files)
        value = load(content)
        what = _spoil(rng, value)
        text = yaml.dump(value, Dumper=_Plain, allow_unicode=True, sort_keys=False).encode()
        gathered = Gathered()
        gathered.limit_names |= set(shipped().limits)
        gather(gathered, "rules", {path: text}, overlay=False)
        told = {p.code for p in gathered.problems if p.file != "rules"}
        told |= {"unknown-gate" for use in gathered.uses if use.kind == "gate" and use.name not in GATES}
        if (validator(schema_of(path)).is_valid(load(text))) is bool(told & SEEN):
            differ.append(f"{path}: {what}: {sorted(told)}")

    assert not differ, "\n".join(differ)


class _Plain(yaml.SafeDumper):
    """Writes no aliases."""

    def ignore_aliases(self, data):
        return True


def _spoil(rng: random.Random, value: dict) -> str:
    """Change one thing somewhere in an entry; says what."""
    top = rng.choice([key for key in value if isinstance(value[key], dict)])
    name = rng.choice(list(value[top]))
    here, path = value[top][name], f"{top}.{name}"
    while isinstance(here, dict) and rng.random() < 0.3 and any(isinstance(here[k], dict) for k in here):
        key = rng.choice([k for k in here if isinstance(here[k], dict)])
        if key in ("given", "settles", "presumes", "facts", "inputs", "clears", "details", "choices"):
            break
        here, path = here[key], f"{path}.{key}"
    keys = [key for key in here if key not in ("given", "settles", "presumes", "facts", "range", "worst")]
    key = rng.choice(keys or list(here))
    way = rng.choice(("drop", "add", "true", "empty", "mapping", "list", "text"))
    if way == "drop":
        del here[key]
    elif way == "add":
        here["nobody_reads_this"] = "x"
    else:
        here[key] = {"true": True, "empty": "", "mapping": {"a": {"b": []}}, "list": [[]], "text": "some words"}[way]
    return f"{path}.{key} {way}"


GOOD_RECORD = b"""record: 1
machine: {name: Grey twin, frame: 0123}
answers:
  layout: flat_twin_wet
  years_stored: 14
  oil_look: dont_know
  leak_marks: [engine_oil, petrol]
  crankcase_oil_l: {value: 0.3, on: 2026-11-21, by: owner, how: measured, unit: l}
done:
  oil_drain: {on: 2026-11-21T10:40, by: owner, note: sludge first, litres: 1.8}
  photo_record: 2026-11-20
  hand_turn:
maker:
  comp_low_bar_min: {value: 4, unit: bar, where: manual page 31}
readings:
  - {what: compression_bar, cylinder: 1, value: 8.6}
earlier:
  - {question: oil_look, value: dont_know, on: 2026-11-20}
"""


TAKEN = {
    ("", ""),
    ("[engine_oil, petrol]", "engine_oil"),
    ("machine: {name: Grey twin, frame: 0123}", "machine:"),
}


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("", ""),
        ("record: 1", "record: 2"),
        ("flat_twin_wet", "flat_twin_dry"),
        ("years_stored: 14", "years_stored: a while"),
        ("years_stored: 14", "years_stored: 1400"),
        ("years_stored: 14", "years_stored: [14]"),
        ("  years_stored:", "  years_sotred:"),
        ("[engine_oil, petrol]", "[engine_oil, no_leak]"),
        ("[engine_oil, petrol]", "engine_oil"),
        ("[engine_oil, petrol]", "[]"),
        ("how: measured", "how: guessed"),
        ("unit: l", "unit: ml"),
        ("value: 0.3, ", ""),
        ("on: 2026-11-21,", "on: last week,"),
        ("2026-11-21T10:40", "2026-11-21T25:40"),
        ("photo_record: 2026-11-20", "photo_record: yes"),
        ("photo_record:", "photo_recrod:"),
        ("comp_low_bar_min: {value: 4", "comp_low_bar_min: {value: four"),
        ("comp_low_bar_min: {value: 4, unit: bar", "comp_low_bar_min: {value: 4, unit: psi"),
        ("comp_low_bar_min", "comp_lowest"),
        ("- {what: compression_bar, ", "- {"),
        ("machine:", "machines:"),
        ("machine: {name: Grey twin, frame: 0123}", "machine:"),
        ("machine: {name: Grey twin, frame: 0123}", "machine: Grey twin"),
    ],
)
def test_a_record_is_in_shape_just_where_our_reader_takes_it(old, new):
    data = GOOD_RECORD.replace(old.encode(), new.encode(), 1)
    assert not old or data != GOOD_RECORD
    try:
        parse_record(data, "mine.yaml", shipped())
        taken = True
    except RecordProblems:
        taken = False

    assert record_validator().is_valid(load(data)) is taken
    assert taken is ((old, new) in TAKEN)
