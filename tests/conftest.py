"""A browser for every test that opens a page, one a file; such tests are skipped, saying so, where there is none."""

import shutil

import pytest

FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run"),
    *("--disable-background-networking", "--disable-component-update", "--disable-sync"),
)


@pytest.fixture(scope="module")
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
