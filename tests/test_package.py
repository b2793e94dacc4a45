"""The wheel and the source archive: both carry the rules, and what is in the wheel works by itself in an empty folder.

Nothing is fetched: the archives are built with the tools that are installed, and the wheel is laid out as files.
"""

import importlib.util
import os
import shutil
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
TOOLS = ("build", "hatchling")
missing = [tool for tool in TOOLS if importlib.util.find_spec(tool) is None]
needs_tools = pytest.mark.skipif(bool(missing), reason=f"to build the archives, install: {', '.join(missing)}")


@pytest.fixture(scope="module")
def archives(tmp_path_factory):
    """Paths of the wheel and the source archive; the wheel is built from what is in the archive."""
    out = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "build", "--no-isolation", "--outdir", str(out), str(ROOT)]
    done = subprocess.run(command, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr
    return next(out.glob("*.whl")), next(out.glob("*.tar.gz"))


def files_of(folder, *endings):
    return {
        str(path.relative_to(ROOT))
        for path in (ROOT / folder).rglob("*")
        if path.is_file() and path.suffix in endings and "__pycache__" not in path.parts
    }


@needs_tools
def test_the_wheel_holds_all_code_templates_and_rules_and_nothing_else(archives):
    with zipfile.ZipFile(archives[0]) as wheel:
        held = {name for name in wheel.namelist() if ".dist-info/" not in name}

    code = files_of("revive", ".py", ".html", ".css")
    rules = {f"revive/{name}" for name in files_of("rules", ".yaml", ".md")}
    assert len(code) > 50 and len(rules) > 80
    assert held == code | rules


@needs_tools
def test_the_source_archive_holds_rules_samples_tests_and_pages(archives):
    with tarfile.open(archives[1]) as archive:
        held = {name.partition("/")[2] for name in archive.getnames()}

    wanted = files_of("revive", ".py", ".html", ".css") | files_of("rules", ".yaml", ".md")
    wanted |= files_of("samples", ".yaml", ".md", ".txt", ".json") | files_of("tests", ".py", ".yaml")
    assert wanted | {"README.md", "DEVELOPERS.md", "pyproject.toml", ".ci/run"} <= held
    assert not [name for name in held if name.endswith(".pyc") or "/.venv/" in name]


@needs_tools
def test_what_is_in_the_wheel_works_in_an_empty_folder(archives, tmp_path):
    installed, empty = tmp_path / "installed", tmp_path / "empty"
    empty.mkdir()
    with zipfile.ZipFile(archives[0]) as wheel:
        wheel.extractall(installed)
    shutil.copy(ROOT / "samples" / "flat-twin" / "1-first-answers.yaml", empty / "twin.yaml")
    settings = {**os.environ, "PYTHONPATH": str(installed), "REVIVE_CACHE": str(tmp_path / "cache")}

    def run(*arguments):
        command = [sys.executable, *arguments]
        return subprocess.run(command, capture_output=True, text=True, cwd=empty, env=settings, encoding="utf-8")

    where = run("-c", "import revive.loading as l; print(l.__file__, l.default_rules_folder())").stdout.split()
    assert all(place.startswith(str(installed)) for place in where)
    assert run("-m", "revive", "note", "twin.yaml", "petrol_smell=none", "--today", "2026-10-04").returncode == 0
    for form in ("terminal", "markdown", "json", "html"):
        done = run("-m", "revive", "plan", "twin.yaml", "--as", form, "--today", "2026-10-04")
        assert (done.returncode, done.stderr) == (0, "") and "Grey flat twin" in done.stdout
    checked = run("-m", "revive", "rules", "check")
    assert checked.returncode == 0 and checked.stdout.startswith("No problem in ")


@needs_tools
def test_the_wheel_says_what_it_is_and_brings_one_command(archives):
    with zipfile.ZipFile(archives[0]) as wheel:
        inside = {name.rpartition("/")[2]: name for name in wheel.namelist() if ".dist-info/" in name}
        about = wheel.read(inside["METADATA"]).decode("utf-8")
        points = wheel.read(inside["entry_points.txt"]).decode("utf-8")

    assert "\nLicense-Expression: MIT\n" in about and "\nRequires-Python: >=3.11\n" in about
    needed = [
        line.split(": ")[1] for line in about.split("\n") if line.startswith("Requires-Dist") and "extra" not in line
    ]
    assert sorted(name.lower().split(">")[0] for name in needed) == ["jinja2", "pyyaml", "questionary", "rich"]
    assert points.split() == ["[console_scripts]", "revive", "=", "revive.__main__:run"]


def test_the_tools_that_build_the_archives_come_with_the_test_extra():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = {line.partition(">")[0] for line in project["optional-dependencies"]["test"]}

    assert set(TOOLS) <= wanted


def test_the_top_level_holds_only_what_the_project_is_made_of():
    kept = {"README.md", "DEVELOPERS.md", "pyproject.toml", "revive", "rules", "tests", "samples"}

    assert {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} == kept
