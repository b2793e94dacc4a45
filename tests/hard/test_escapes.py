"""Words of a record are nothing but words in every form of output: pages, lists, tables, data, a terminal, messages.

A hostile text goes into every field that takes words, past the reader, which refuses many of them already. Each form is
then read by a parser of its own kind, and must have the very structure that it has with harmless words as long.
"""

import csv
import io
import json
import os
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from revive.cli import main
from revive.commands.rules_check import check
from revive.loading import default_rules_folder, load_rules
from revive.model import MakerFigure, Record
from revive.problems import Problem
from revive.record import read_record
from revive.text import inert

from . import hostile
from .conftest import ROOT
from .hostile import TEXTS, UNSEEN

SAMPLE = ROOT / "samples" / "flat-twin" / "5-run.yaml"
DAY = ("--today", "2026-11-25")
GROUPS = {
    "pages": " ¶ ".join((*hostile.HTML, *hostile.TEMPLATES)),
    "steering": " ¶ ".join((*hostile.CONTROLS, *hostile.LINES)),
    "signs": " ¶ ".join((*hostile.FORMULAS, *hostile.MARKUP, *hostile.MARKDOWN, *hostile.YAML)),
}
ALONE = {
    f"{name.lower()} {number}": text
    for name in ("FORMULAS", "LINES", "MARKDOWN")
    for number, text in enumerate(getattr(hostile, name))
}


@pytest.fixture(scope="module")
def base():
    found, problems = load_rules(default_rules_folder())
    assert found is not None, problems[:3]
    return found


@pytest.fixture(scope="module")
def sample(base) -> Record:
    return read_record(SAMPLE, base)


def poisoned(record: Record, text: str, base) -> Record:
    """The record with this text in every field that takes words."""
    limits = list(base.limits.values())[:3]
    return replace(
        record,
        machine={"name": text, "owner": text, "frame": f"{text} 1234", "notes": text, "place": text},
        answers={name: replace(answer, by=text) for name, answer in record.answers.items()},
        done={
            name: replace(work, by=text, note=text, details=dict.fromkeys((*work.details, "gauge"), text))
            for name, work in record.done.items()
        },
        maker={limit.id: MakerFigure(limit.value, limit.unit, text) for limit in limits},
        readings=(
            *({**reading, "note": text, "how": reading.get("how", text)} for reading in record.readings),
            {"what": text},
        ),
        earlier=tuple({**entry, "by": text, "note": text} for entry in record.earlier),
    )


@pytest.fixture
def printed(base, sample, monkeypatch, capsys, tmp_path) -> Callable[..., str]:
    """What a command prints for the sample with a text in every field."""
    import revive.loading.kept_record
    import revive.record

    (tmp_path / "m.yaml").write_bytes(SAMPLE.read_bytes())
    monkeypatch.setattr(revive.loading, "load_rules", lambda *_: (base, []))
    monkeypatch.setattr(revive.loading.kept_record, "load", lambda *_: None)

    def run(text: str, command: str, *options: str) -> str:
        record = poisoned(sample, text, base)
        monkeypatch.setattr(revive.record, "parse_record", lambda *_: record)
        assert main([command, str(tmp_path / "m.yaml"), *options, *DAY]) == 0
        return capsys.readouterr().out

    return run


def harmless(text: str) -> str:
    """Words of the same shape that mean nothing to anybody."""
    return re.sub(r"[^\s]", "x", " ".join(inert(text).split())) or "x"


class Structure(HTMLParser):
    """Tags with their attributes in order, and the words between them."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, tuple[str, ...]]] = []
        self.words: list[str] = []
        self.values: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, tuple(name for name, _ in attrs)))
        self.values += [
            value or "" for name, value in attrs if name in ("href", "src", "style", "action", "xlink:href")
        ]

    def handle_endtag(self, tag: str) -> None:
        self.tags.append((f"/{tag}", ()))

    def handle_data(self, data: str) -> None:
        self.words.append(data)

    def handle_comment(self, data: str) -> None:
        self.tags.append(("comment", ()))

    def handle_pi(self, data: str) -> None:
        self.tags.append(("instruction", ()))


def same_page(hostile_page: str, plain_page: str, text: str) -> None:
    made, plain = Structure(hostile_page), Structure(plain_page)
    assert made.tags == plain.tags
    assert [value for value in made.values if "e.example" in value or "script" in value] == []
    assert not UNSEEN.search(hostile_page)
    assert " ".join(inert(text).split()) in " ".join(" ".join(made.words).split())


def markdown_structure(text: str) -> list[str]:
    """The kinds of all tokens in order, plain words left out."""
    kinds = []
    for token in MarkdownIt("commonmark", {"html": True}).enable(["table", "strikethrough"]).parse(text):
        kinds.append(token.type)
        kinds += [child.type for child in token.children or () if child.type not in ("text", "text_special")]
    return kinds


def words_of(text: str) -> str:
    """The words that a reader of the Markdown page sees."""
    shown = []
    for token in MarkdownIt("commonmark", {"html": True}).parse(text):
        shown += [
            child.content for child in token.children or () if child.type in ("text", "text_special", "code_inline")
        ]
    return " ".join("".join(shown).split())


@pytest.mark.parametrize("text", GROUPS.values(), ids=GROUPS)
@pytest.mark.parametrize("command", ["plan", "listing"])
def test_a_page_has_the_tags_that_it_has_with_harmless_words(command: str, text: str, printed) -> None:
    page, plain = (printed(one, command, "--as", "html") for one in (text, harmless(text)))

    same_page(page, plain, text)


@pytest.mark.parametrize("text", GROUPS.values(), ids=GROUPS)
@pytest.mark.parametrize("command", ["plan", "listing"])
def test_markdown_has_the_blocks_that_it_has_with_harmless_words(command: str, text: str, printed) -> None:
    page, plain = (printed(one, command, "--as", "markdown") for one in (text, harmless(text)))

    assert markdown_structure(page) == markdown_structure(plain)
    assert not UNSEEN.search(page)
    assert " ".join(inert(text).split()).replace(" ", "") in words_of(page).replace(" ", "")


@pytest.mark.parametrize("text", ALONE.values(), ids=ALONE)
def test_no_text_by_itself_makes_a_block_of_markdown(text: str, base, sample) -> None:
    from revive.engine.planner import make_plan
    from revive.render.markdown import plan_markdown

    def page(words: str) -> str:
        machine = {"name": words, "owner": words, "frame": words}
        return plan_markdown(replace(_plan(base, sample, make_plan), machine=machine), base, "owner")

    if not _plain:
        _plain.append(markdown_structure(page("xxxx")))
    assert markdown_structure(page(text)) == _plain[0]


@pytest.mark.parametrize("text", [GROUPS["steering"], *hostile.LINES[:4:3]], ids=["steering", "line 0", "line 3"])
@pytest.mark.parametrize(
    "command",
    [
        ("plan", "--full", "--for", "club_officer"),
        ("listing",),
        ("why", "fire"),
    ],
    ids=" ".join,
)
def test_a_terminal_is_not_steered_and_no_line_is_forged(command: tuple[str, ...], text: str, printed) -> None:
    shown = printed(text, *command)

    assert not UNSEEN.search(shown)
    if "\n" in text and "¶" not in text:
        forged = " ".join(inert(text).split("\n")[-1].split())
        assert not any(line.strip() == forged for line in shown.split("\n"))
    if command[0] in ("plan", "listing") and len(text) < 30:
        assert " ".join(inert(text).split()) in " ".join(shown.split())


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_data_for_programs_say_the_very_text_and_steer_no_terminal(text: str, base, sample) -> None:
    from revive.engine.planner import make_plan
    from revive.render.data import plan_json

    plan = replace(_plan(base, sample, make_plan), machine={"name": text, text: "x"})
    shown = plan_json(plan)

    assert not UNSEEN.search(shown)
    assert json.loads(shown)["machine"] == {"name": text, text: "x"}


_made: list[Any] = []
_plain: list[list[str]] = []


def _plan(base, sample, make_plan):
    if not _made:
        _made.append(make_plan(base, sample, "2026-11-25"))
    return _made[0]


NAMES = (
    "=1+1",
    "+x",
    "-x",
    "@x",
    "<b>x",
    "a,b",
    'a"b',
    "'=1",
    "a\nb",
    "\tx",
    "\x1b[2J",
    "a\u202eb",
    "{{x}}",
    "[x](y)",
    "Ünï",
    "＝1",
)


def cells(folder: Path) -> Iterator[tuple[str, list[list[str]]]]:
    for page in sorted(folder.rglob("*.csv")):
        text = page.read_bytes().decode("utf-8")
        assert not UNSEEN.search(text), page.name
        yield page.name, list(csv.reader(io.StringIO(text, newline=""), strict=True))


def test_a_club_s_sheets_hold_no_formula_no_tag_and_no_control(base, sample, tmp_path, monkeypatch, capsys) -> None:
    """Every hostile text in one record each, hostile file names too; against a club of harmless words."""
    import revive.loading
    import revive.record

    folder, plain = tmp_path / "club", tmp_path / "plain"
    for place in (folder, plain):
        place.mkdir()
    texts = dict(
        enumerate(dict.fromkeys((*hostile.FORMULAS, *hostile.HTML[:6], *hostile.CONTROLS[:9], hostile.LINES[3])))
    )
    for number in texts:
        for place in (folder, plain):
            (place / f"m{number:03}.yaml").write_bytes(SAMPLE.read_bytes() + b"# %d\n" % number)
    monkeypatch.setattr(revive.loading, "load_rules", lambda *_: (base, []))
    monkeypatch.setattr(os, "cpu_count", lambda: 1)
    words: dict[int, str] = {}

    def poison(data: bytes, name: str, base) -> Record:
        return poisoned(sample, words[int(data.rsplit(b"# ", 1)[1])], base)

    monkeypatch.setattr(revive.record, "parse_record", poison)
    made = {}
    for place, chosen in ((folder, texts), (plain, {number: harmless(text) for number, text in texts.items()})):
        words.update(chosen)
        assert main(["club", str(place), *DAY]) == 0, capsys.readouterr().err
        made[place] = dict(cells(place))
    for name, rows in made[folder].items():
        assert [len(row) for row in rows] == [len(row) for row in made[plain][name]], name
        for row in rows[1:]:
            for cell in row:
                assert not re.match(r"[\s\u200b\ufeff]*[=+\-@＝＋－＠\t\r]", cell), (name, cell)
                assert "\n" not in cell and "\r" not in cell
    assert {row[1] for row in made[folder]["overview.csv"][1:]} > {"'=1+1", "'-2+3", "'@SUM(A1:A2)"}
    for page in sorted((folder / "club-sheets").rglob("*.html")):
        twin = plain / "club-sheets" / page.relative_to(folder / "club-sheets")
        text = page.read_text("utf-8")
        assert Structure(text).tags == Structure(twin.read_text("utf-8")).tags, page.name
        assert not UNSEEN.search(text)
    for page in sorted((folder / "club-sheets").rglob("*.md")):
        twin = plain / "club-sheets" / page.relative_to(folder / "club-sheets")
        assert markdown_structure(page.read_text("utf-8")) == markdown_structure(twin.read_text("utf-8")), page.name


def test_names_of_records_are_nothing_but_words_in_a_club_s_lists(base, tmp_path, monkeypatch, capsys) -> None:
    import revive.loading

    monkeypatch.setattr(revive.loading, "load_rules", lambda *_: (base, []))
    for number, name in enumerate(NAMES):
        good = b"record: 1\nanswers: {layout: flat_twin_wet}\n" if number % 2 else b"record: 1\nanswers: {oil_lok: x}\n"
        (tmp_path / f"{name}.yaml").write_bytes(good)

    assert main(["club", str(tmp_path), *DAY]) == 1
    out, err = capsys.readouterr()
    assert not UNSEEN.search(out + err)
    lists = dict(cells(tmp_path))
    assert len(lists["overview.csv"]) == 1 + len(NAMES)
    for rows in lists.values():
        for row in rows[1:]:
            assert not any(re.match(r"\s*[=+\-@＝\t\r]", cell) for cell in row), row
    page = (tmp_path / "club-sheets" / "overview.html").read_text("utf-8")
    assert not UNSEEN.search(page) and "<b>x" not in page
    for path in (tmp_path / "club-sheets").rglob("*"):
        assert re.fullmatch(r"[a-z0-9][a-z0-9._-]*", path.name) or path.name == "club-made.jsonl", path.name


@pytest.mark.parametrize("text", TEXTS, ids=range(len(TEXTS)))
def test_a_list_of_problems_stays_a_list_of_problems(text: str) -> None:
    """Two problems, hostile words in every part: two lines each, two commands of a code host, or two objects."""
    problems = [Problem(f"rules/{text}.yaml", line, "unknown-key", f"found {text}", f"mend {text}") for line in (3, 4)]
    told: dict[str, str] = {}
    for form in ("text", "json", "annotations"):
        lines: list[str] = []
        assert check(["rules"], lambda _: (problems, 1, [text]), lines.append, form) == 1
        told[form] = "\n".join(lines)

    assert not any(UNSEEN.search(one) for one in told.values())
    commands = [line for line in told["annotations"].split("\n") if line.startswith("::")]
    assert len(commands) == 2 and all(line.startswith("::error file=rules/") for line in commands)
    assert [found["what"] for found in json.loads(told["json"])["problems"]] == [f"found {text}"] * 2
    assert (
        len([line for line in told["text"].split("\n") if "[unknown-key]" in line and line.startswith("rules/")]) == 2
    )


TYPED = (
    *hostile.CONTROLS,
    *hostile.LINES,
    *hostile.MARKDOWN,
    *hostile.MARKUP,
    *hostile.FORMULAS[4:8],
    *hostile.ODD[:4],
)


@pytest.mark.parametrize("text", [one for one in TYPED if hostile.speakable(one)])
def test_a_message_says_back_what_was_typed_as_one_line_of_words(
    text: str, base, tmp_path, monkeypatch, capsys
) -> None:
    import revive.loading

    monkeypatch.setattr(revive.loading, "load_rules", lambda *_: (base, []))
    record = tmp_path / "m.yaml"
    record.write_bytes(b"record: 1\n")
    for command in (
        ["note", str(record), f"oil_look={text}"],
        ["note", str(record), f"{text}=x"],
        ["note", str(record), "oil_look=clear", f"--on={text}"],
        ["done", str(record), f"-{text}"[1:] or "x", "--no-card"],
        ["why", str(record), text or "x"],
        ["plan", str(record), f"--today={text}"],
        ["plan", str(record), f"--hours-per-day={text}"],
        ["plan", str(record), "--as", text],
        ["reckon", "dew_point", f"{text}={text}"],
        ["rules", "show", text or "x"],
    ):
        code = main(command)
        out, err = capsys.readouterr()
        assert code in (0, 1, 2), command
        assert not UNSEEN.search(out + err), command
        assert code != 1 or len(err.rstrip("\n").split("\n")) <= 3, (command, err)
