"""A record to harm, and the program run as a person runs it: as a process of its own."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).resolve().parents[2]
TWIN = ROOT / "samples" / "flat-twin" / "2-first-day.yaml"
Run = Callable[..., "subprocess.CompletedProcess[bytes]"]


@pytest.fixture(scope="session")
def own_cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One cache folder for the tests here, so that the rules are read once."""
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def bugs(tmp_path_factory: pytest.TempPathFactory, own_cache: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Where a report of the program's own fault would be written; a test that leaves one there has found a bug."""
    folder = tmp_path_factory.mktemp("bugs")
    monkeypatch.setenv("TMPDIR", str(folder))
    monkeypatch.setenv("REVIVE_CACHE", str(own_cache))
    yield folder
    assert [path.read_text("utf-8") for path in folder.iterdir()] == []


@pytest.fixture
def twin(tmp_path: Path) -> Path:
    """A copy of a sample in a folder of its own."""
    (tmp_path / "shed").mkdir()
    return Path(shutil.copy(TWIN, tmp_path / "shed" / "twin.yaml"))


@pytest.fixture
def revive(tmp_path: Path) -> Run:
    """Run the program with these arguments; more: as for subprocess.run, `environment` added to this one."""

    def run(*arguments: str | bytes, environment: dict[str, str] | None = None, **more: Any) -> Any:
        command = [sys.executable, "-m", "revive", *arguments]
        wanted = {**os.environ, "PYTHONPATH": str(ROOT), **(environment or {})}
        given = {
            "stdin": subprocess.DEVNULL,
            "stdout": subprocess.PIPE,
            "stderr": subprocess.PIPE,
            "timeout": 120,
            **more,
        }
        if "input" in given:
            del given["stdin"]
        return subprocess.run(command, env=wanted, **given)

    return run


def said(ran: "subprocess.CompletedProcess[bytes]") -> str:
    """What was said on standard error: a sentence, and never a traceback."""
    text = (ran.stderr or b"").decode("utf-8", "replace")
    assert "Traceback" not in text and "fault of the program" not in text, text
    return text
