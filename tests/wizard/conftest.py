"""The shipped rule base and records for conversations."""

from pathlib import Path

import pytest

from revive.loading import default_rules_folder, load_rules
from revive.model import RuleBase

from .ready import record_open_to


@pytest.fixture(scope="session")
def base() -> RuleBase:
    found, problems = load_rules(default_rules_folder())
    assert found is not None, "\n".join(map(str, problems))
    return found


@pytest.fixture(scope="session")
def crank_open(base: RuleBase) -> bytes:
    """A flat twin on which everything before the starter is done and was seen to be well."""
    return record_open_to(base, "crank", layout="flat_twin_wet", starter_kind="electric", cylinders=2.0)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "machine.yaml"
