"""Records and command lines to try: what a hurried, curious or hostile hand might type. Chooses; runs nothing."""

import os
import random
from functools import cache
from pathlib import Path

from .hostile import TEXTS, speakable
from .mutations import NUMBERS

ROOT = Path(__file__).resolve().parents[2]
SEEDS = tuple(sorted((ROOT / "samples").glob("*/*.yaml")))
SMALL_RECORD = (
    b"record: 1\nmachine: {name: Small twin}\nanswers: {layout: flat_twin_wet, years_stored: 3, oil_look: dont_know}\n"
    b"done: {photo_record: {on: 2026-11-20}}\n"
)
ODD_RECORD = """\ufeff# First comment
record: 1   # of this version

machine: {name: "Grüne: #1", owner: 'A. Member''s',
  frame: "x: [y]"}
answers:
    # indented deeper than the rest
    layout: {value: flat_twin_wet,  # in a flow mapping
             on: 2026-10-01}
    "years_stored": 14
    oil_look:
        value: dont_know
        on: 2026-10-03T10:00
        by: >
          the
          owner
    leak_marks:
    - engine_oil
    - petrol
    start_tried: ''
    petrol_smell: none
done:
  photo_record:
  oil_sample: 2026-10-04
  battery_isolate: {on: 2026-10-04, note: |
      two lines
      of text
    }
readings: [{what: compression_bar, cylinder: 1, value: 8.6},
  {what: prime_burst, seconds: 10, points_seen: 2}]
earlier:
- {question: oil_look, value: clear, on: 2026-10-01}
# Last comment, no line end after it""".replace("    start_tried: ''\n", "").encode()
FORMS = {
    "plan": ("terminal", "markdown", "html", "json"),
    "looks": ("terminal", "json"),
    "listing": ("text", "markdown", "html"),
}
DATES = (
    "2026-11-25",
    "2026-11-25T10:00",
    "1999-12-31",
    "2026-02-30",
    "9999-12-31",
    "0001-01-01",
    "yesterday",
    "",
    "-1",
)
HOURS = ("4", "0", "3,sat=6", "nan", "1e9", "-1", "", ",", "mon=", "24", "x=1", "0.25", "sun=24", "4,sat=inf")
FILES = (
    "m.yaml",
    "m.yaml",
    "m.yaml",
    "m.yaml",
    "good.yml",
    "empty.yaml",
    "bad.yaml",
    "none.yaml",
    "folder",
    "pipe",
    "link.yaml",
)
FILES = (
    *FILES,
    "round.yaml",
    "picture.yaml",
    "far.yaml",
    "/dev/null",
    "",
    ".",
    "no/such/x.yaml",
    "a" * 300,
    "m.yaml/x",
)


@cache
def names() -> dict[str, list[str]]:
    """Every name of the shipped rules by kind."""
    from revive.loading import default_rules_folder, load_rules

    base, _ = load_rules(default_rules_folder())
    assert base is not None
    kinds = ("questions", "tasks", "rules", "gates", "stops", "limits", "facts")
    return {kind: sorted(getattr(base, kind)) for kind in kinds}


@cache
def values() -> dict[str, list[str]]:
    """Some values that each question takes, and some beyond its range."""
    from revive.loading import default_rules_folder, load_rules

    base, _ = load_rules(default_rules_folder())
    assert base is not None
    found = {}
    for name, question in base.questions.items():
        if question.kind == "number":
            middle = (question.low + question.high) / 2
            found[name] = [f"{question.low:g}", f"{question.high:g}", f"{middle:g}", f"{question.high * 2 + 1:g}"]
        else:
            found[name] = list(question.choices or ("yes", "no"))
    return found


def gentle(data: bytes, rng: random.Random) -> bytes:
    """The record with some answers added or changed to others that the rules take: sound, but of odd machines."""
    lines = data.decode().rstrip("\n").split("\n")
    at = next((place for place, row in enumerate(lines) if row.startswith("answers:")), None)
    if at is None or lines[at].strip() != "answers:":
        return data
    there = {row.split(":")[0].strip(): place for place, row in enumerate(lines) if row.startswith("  ") and ":" in row}
    for name in rng.sample(names()["questions"], rng.choice((1, 3, 10, 40))):
        known = values()[name][:3] if rng.random() < 0.8 else ["dont_know"]
        on = rng.choice(("", "2026-10-01", "2026-10-10T09:00", "2031-01-01", "1900-01-01"))
        entry = f"{{value: '{rng.choice(known)}'{f', on: {on}' if on else ''}}}"
        if name in there:
            lines[there[name]] = f"  {name}: {entry}"
        else:
            lines[at] += f"\n  {name}: {entry}"
    return "\n".join(lines).encode() + b"\n"


def put(path: Path, data: bytes) -> None:
    """Write a file for an input."""
    path.write_bytes(data)


def text(rng: random.Random) -> str:
    """Any text that a command line can carry, now and then with bytes that are no characters."""
    found = rng.choice((*TEXTS, *NUMBERS))
    if rng.random() < 0.05:
        found += "\udcff\udc80"
    return found if speakable(found) else found.replace("\0", "")


def pair(rng: random.Random) -> str:
    """question=value, mostly such as the rules know."""
    name = rng.choice(names()["questions"]) if rng.random() < 0.9 else text(rng)
    known = values().get(name, ["yes"])
    value = rng.choice([*known, *known, "dont_know", rng.choice(NUMBERS), text(rng)])
    if rng.random() < 0.05:
        value = ",".join(rng.sample(known, min(3, len(known))))
    return f"{name}{'=' if rng.random() < 0.97 else ''}{value}"


def task(rng: random.Random) -> str:
    return rng.choice(names()["tasks"]) if rng.random() < 0.9 else text(rng)


def anything(rng: random.Random) -> str:
    """A name of any kind."""
    return rng.choice(names()[rng.choice(list(names()))]) if rng.random() < 0.9 else text(rng)


def typed(rng: random.Random) -> bytes:
    """Lines for a conversation by pipe, not all of them sensible, ending at any point."""
    lines = []
    for _ in range(rng.choice((0, 3, 12, 40))):
        lines.append(
            rng.choice(["1", "2", "1", "d", "l", "b", "?", "14", "y", "n", "1,2", "x", "", "go", "0", "4", text(rng)])
        )
    return "\n".join(lines).encode("utf-8", "surrogateescape") + rng.choice((b"\n", b"", b"\xff\xfe\n", b"\r\n"))


def on_record(rng: random.Random) -> tuple[list[str], bytes, frozenset[str]]:
    """A command for m.yaml, its input, and the entries that it may change."""
    kind = rng.choice(
        (*("plan", "plan", "note", "note", "done", "why", "listing", "whatif", "ask", "prime") * 4, "looks")
    )
    if kind == "plan" or kind == "listing":
        return [kind, "m.yaml", "--as", rng.choice(FORMS[kind])], b"", frozenset()
    if kind == "looks":
        return [kind, "m.yaml", "--as", rng.choice(FORMS[kind])], b"", frozenset()
    if kind == "why":
        return [kind, "m.yaml", rng.choice(names()[rng.choice(list(names()))])], b"", frozenset()
    if kind in ("ask", "prime"):
        return [kind, "--plain", "m.yaml"], typed(rng), frozenset("*")
    if kind == "done":
        tasks = [rng.choice(names()["tasks"]) for _ in range(rng.choice((1, 1, 3)))]
        more = ["--note", text(rng)] if rng.random() < 0.5 else []
        return [kind, "m.yaml", *tasks, *(f"--note={note}" for note in more[1:])], b"", frozenset(tasks)
    pairs = []
    for _ in range(rng.choice((1, 1, 3))):
        name = rng.choice(names()["questions"])
        pairs.append(f"{name}={rng.choice([*values()[name][:3], 'dont_know'])}")
    more = [f"--by={text(rng)}"] if rng.random() < 0.5 else []
    changes = frozenset() if kind == "whatif" else frozenset(one.split("=")[0] for one in pairs)
    return [kind, "m.yaml", *pairs, *(more if kind == "note" else [])], b"", changes


def furnish(folder: Path, rng: random.Random) -> None:
    """A folder with a good record and everything else that may stand where a record should."""
    data = rng.choice(SEEDS).read_bytes()
    put(folder / "m.yaml", data)
    put(folder / "good.yml", SEEDS[0].read_bytes())
    put(folder / "empty.yaml", b"")
    put(folder / "bad.yaml", b"record: 1\nanswers: {oil_lok: milky}\n")
    put(folder / "picture.yaml", b"\x89PNG\r\n\x1a\n\0\0")
    put(folder / "beside.txt", b"stays as it is\n")
    (folder / "folder").mkdir()
    put(folder / "folder" / "twin.yaml", data)
    (folder / "link.yaml").symlink_to("good.yml")
    (folder / "round.yaml").symlink_to("round.yaml")
    (folder / "far.yaml").symlink_to("nowhere/at/all.yaml")
    os.mkfifo(folder / "pipe")


def line(rng: random.Random) -> tuple[list[str], bytes]:
    """A command line and its input: mostly of the right shape, with odd words in some places."""
    file = rng.choice(FILES)
    kind = rng.choice([*_SHAPES, *(shape for shape in _SHAPES if shape != "looks")])
    argv = [kind, *_SHAPES[kind](rng, file)]
    if kind in ("plan", "listing", "club") and rng.random() < 0.2:
        argv += ["--units", rng.choice(("metric", "imperial", text(rng)))]
    if kind != "reckon" and rng.random() < 0.2:
        argv += ["--today", rng.choice(DATES)]
    if kind in ("note", "done", "ask", "prime") and rng.random() < 0.3:
        argv += [f"--by={text(rng)}"]
    if rng.random() < 0.02:
        argv += [rng.choice(("--rules", "--extra")), rng.choice(FILES)]
    if rng.random() < 0.25:
        at = rng.randrange(len(argv) + 1)
        odd = rng.choice(
            (text(rng), rng.choice(("--help", "--version", "--as", "--", "-", "--out", "--full", "--all")))
        )
        argv[at : at + rng.randrange(2)] = [odd]
    if "--out" in argv:  # a wild name must not lead out of the scratch folder
        place = argv.index("--out") + 1
        argv[place:] = [os.path.basename(argv[place]) or "out", *argv[place + 1 :]] if place < len(argv) else []
    plain = ["--plain"] if kind in ("ask", "prime") and rng.random() < 0.9 else []
    return [*argv, *plain], typed(rng) if kind in ("ask", "prime", "done") else b""


def _plan(rng: random.Random, file: str) -> list[str]:
    argv = [file]
    if rng.random() < 0.7:
        argv += ["--as", rng.choice((*FORMS["plan"], text(rng)))]
    if rng.random() < 0.2:
        argv += ["--hours-per-day=" + rng.choice(HOURS)]
    if rng.random() < 0.2:
        argv += ["--start=" + rng.choice(DATES)]
    if rng.random() < 0.2:
        argv += ["--for", rng.choice(("owner", "seller", "club_officer", text(rng)))]
    if rng.random() < 0.2:
        argv += ["--out", rng.choice(("out", "folder", "no/such", "pipe", "m.yaml", "link.yaml"))]
    return argv + rng.choice(([], [], ["--full"], ["--people", rng.choice(("1", "2", "0", "x"))]))


def _reckon(rng: random.Random, file: str) -> list[str]:
    from revive.figures import FIGURES

    if rng.random() < 0.05:
        return []
    name = rng.choice(sorted(FIGURES)) if rng.random() < 0.95 else text(rng)
    inputs = FIGURES[name].inputs if name in FIGURES else ()
    numbers = ("0", "1", "10", "-5", "1e6", "1e-9", "40 psi", "2 l", "20 F", "0.5", "100", "2026-01-01", *NUMBERS)
    pairs = [f"{item.name}={rng.choice((*item.choices, *numbers))}" for item in inputs if rng.random() < 0.9]
    pairs += [f"{text(rng)}={text(rng)}"] if rng.random() < 0.1 else []
    return [name, *pairs, *rng.choice(([], [], ["--as", "json"]))]


def _rules(rng: random.Random, file: str) -> list[str]:
    kind = rng.random()
    if kind < 0.6:
        return ["show", anything(rng), "--samples", "folder"]
    if kind < 0.8:
        kinds = ("rule", "question", "task", text(rng))
        return [
            "new",
            rng.choice(kinds),
            rng.choice(("my-rule", "my_task", text(rng))),
            rng.choice(("oil/look", "oil", "3", text(rng))),
            "--in",
            "folder",
        ]
    if kind < 0.9:
        return ["schema", *rng.choice(([], ["made"], ["m.yaml"], ["--club", "made"]))]
    return ["check", rng.choice(("folder", "nowhere", "m.yaml", "pipe", ""))]


def _done(rng: random.Random, file: str) -> list[str]:
    return [
        file,
        *(task(rng) for _ in range(rng.choice((1, 2)))),
        *rng.choice(([], ["--plain"], [f"--note={text(rng)}"])),
    ]


_SHAPES = {
    "plan": _plan,
    "note": lambda rng, file: [file, *(pair(rng) for _ in range(rng.choice((1, 1, 4)))), f"--on={rng.choice(DATES)}"],
    "done": _done,
    "whatif": lambda rng, file: [file, *(pair(rng) for _ in range(rng.choice((1, 3))))],
    "why": lambda rng, file: [file, anything(rng)],
    "looks": lambda rng, file: [file, *rng.choice(([], [], ["--as", "json"]))],
    "listing": lambda rng, file: [
        file,
        "--as",
        rng.choice((*FORMS["listing"], "x")),
        *rng.choice(([], ["--out", "out"])),
    ],
    "ask": lambda rng, file: [file],
    "prime": lambda rng, file: [file],
    "club": lambda rng, file: [
        rng.choice(("folder", "folder", file)),
        *rng.choice(([], ["--as", "csv"], ["--out", "out"])),
    ],
    "reckon": _reckon,
    "rules": _rules,
}
