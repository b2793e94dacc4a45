"""A browser for the page tests, one for the whole run; the tests are skipped, saying so, where there is none."""

import shutil
from pathlib import Path

import pytest

FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)


@pytest.fixture(scope="session")
def browser(tmp_path_factory: pytest.TempPathFactory):
    """A headless Chromium with an empty profile of its own."""
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if program is None:
        pytest.skip("no Chromium on this machine: pages are not opened")
    playwright = pytest.importorskip("playwright.sync_api", reason="playwright is not installed: pages are not opened")
    with playwright.sync_playwright() as driver:
        context = driver.chromium.launch_persistent_context(
            str(tmp_path_factory.mktemp("profile")), executable_path=program, args=list(FLAGS)
        )
        yield context
        context.close()


@pytest.fixture
def opened(browser, tmp_path: Path):
    """Opens a page's text; at the end nothing may have been fetched and nothing been said on the console."""
    said: list[str] = []
    fetched: list[str] = []
    page = browser.new_page()
    page.on("console", lambda message: said.append(message.text))
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: fetched.append(request.url))

    def open_page(text: str, width: int = 360):
        path = tmp_path / "plan.html"
        path.write_text(text, encoding="utf-8")
        page.set_viewport_size({"width": width, "height": 780})
        page.goto(path.as_uri())
        page.said, page.fetched = said, fetched
        return page

    yield open_page
    page.close()
