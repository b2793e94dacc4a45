"""The wheel and the source archive: both carry the rules, and what is in the wheel works by itself in an empty folder.

Nothing is fetched: the archives are built with the tools that are installed, and the wheel is laid out as files, with
copies of the packages that it needs. What has to be fetched to be tried out is in tests/package.
"""

import importlib.util
import os
import re
import shutil
import subprocess
import sys
import tarfile
import zipfile
from importlib import metadata
from pathlib import Path

import pytest
from packaging.requirements import Requirement

sys.path.insert(0, str(Path(__file__).parent / "package"))
from pythons import claimed, find, project

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

    code = files_of("revive", ".py", ".html", ".css") | {"revive/LICENSE"}
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


@needs_tools
def test_the_wheel_brings_its_licence_and_its_page_and_names_only_classes_that_exist(archives):
    with zipfile.ZipFile(archives[0]) as wheel:
        inside = {name.partition(".dist-info/")[2]: name for name in wheel.namelist() if ".dist-info/" in name}
        about = wheel.read(inside["METADATA"]).decode("utf-8")
        licence = wheel.read(inside["licenses/revive/LICENSE"]).decode("utf-8")
    head, _, page = about.partition("\n\n")
    classes = re.findall(r"^Classifier: (.*)$", head, re.MULTILINE)

    assert "Permission is hereby granted, free of charge" in licence and "WITHOUT WARRANTY OF ANY KIND" in licence
    assert "\nLicense-File: revive/LICENSE\n" in head and "\nDescription-Content-Type: text/markdown" in head
    assert page == (ROOT / "README.md").read_text(encoding="utf-8")
    known = pytest.importorskip("trove_classifiers", reason="the list of classifiers is not installed").classifiers
    assert classes and set(classes) <= known and not [name for name in classes if name.startswith("License ::")]


@needs_tools
def test_neither_archive_tells_where_it_was_built(archives):
    marks = [str(ROOT).encode(), str(Path.home()).encode() + b"/", sys.prefix.encode()]
    with zipfile.ZipFile(archives[0]) as wheel, tarfile.open(archives[1]) as archive:
        texts = {name: wheel.read(name) for name in wheel.namelist()}
        texts |= {member.name: archive.extractfile(member).read() for member in archive.getmembers() if member.isfile()}

    assert len(texts) > 500
    assert [name for name, text in texts.items() if any(mark in text for mark in marks)] == []


def needed(names, found=None):
    """Names of installed packages that these need, themselves included."""
    found = set() if found is None else found
    for name in names:
        if name.lower() not in found:
            found.add(name.lower())
            asked = map(Requirement, metadata.requires(name) or ())
            needed([one.name for one in asked if not one.marker or one.marker.evaluate({"extra": ""})], found)
    return found


@pytest.fixture(scope="module")
def laid_out(archives, tmp_path_factory):
    """Folders: the wheel as files, and the packages that it needs without their compiled parts, for any Python."""
    installed, folder = tmp_path_factory.mktemp("wheel"), tmp_path_factory.mktemp("packages")
    with zipfile.ZipFile(archives[0]) as wheel:
        wheel.extractall(installed)
    for name in needed([Requirement(line).name for line in project()["dependencies"]]):
        for file in metadata.files(name) or ():
            if file.suffix in (".py", ".json", ".txt") and ".dist-info" not in str(file) and ".." not in file.parts:
                (folder / file).parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(file.locate(), folder / file)
    return installed, folder


LINES = (
    "note twin.yaml petrol_smell=at_tank --today 2026-12-04 --on 2026-12-04",
    "plan twin.yaml --today 2026-12-04",
    "plan twin.yaml --today 2026-12-04 --as json",
    "plan twin.yaml --today 2026-12-04 --as html",
    "listing twin.yaml --today 2026-12-04",
    "rules show oil-milky",
    "reckon premix ratio=25 petrol_l=4",
)
ALL_IN_ONE = "import sys; from revive.cli import main; sys.exit(any(main(line.split()) for line in sys.argv[1:]))"


def used(python, places, folder, cache):
    """What an installed revive prints in an empty folder, command by command. places: where Python finds it."""
    folder.mkdir()
    shutil.copy(ROOT / "samples" / "flat-twin" / "5-run.yaml", folder / "twin.yaml")
    settings = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    settings |= {"PYTHONPATH": os.pathsep.join(map(str, places)), "REVIVE_CACHE": str(cache), "NO_COLOR": "1"}
    settings |= {"PYTHONWARNINGS": "error", "PYTHONIOENCODING": "utf-8"}
    command = [*python, "-c", ALL_IN_ONE, *LINES]
    done = subprocess.run(command, capture_output=True, text=True, cwd=folder, env=settings, encoding="utf-8")
    assert (done.returncode, done.stderr) == (0, ""), (done.stdout[-1000:], done.stderr[-3000:])
    return done.stdout


@pytest.fixture(scope="module")
def here(laid_out, tmp_path_factory):
    """What is printed under the Python that runs the tests, and the cache that it filled."""
    folder = tmp_path_factory.mktemp("here")
    return used([sys.executable], laid_out[:1], folder / "empty", folder / "cache"), folder / "cache"


@needs_tools
@pytest.mark.parametrize("version", claimed())
def test_every_claimed_python_prints_the_same(version, laid_out, here, tmp_path):
    python = find(version)
    if python is None:
        pytest.skip(f"no Python {version} on this machine")
    said, cache = here

    assert used([python, "-S"], laid_out, tmp_path / "empty", cache) == said
    assert said.count("Grey flat twin") >= 4 and "premix: 160 ml" in said


def test_the_pythons_that_are_claimed_begin_with_the_lowest_that_is_allowed():
    lowest = project()["requires-python"].removeprefix(">=")

    assert claimed()[0] == lowest and len(claimed()) >= 3
    assert f"{sys.version_info[0]}.{sys.version_info[1]}" in claimed()


def test_the_tools_that_build_the_archives_come_with_the_test_extra():
    wanted = {line.partition(">")[0] for line in project()["optional-dependencies"]["test"]}

    assert set(TOOLS) <= wanted


def test_the_top_level_holds_only_what_the_project_is_made_of():
    kept = {"README.md", "DEVELOPERS.md", "pyproject.toml", "revive", "rules", "tests", "samples"}

    assert {path.name for path in ROOT.iterdir() if not path.name.startswith(".")} == kept
