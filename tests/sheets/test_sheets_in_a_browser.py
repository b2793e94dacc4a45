"""The club's pages and the sale sheet opened in a browser: nothing fetched, nothing said, no sideways scrolling, A4."""

from pathlib import Path

import pytest
from render_machines import TODAY

from revive.cli import main
from sheets.clubs import SAMPLES

PAGES = ("overview.html", "order-list.html", "machines/2-first-day.html", "listing.html")


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("club")
    for name in ("flat-twin/2-first-day", "seller-twin/3-opened", "club-batch/red-soaking"):
        (folder / f"{Path(name).name}.yaml").write_bytes((SAMPLES / f"{name}.yaml").read_bytes())
    long = "W" * 120
    (folder / "long.yaml").write_text(
        f"record: 1\nmachine: {{name: {long}, owner: {long}}}\nanswers: {{cooling: air}}\n"
    )
    (folder / "bad.yaml").write_text(f"record: 1\nanswers: {{{long}: 1}}\n")
    assert main(["club", str(folder), "--today", TODAY]) == 1
    out = folder / "club-sheets"
    sale = ["listing", str(folder / "long.yaml"), "--today", TODAY, "--as", "html", "--out", str(out / "listing.html")]
    assert main(sale) == 0
    return out


@pytest.mark.parametrize("width", [360, 794, 1200])
@pytest.mark.parametrize("name", PAGES)
def test_a_sheet_fits_its_screen_and_needs_nothing_from_outside(browser, sheets: Path, name: str, width: int):
    said: list[str] = []
    fetched: list[str] = []
    page = browser.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: fetched.append(request.url))
    page.set_viewport_size({"width": width, "height": 780})
    page.goto((sheets / name).as_uri())

    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate("document.querySelectorAll('h1').length") == 1
    assert page.evaluate("document.documentElement.lang") == "en-GB"
    assert not said
    assert fetched == [(sheets / name).as_uri()]
    page.close()


def test_links_of_the_overview_lead_to_sheets_that_are_there(browser, sheets: Path):
    page = browser.new_page()
    page.goto((sheets / "overview.html").as_uri())
    links = page.evaluate("[...document.querySelectorAll('a')].map(a => a.getAttribute('href'))")

    assert {"order-list.html", "machines/red-soaking.html"} <= set(links)
    assert all((sheets / link).is_file() for link in links)
    page.close()


@pytest.mark.parametrize("name", ["overview.html", "order-list.html", "listing.html"])
@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_a_sheet_prints_without_cutting_anything_off(browser, sheets: Path, name: str, paper: str):
    page = browser.new_page()
    inside_px = {"A4": 794 - 91, "Letter": 816 - 91}[paper]
    page.set_viewport_size({"width": inside_px, "height": 1000})
    page.emulate_media(media="print")
    page.goto((sheets / name).as_uri())

    assert page.evaluate("document.documentElement.scrollWidth") <= inside_px
    assert page.pdf(format=paper).startswith(b"%PDF")
    page.close()


@pytest.mark.parametrize("width", [360, 1200])
@pytest.mark.parametrize("name", ["overview.html", "order-list.html", "listing.html"])
def test_an_accessibility_engine_finds_nothing_to_mend(browser, sheets: Path, name: str, width: int):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="no accessibility engine is installed")
    page = browser.new_page()
    page.set_viewport_size({"width": width, "height": 780})
    page.goto((sheets / name).as_uri())
    found = axe.Axe().run(page).response

    assert [(rule["id"], rule["nodes"][0]["html"][:200]) for rule in found["violations"]] == []
    assert {"color-contrast", "html-has-lang", "document-title", "heading-order"} <= {r["id"] for r in found["passes"]}
    page.close()
