"""A copy of the small rule base to spoil, and a cache folder of its own for every test."""

import shutil
from pathlib import Path

import pytest

SMALL_BASE = Path(__file__).parent / "small_base"


@pytest.fixture(autouse=True)
def own_cache(tmp_path, monkeypatch):
    monkeypatch.setenv("REVIVE_CACHE", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture
def rules(tmp_path):
    """The small base as a folder called rules."""
    return Path(shutil.copytree(SMALL_BASE, tmp_path / "rules"))
