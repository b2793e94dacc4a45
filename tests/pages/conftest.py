"""Opens a page in the browser of the run and watches what it says and fetches."""

from pathlib import Path

import pytest


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
