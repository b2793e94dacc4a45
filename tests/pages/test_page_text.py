"""The page as text: every safety sentence, every other word, nothing from outside, nothing of a record that acts."""

import html
import re
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from page_machines import HOSTILE, NAMES, page_of, plan_of, reader_of, record_of, rules

from revive.render.page import plan_html
from revive.render.pages import arrange

IDS = re.compile(r"\b[a-z][a-z0-9]*(?:_[a-z0-9]+)+\b")
OUTSIDE = re.compile(r"https?:|url\(|@import|\bsrc\s*=|<link|<script|<iframe|<object|<base|\bon\w+\s*=\s*[\"']", re.I)


class Reader(HTMLParser):
    """The words that are read, with the tag each stands in."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.words: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.silent = 0
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.silent += tag == "style"

    def handle_endtag(self, tag: str) -> None:
        self.silent -= tag == "style"

    def handle_data(self, data: str) -> None:
        if not self.silent:
            self.words.append(data)

    def text(self) -> str:
        return " ".join(" ".join(self.words).split())


def stands_in(sentence: str, text: str) -> bool:
    pieces = [re.escape(" ".join(piece.split())) for piece in IDS.split(sentence) if piece.strip()]
    return re.search(r".{0,160}?".join(pieces), text) is not None


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("name", NAMES)
def test_every_safety_sentence_is_on_the_page(name: str, full: bool):
    base, plan, text = rules(), plan_of(name), Reader(page_of(name, full)).text()
    wanted = [
        words
        for task in plan.tasks
        if task.state == "to_do"
        for words in base.tasks[task.id].cautions
        if words not in task.left_out
    ]
    wanted += [words for gate in plan.gates for words in base.gates[gate.id].cautions]
    wanted += [stop.text for stop in plan.stops if stop.state in ("standing", "assumed")]

    assert len(wanted) > 20
    assert [words for words in wanted if not stands_in(words, text)] == []


@pytest.mark.parametrize("name", NAMES)
def test_each_caution_stands_on_the_card_of_its_task(name: str):
    base, plan = rules(), plan_of(name)
    pieces = re.split(r'<article class="[^"]*" id="task-(\d+)">', page_of(name))
    cards = {
        int(number): Reader(text.split("</article>")[0]).text()
        for number, text in zip(pieces[1::2], pieces[2::2], strict=True)
    }

    assert set(cards) == {task.order for task in plan.tasks if task.state == "to_do"}
    for task in plan.tasks:
        if task.state == "to_do":
            for caution in (text for text in base.tasks[task.id].cautions if text not in task.left_out):
                assert stands_in(caution, cards[task.order]), (task.id, caution)


@pytest.mark.parametrize("name", NAMES)
def test_the_page_says_every_word_of_the_pages(name: str):
    """But for how an answer is typed, which is a question with boxes here, and the log, which is lines to write on."""
    text = re.sub(r"(\d+) (?=\S)", r"\1. ", "") + Reader(page_of(name)).text()
    blocks = [block for page in arrange(plan_of(name), rules(), reader_of(name)) for block in page.blocks]
    said = [
        words
        for block in blocks
        if block.label != "Write into the log as well" and not any("=... " in item for item in block.items)
        for words in (block.label, block.text, *block.items)
        if words
    ]

    lost = [words for words in said if words not in text and re.sub(r"^(\d+)\. ", r"\1 ", words) not in text]

    assert len(said) > 100
    assert lost == []


@pytest.mark.parametrize("name", NAMES)
def test_each_question_that_a_full_card_answers_has_room_on_it(name: str):
    base, plan, text = rules(), plan_of(name), page_of(name, full=True)
    pieces = re.split(r'<article class="[^"]*" id="task-(\d+)">', text)
    cards = {int(number): card.split("</article>")[0] for number, card in zip(pieces[1::2], pieces[2::2], strict=True)}

    for task in plan.tasks:
        if task.state == "to_do":
            for asked in base.tasks[task.id].records:
                assert f"<code>{asked}</code>" in cards[task.order], (task.id, asked)
                for choice in base.questions[asked].choices:
                    assert f"<code>{choice}</code>" in cards[task.order]


@pytest.mark.parametrize("units", ["metric", "imperial"])
@pytest.mark.parametrize("name", NAMES)
def test_nothing_comes_from_outside(name: str, units: str):
    assert OUTSIDE.findall(page_of(name, True, units)) == []


def test_the_search_for_outside_things_would_find_them():
    for text in ('<img src="x">', "fill='url(#a)'", "@import 'x'", "<a href=https://e.example>", "<b onclick='x'>"):
        assert OUTSIDE.search(text)


@pytest.mark.parametrize("name", ["half", "club", "seller"])
def test_words_of_a_record_add_no_tag_and_no_attribute(name: str):
    plain, hostile = Reader(page_of(name)), Reader(page_of(name, words=HOSTILE))

    kinds = {tag for tag, _ in hostile.tags}
    assert kinds == {tag for tag, _ in plain.tags}
    assert {key for _, attrs in hostile.tags for key in attrs} == {key for _, attrs in plain.tags for key in attrs}
    assert "<script>alert(1)</script>" in hostile.text()
    assert "{{ 7 * 7 }}" in hostile.text()
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", page_of(name, words=HOSTILE))


def test_words_of_a_record_keep_their_own_measures():
    text = Reader(page_of("club", units="imperial", words="Outfit of 2 l, run in at 3 bar")).text()

    assert "Outfit of 2 l, run in at 3 bar" in text
    assert "imp pt (" in text


@pytest.mark.parametrize("name", NAMES)
def test_headings_follow_each_other_without_a_gap(name: str):
    levels = [int(tag[1]) for tag, _ in Reader(page_of(name, True)).tags if re.fullmatch(r"h[1-6]", tag)]

    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later <= earlier + 1 for earlier, later in pairwise(levels))


@pytest.mark.parametrize("name", NAMES)
def test_no_name_is_given_twice_and_every_link_leads_somewhere(name: str):
    tags = Reader(page_of(name, True)).tags
    names = [attrs["id"] for _, attrs in tags if "id" in attrs]
    links = [attrs["href"] for tag, attrs in tags if tag == "a"]

    assert len(names) == len(set(names))
    assert links
    assert all(link and link[1:] in names for link in links)


def test_the_same_plan_gives_the_same_page():
    again = plan_html(plan_of("half"), rules(), "owner", False, record_of("half"))

    assert again == page_of("half")
    assert html.escape("Grey twin") in again
