"""A cache folder of its own for every test, a copy of the small rule base to spoil, and a club's folder to fill."""

import shutil
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("REVIVE_CACHE", str(tmp_path / "cache"))


@pytest.fixture
def rules(tmp_path):
    """The small base as a folder called rules."""
    return Path(shutil.copytree(TESTS / "loading" / "small_base", tmp_path / "rules"))


@pytest.fixture
def club(tmp_path):
    """Writes one file of a club's own folder and gives the folder."""
    folder = tmp_path / "club"

    def write(name: str, text: str) -> Path:
        place = folder / name
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, "utf-8")
        return folder

    return write
