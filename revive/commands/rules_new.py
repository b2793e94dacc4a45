"""`revive rules new`: write a complete skeleton of a rule, question or task into the right file. Overwrites nothing."""

import argparse
from pathlib import Path

from revive.skeleton import add_skeleton, ids_in


def run(arguments: argparse.Namespace) -> int:
    """Write the skeleton and say what to fill in; 0 when done, ReviveError where it cannot be written."""
    from revive.loading import default_rules_folder

    folder, shipped = Path(arguments.folder), Path(arguments.rules or default_rules_folder())
    same = folder.resolve() == shipped.resolve()
    own = (folder / "gates.yaml").is_file() and (folder / "layouts.yaml").is_file()  # a whole rule base of its own
    known = {} if same or own else dict(ids_in(shipped, arguments.kind))
    made = add_skeleton(folder, arguments.kind, arguments.id, arguments.subject, known)
    print(f"Wrote {made.file.as_posix()}, line {made.line}: an empty {arguments.kind} called {arguments.id}.")
    print("Fill in, and take out the lines that are not wanted:")
    for key, _, hint in made.fields:
        print(f"  {key + ':':12} {hint}")
    print(f"Then: revive rules check {'' if same or own else '--extra '}{arguments.folder}")
    return 0
