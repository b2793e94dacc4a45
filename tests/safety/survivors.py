"""What was judged of the changes that nobody can see on a machine, or that are not seen yet: survivors.yaml."""

from pathlib import Path
from typing import Any

import yaml

PLACE = Path(__file__).with_name("survivors.yaml")


def judgements() -> dict[tuple[str, str], str]:
    """Kind and words of a change -> why it survives."""
    loaded: dict[str, Any] = yaml.safe_load(PLACE.read_text("utf-8"))
    return {
        (kind, what): name
        for name, group in loaded.items()
        for kind, changes in group["changes"].items()
        for what in changes
    }
