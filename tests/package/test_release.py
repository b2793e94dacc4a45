"""What is said of a release, tried out with packages fetched from the index: run it before one is made.

    REVIVE_RELEASE=1 .venv/bin/pytest tests/package

The wheel is installed by name of its file into an empty environment of every Python that the project claims, once with
the newest packages that fit and once with the lowest that pyproject.toml allows; then it is used, and beside the lowest a part
of the tests is run. Without the variable nothing is fetched, and all of this is skipped.
"""

import os
import re
import shutil
import subprocess
import sys

import pytest
from pythons import ROOT, claimed, find, project

pytestmark = pytest.mark.skipif(
    "REVIVE_RELEASE" not in os.environ, reason="fetches packages: set REVIVE_RELEASE=1 to try a release out"
)
PART = (
    "tests/loading",
    "tests/engine",
    "tests/wizard",
    "tests/commands",
    "tests/test_units.py",
    "tests/test_kleene.py",
)
DAY = ("--today", "2026-10-04")


def run(*command, **more):
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True, encoding="utf-8", **more)
    assert done.returncode == 0, f"{command}\n{done.stdout[-3000:]}{done.stderr[-3000:]}"
    return done.stdout


@pytest.fixture(scope="module")
def archives(tmp_path_factory):
    """The wheel and the source archive, built as anybody would: in isolation, with what the build asks for."""
    out = tmp_path_factory.mktemp("dist")
    run(sys.executable, "-m", "build", "--outdir", out, ROOT)
    return next(out.glob("*.whl")), next(out.glob("*.tar.gz"))


@pytest.fixture(params=claimed())
def python(request):
    found = find(request.param)
    if found is None:
        pytest.skip(f"no Python {request.param} on this machine")
    return found


def environment(python, folder, *wanted):
    """A new environment with these packages; its folder of programs."""
    run(python, "-m", "venv", folder)
    run(folder / "bin" / "python", "-m", "pip", "install", "--quiet", "--disable-pip-version-check", *wanted)
    run(folder / "bin" / "python", "-m", "pip", "check")
    return folder / "bin"


def lowest():
    """The four packages at the lowest version that pyproject.toml allows."""
    return [line.replace(">=", "==") for line in project()["dependencies"]]


def use(programs, folder):
    """Use the installed command in an empty folder, away from the checkout; the plans that it printed."""
    folder.mkdir()
    shutil.copy(ROOT / "samples" / "flat-twin" / "1-first-answers.yaml", folder / "twin.yaml")
    settings = {name: value for name, value in os.environ.items() if not name.startswith("PYTHON")}
    settings |= {"REVIVE_CACHE": str(folder / "cache"), "PYTHONWARNINGS": "error", "NO_COLOR": "1"}

    def revive(*arguments, **more):
        return run(programs / "revive", *arguments, cwd=folder, env=settings, **more)

    assert re.fullmatch(r"revive \d+\.\d+\.\d+\n", revive("--version"))
    assert revive("rules", "check").startswith("No problem in ")
    revive("note", "twin.yaml", "petrol_smell=none", *DAY)
    plans = [revive("plan", "twin.yaml", "--as", form, *DAY) for form in ("terminal", "markdown", "json", "html")]
    assert all("Grey flat twin" in plan for plan in plans)
    revive("looks", "twin.yaml", *DAY)
    revive("listing", "twin.yaml", "--as", "html", *DAY)
    (folder / "club").mkdir()
    for number in range(42):
        shutil.copy(folder / "twin.yaml", folder / "club" / f"{number}.yaml")
    revive("club", "club", *DAY)
    return plans


def part_of_the_tests(programs):
    """Run a part of the checkout's tests with the packages that are installed there."""
    said = run(programs / "python", "-m", "pytest", "-x", "-p", "no:cacheprovider", *PART, cwd=ROOT)
    assert int(re.search(r"(\d+) passed", said)[1]) > 100


def test_the_newest_packages_that_fit_do_on_every_claimed_python(python, archives, tmp_path):
    use(environment(python, tmp_path / "new", archives[0]), tmp_path / "empty")


def test_the_lowest_packages_that_are_allowed_do_on_every_claimed_python(python, archives, tmp_path):
    tools = ["pytest", "pexpect", "hypothesis", "jsonschema"]
    programs = environment(python, tmp_path / "low", archives[0], *lowest(), *tools)
    held = run(programs / "python", "-m", "pip", "freeze").lower().replace("-", "_")

    for line in lowest():
        name, _, version = line.lower().partition("==")
        assert re.search(rf"^{name}=={re.escape(version)}(\.0)*$", held, re.MULTILINE), held
    use(programs, tmp_path / "empty")
    part_of_the_tests(programs)


def test_lowest_and_newest_packages_print_the_same_plans(archives, tmp_path):
    one = use(environment(sys.executable, tmp_path / "low", archives[0], *lowest()), tmp_path / "empty-low")
    two = use(environment(sys.executable, tmp_path / "new", archives[0]), tmp_path / "empty-new")

    assert one == two


def test_the_source_archive_installs_by_itself(archives, tmp_path):
    use(environment(sys.executable, tmp_path / "source", archives[1]), tmp_path / "empty")


def test_the_lowest_build_tool_that_is_allowed_builds_the_same_wheel(archives, tmp_path):
    programs = environment(sys.executable, tmp_path / "tools", "hatchling==1.27", "build")
    run(programs / "python", "-m", "build", "--no-isolation", "--wheel", "--outdir", tmp_path / "dist", ROOT)
    import zipfile

    names = [
        {name for name in zipfile.ZipFile(wheel).namelist() if ".dist-info/" not in name}
        for wheel in (archives[0], next((tmp_path / "dist").glob("*.whl")))
    ]
    assert names[0] == names[1]


def test_the_index_would_take_both_archives_and_show_the_page(archives, tmp_path):
    programs = environment(sys.executable, tmp_path / "twine", "twine")
    said = run(programs / "twine", "--no-color", "check", "--strict", *archives)

    assert said.count("PASSED") == 2


def test_an_older_python_is_refused(archives, tmp_path):
    older = next(filter(None, map(find, ("3.10", "3.9"))), None)
    if older is None:
        pytest.skip("no Python older than 3.11 on this machine")
    run(older, "-m", "venv", tmp_path / "old")
    command = [tmp_path / "old" / "bin" / "python", "-m", "pip", "install", "--no-deps", str(archives[0])]
    done = subprocess.run(command, capture_output=True, text=True)

    assert done.returncode != 0 and ">=3.11" in done.stdout + done.stderr
