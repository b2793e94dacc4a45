"""`revive rules schema`: write JSON Schemas for rule files and records, for editors that check YAML while one types."""

import argparse
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from revive.model import ReviveError

PLACES = {
    "rules": "findings/*/*.yaml",
    "questions": "questions/*.yaml",
    "tasks": "tasks/*.yaml",
    "limits": "limits.yaml",
    "sources": "sources.yaml",
    "derived": "derived.yaml",
    "layouts": "layouts.yaml",
    "gates": "gates.yaml",
    "stops": "stops.yaml",
    "claims": "claims.yaml",
    "contradictions": "contradictions.yaml",
    "plausibility": "plausibility.yaml",
    "record": "the machines' records",
}


def run(arguments: argparse.Namespace) -> int:
    """Write every schema into the folder named, or list what there is; 0 when done."""
    from revive.commands.common import rule_base
    from revive.loading.json_record import record_schema
    from revive.loading.json_schema import schemas

    made = {**schemas(arguments.club), "record": record_schema(rule_base(arguments))}
    if not arguments.folder:
        return show_list(made, print)
    return write(made, Path(arguments.folder), print)


def show_list(made: dict[str, dict[str, Any]], echo: Callable[[str], None]) -> int:
    """Name each schema and what it is for."""
    echo("Schemas (JSON Schema, draft 2020-12). Name a folder to write them there: revive rules schema DIR")
    for name in made:
        echo(f"  {name}.schema.json  for {PLACES[name]}")
    return 0


def write(made: dict[str, dict[str, Any]], folder: Path, echo: Callable[[str], None]) -> int:
    """Write NAME.schema.json for each; files of the same names are written anew."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, schema in made.items():
            text = json.dumps(schema, ensure_ascii=False, indent=1) + "\n"
            (folder / f"{name}.schema.json").write_text(text, "utf-8")
    except OSError as error:
        raise ReviveError(f"{error.filename or folder}: cannot be written ({error.strerror})") from None
    echo(f"{len(made)} schemas written to {folder}.")
    echo("An editor with YAML support uses one where the file's first line says so:")
    echo(f"  # yaml-language-server: $schema={(folder / 'rules.schema.json').as_posix()}")
    echo("Whether tasks, questions and stops exist and hang together, only `revive rules check` can tell.")
    return 0
