"""The page as a browser shows it: nothing fetched, nothing wider than the glass, readable, printable."""

import io
from unicodedata import normalize

import pytest
from page_machines import HOSTILE, page_of, plan_of, record_of, rules

from revive.render.page import plan_html

SHOWN = ("half", "bare", "club")
PHONE, A4, CARDS = 360, 794, 16


@pytest.mark.parametrize("name", SHOWN)
def test_the_page_opens_without_a_word_on_the_console_and_fetches_nothing(opened, name: str):
    page = opened(page_of(name))

    assert page.said == []
    assert len(page.fetched) == 1
    assert page.fetched[0].startswith("file:")


@pytest.mark.parametrize("width", [320, PHONE, A4, 1280])
@pytest.mark.parametrize("name", SHOWN)
def test_nothing_is_wider_than_the_glass(opened, name: str, width: int):
    page = opened(page_of(name, full=name == "half", units="imperial"), width)

    wider = page.evaluate(
        """() => [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
           .slice(0, 5).map(e => e.outerHTML.slice(0, 120))"""
    )

    assert wider == []
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize(("name", "width"), [("half", PHONE), ("bare", 1280), ("club", PHONE)])
def test_an_accessibility_engine_finds_nothing_to_mend(opened, name: str, width: int):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="no accessibility engine is installed")
    page = opened(page_of(name), width)

    found = axe.Axe().run(page).response

    assert [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in found["violations"]] == []
    checked = {rule["id"] for rule in found["passes"]}
    assert {"color-contrast", "svg-img-alt", "label", "html-has-lang", "document-title", "heading-order"} <= checked


def test_the_engine_would_have_seen_faint_words_and_a_picture_without_words(opened):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="no accessibility engine is installed")
    spoilt = page_of("half").replace("color: var(--soft)", "color: #bbb").replace("<title id=", "<g id=")
    page = opened(spoilt.replace("</title><desc", "</g><desc").replace(' aria-labelledby="picture-', ' data-was="'))

    found = {rule["id"] for rule in axe.Axe().run(page).response["violations"]}

    assert {"color-contrast", "svg-img-alt"} <= found


def printed(page, paper: str):
    """The printed pages, with their words on demand: without spaces, and letters that were joined taken apart."""
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed: printed pages are not counted")
    sheets = pypdf.PdfReader(io.BytesIO(page.pdf(format=paper))).pages
    return [lambda sheet=sheet: folded(sheet.extract_text()) for sheet in sheets]


def folded(text: str) -> str:
    return "".join(normalize("NFKC", text).split())


@pytest.mark.parametrize(("name", "paper", "most"), [("half", "A4", 25), ("half", "Letter", 26), ("bare", "A4", 14)])
def test_page_one_stands_alone_on_the_first_sheet_of_paper(opened, name: str, paper: str, most: int):
    sheets = printed(opened(page_of(name)), paper)
    first, second = sheets[0](), sheets[1]()

    assert folded("Grey twin: plan of 25 November 2026") in first
    assert folded("Sale words") in first  # the last row of the gates
    assert folded("The next working day") in second
    assert folded("What is in this plan") not in first + second
    assert len(sheets) <= most


@pytest.mark.parametrize(
    ("reader", "last"), [("club_officer", "Plan handed over. Officer, date"), ("seller", "No buyer tries")]
)
def test_page_one_of_each_reader_is_one_sheet_even_with_many_stops(opened, reader: str, last: str):
    text = plan_html(plan_of("half"), rules(), reader, record=record_of("half"))

    for paper in ("A4", "Letter"):
        first, second = (words() for words in printed(opened(text), paper)[:2])
        assert folded(last) in first
        assert folded("Sale words") in first  # the last row of the gates
        assert folded("The next working day") in second


@pytest.mark.parametrize(("name", "paper"), [("half", "A4"), ("touch", "Letter")])
def test_a_card_that_fits_on_paper_is_not_split(opened, name: str, paper: str):
    cards = tuple(task.id for task in plan_of(name).tasks if task.state == "to_do")[:CARDS]
    page = opened(plan_html(plan_of(name), rules(), "owner", record=record_of(name), cards=cards))
    heads = page.evaluate(
        """() => Object.fromEntries([...document.querySelectorAll('.card:not(.long)')].map(
           e => [e.id.slice(5), e.querySelector('h3').textContent]))"""
    )

    words = [read() for read in printed(page, paper)]
    split = [
        number
        for number, head in heads.items()
        if not any(folded(head) in text and f"Task{number}isdone" in text for text in words)
    ]

    assert 5 < len(heads) <= CARDS
    assert split == []


def test_the_path_of_gates_is_seen_on_page_one(opened):
    page = opened(page_of("half"), A4)

    box = page.locator("#page-one svg.picture").bounding_box()

    assert box["width"] > 200
    assert box["y"] < 700


def test_words_of_a_record_do_nothing(opened):
    page = opened(page_of("half", words=HOSTILE))

    assert page.said == []
    assert (
        page.evaluate("document.querySelectorAll('script, img, iframe, object, [onerror], [onload], [onfocus]').length")
        == 0
    )
    assert page.evaluate("[...document.querySelectorAll('a')].every(e => e.getAttribute('href').startsWith('#'))")
    assert "<script>alert(1)</script>" in page.evaluate("document.querySelector('h1').textContent")
