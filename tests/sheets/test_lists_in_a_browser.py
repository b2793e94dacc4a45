"""The lists as a browser shows and prints them: nothing fetched, nothing wider than the glass, boxes that can be ticked."""

from pathlib import Path

import pytest
from render_machines import TODAY

from revive.cli import main
from sheets.test_lists_pages import BEARINGS


@pytest.fixture(scope="module")
def lists(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("lists")
    record, made = folder / "red.yaml", folder / "lists.html"
    record.write_text(BEARINGS.replace("Red twin (invented)", "W" * 120))
    given = ["--as", "html", "--units", "imperial", "--today", TODAY, "--out", str(made)]
    assert main(["lists", str(record), *given]) == 0
    return made


@pytest.mark.parametrize("width", [320, 360, 794, 1280])
def test_the_lists_fit_their_screen_and_need_nothing_from_outside(browser, lists: Path, width: int):
    said: list[str] = []
    fetched: list[str] = []
    page = browser.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("request", lambda request: fetched.append(request.url))
    page.set_viewport_size({"width": width, "height": 780})
    page.goto(lists.as_uri())

    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert (said, fetched) == ([], [lists.as_uri()])
    page.locator("input[type=checkbox]").first.check()
    assert page.locator("input:checked").count() == 1
    page.close()


def test_each_list_begins_a_sheet_of_paper_and_none_is_cut_off(browser, lists: Path):
    pypdf = pytest.importorskip("pypdf", reason="pypdf is not installed: printed pages are not counted")
    page = browser.new_page()
    page.set_viewport_size({"width": 794 - 91, "height": 1000})
    page.emulate_media(media="print")
    page.goto(lists.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= 794 - 91
    (made := lists.with_suffix(".pdf")).write_bytes(page.pdf(format="A4"))
    page.close()
    sheets = ["".join(sheet.extract_text().split()) for sheet in pypdf.PdfReader(str(made)).pages]
    heads = ("Toasktheworkshop", "Wastetohandin")
    begins = [next(n for n, text in enumerate(sheets) if head in text[:60]) for head in heads]

    assert 0 < begins[0] < begins[1]
    assert begins[1] - begins[0] == 1  # the sheet that the workshop signs is one sheet of paper


def test_an_accessibility_engine_finds_nothing_to_mend(browser, lists: Path):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="no accessibility engine is installed")
    page = browser.new_page()
    page.set_viewport_size({"width": 360, "height": 780})
    page.goto(lists.as_uri())
    found = axe.Axe().run(page).response

    assert [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in found["violations"]] == []
    page.close()
