"""The sheet tests share the random records of the second opinion and the machines of the render tests."""

import shutil
import sys
from pathlib import Path

import pytest

TESTS = Path(__file__).parents[1]
for place in (TESTS, TESTS / "render"):
    if str(place) not in sys.path:
        sys.path.insert(0, str(place))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Four good records."""
    from sheets.clubs import GOOD, SAMPLES

    made = tmp_path / "club"
    made.mkdir()
    for name in GOOD:
        shutil.copy(SAMPLES / f"{name}.yaml", made)
    return made
