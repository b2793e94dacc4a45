"""Make again what is shown: the plans and sheets beside the sample records, README.md's outputs and its picture.

Run it as: python tests/make_samples.py. Changes no record.

Each record gives NAME.plan.txt, NAME.plan.md and NAME.plan.json, made through the command line, as of the day of the
record's newest entry; some give a page or a sale sheet as well, and the club's records their sheets. The digest of the
rule base is left out of them, so that a comment in a rule file changes none. The picture is that of a page's first sheet.
"""

import io
import re
import shutil
import sys
from collections.abc import Iterator
from contextlib import redirect_stderr, redirect_stdout
from itertools import chain
from pathlib import Path
from tempfile import TemporaryDirectory

ROOT = Path(__file__).resolve().parent.parent
SAMPLES = ROOT / "samples"
FORMS = {"terminal": "plan.txt", "markdown": "plan.md", "json": "plan.json"}
PAGES = ("flat-twin/2-first-day", "seller-twin/3-opened")
LISTINGS = {"seller-twin/5-run": {"text": "listing.txt", "html": "listing.html"}}
CLUB = SAMPLES / "club-batch"
CLUB_SHEETS = CLUB / "sheets"
PICTURE, PICTURED = SAMPLES / "page-one.png", SAMPLES / "flat-twin" / "2-first-day.plan.html"
PICTURE_VIEW, PICTURE_SCALE = {"width": 794, "height": 1123}, 1.25  # A4 at 96 to the inch
NO_DIGEST = "(left out)"
_DAY = re.compile(r"\bon: (\d{4}-\d\d-\d\d)")
_DIGEST = re.compile(r"(?:(?<=rule base )|(?<=rule\nbase )|(?<=\"digest\": \"))[0-9a-f]{12,64}")


def records() -> list[Path]:
    """Every sample record, in order of name."""
    return sorted(SAMPLES.glob("*/*.yaml"))


def day_of(record: Path) -> str:
    """The newest date in a record: its plan is made as of that day."""
    return max(_DAY.findall(record.read_text(encoding="utf-8")))


def plans_of(record: Path) -> Iterator[tuple[Path, str]]:
    """The plans that a record gives: where each is kept, and its text."""
    for form, ending in forms_of(record).items():
        yield record.with_suffix(f".{ending}"), _said("plan", record, form)


def name_of(record: Path) -> str:
    """A record's folder and name, as the stories tell it."""
    return str(record.relative_to(SAMPLES).with_suffix(""))


def forms_of(record: Path) -> dict[str, str]:
    """Form -> ending of the plans that are kept beside a record."""
    return {**FORMS, "html": "plan.html"} if name_of(record) in PAGES else FORMS


def sheets() -> Iterator[tuple[Path, str]]:
    """Sale descriptions and the club's sheets: where each is kept, and its text."""
    for name, forms in LISTINGS.items():
        record = SAMPLES / f"{name}.yaml"
        for form, ending in forms.items():
            yield record.with_suffix(f".{ending}"), _said("listing", record, form)
    day = max(day_of(record) for record in records() if record.parent == CLUB)
    with TemporaryDirectory() as folder:
        _run(["club", str(CLUB), "--as", "html", "--out", folder, "--today", day])
        for made in sorted(Path(folder).rglob("*.html")):
            text = _DIGEST.sub(NO_DIGEST, made.read_text(encoding="utf-8"))
            yield CLUB_SHEETS / made.relative_to(folder), text


def _said(command: str, record: Path, form: str) -> str:
    return _DIGEST.sub(NO_DIGEST, _run([command, str(record), "--as", form, "--today", day_of(record)]))


def _run(arguments: list[str]) -> str:
    from revive.cli import main

    out = io.StringIO()
    with redirect_stdout(out), redirect_stderr(io.StringIO()):
        code = main(arguments)
    if code:
        raise SystemExit(f"revive {' '.join(arguments)} ended with {code}")
    return out.getvalue()


def make() -> int:
    """Write every plan and sheet that differs from what is kept; how many were written."""
    written = 0
    for place, text in chain(*map(plans_of, records()), sheets()):
        if not place.exists() or place.read_bytes() != text.encode("utf-8"):
            place.parent.mkdir(parents=True, exist_ok=True)
            place.write_bytes(text.encode("utf-8"))
            print(place.relative_to(ROOT))
            written += 1
    return written


def make_picture() -> bool:
    """Take the picture of a page's first sheet again; False where no browser is at hand."""
    program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        return False
    if program is None:
        return False
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=["--headless", "--no-sandbox", "--disable-gpu"])
        page = browser.new_page(viewport=PICTURE_VIEW, device_scale_factor=PICTURE_SCALE)
        page.goto(PICTURED.as_uri())
        page.add_style_tag(content="nav, section:not(.first) { display: none } main { padding-bottom: 1rem }")
        page.locator("main").screenshot(path=PICTURE)
        browser.close()
    return True


def make_readme() -> bool:
    """Write the outputs that README.md shows again; whether any differed."""
    from shown_commands import Bench, remake

    with TemporaryDirectory() as folder:
        return remake(ROOT / "README.md", Bench(Path(folder)))


if __name__ == "__main__":
    sys.path.insert(0, str(ROOT))
    print(f"{make()} plans and sheets written, {len(records())} records.")
    print("Picture taken." if make_picture() else "No browser is at hand: the picture is as it was.")
    print("README.md written." if make_readme() else "README.md is as it was.")
