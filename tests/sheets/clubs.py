"""A club's folder for the tests: four of the samples, and how its sheets are read."""

import csv
import html
import re
from pathlib import Path

from render_machines import TODAY

from revive.cli import main

SAMPLES = Path(__file__).parents[2] / "samples"
GOOD = ("flat-twin/2-first-day", "seller-twin/3-opened", "club-batch/red-soaking", "club-batch/white-first-answers")


def club(folder: Path, *more: str) -> int:
    return main(["club", str(folder), "--today", TODAY, *more])


def read(folder: Path, name: str) -> str:
    return (folder / "club-sheets" / name).read_text(encoding="utf-8")


def rows(folder: Path, name: str) -> list[dict[str, str]]:
    with open(folder / "club-sheets" / name, encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def as_read(page: str) -> str:
    return " ".join(html.unescape(re.sub(r"<style>.*?</style>|<[^>]+>", " ", page, flags=re.S)).split())


def stamps(folder: Path) -> dict[str, int]:
    return {path.name: path.stat().st_mtime_ns for path in (folder / "club-sheets" / "machines").iterdir()}
