"""YAML typed as editors type it (YAML 1.2, core schema: 10.3.2): true and false, null, numbers; all else is text."""

import re
from typing import Any

import yaml


class CoreLoader(yaml.CSafeLoader):
    """Only the plain types of the core schema; no dates, no yes and no."""


CoreLoader.yaml_implicit_resolvers = {}
for tag, pattern, first in (
    ("bool", r"true|True|TRUE|false|False|FALSE", "tTfF"),
    ("null", r"~|null|Null|NULL|", "~nN\0"),
    ("int", r"[-+]?[0-9]+", "-+0123456789"),
    ("float", r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?", "-+.0123456789"),
):
    CoreLoader.add_implicit_resolver(f"tag:yaml.org,2002:{tag}", re.compile(rf"^(?:{pattern})$"), list(first))
CoreLoader.add_implicit_resolver("tag:yaml.org,2002:null", re.compile(r"^$"), [""])


def load(text: str | bytes) -> Any:
    """The value of one document."""
    return yaml.load(text, Loader=CoreLoader)
