"""Find the Pythons that the project claims to run on, among those that this machine has. Installs nothing."""

import os
import re
import shutil
import subprocess
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]


def project() -> dict:
    """The project table of pyproject.toml."""
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]


def claimed() -> list[str]:
    """Versions that the classifiers name, such as 3.11, in order."""
    found = [re.fullmatch(r"Programming Language :: Python :: (3\.\d+)", line) for line in project()["classifiers"]]
    return [match[1] for match in found if match]


def find(version: str) -> str | None:
    """The path of a Python of this version that starts: on the path, or where version managers keep theirs."""
    home, name = Path.home(), f"python{version}"
    managed = Path(os.environ.get("PYENV_ROOT") or home / ".pyenv") / "versions"
    places = [shutil.which(name), *sorted(managed.glob(f"{version}.*/bin/{name}"))]
    places += sorted((home / ".local" / "share" / "uv" / "python").glob(f"*{version}.*/bin/{name}"))
    for place in filter(None, places):
        asked = "import sys, zlib; print('%d.%d' % sys.version_info[:2])"
        done = subprocess.run([place, "-c", asked], capture_output=True, text=True)
        if done.returncode == 0 and done.stdout.strip() == version:
            return str(place)
    return None
