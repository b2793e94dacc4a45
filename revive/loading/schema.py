"""Files of a rules folder -> model objects in one Gathered. Says which file may hold what; checks no references."""

from collections.abc import Callable

from revive.loading import schema_basics, schema_questions, schema_rules, schema_tasks
from revive.loading.entry import shape
from revive.loading.gathered import Gathered
from revive.loading.yaml_lines import Map, read
from revive.problems import nearest, quoted

Reader = Callable[[Gathered, str, Map], None]

TOP_FILES: dict[str, Reader] = {
    "limits.yaml": schema_basics.limits,
    "sources.yaml": schema_basics.sources,
    "derived.yaml": schema_basics.facts,
    "layouts.yaml": schema_basics.layouts,
    "gates.yaml": schema_rules.gates,
    "stops.yaml": schema_rules.stops,
    "claims.yaml": schema_rules.claims,
    "contradictions.yaml": schema_rules.contradictions,
    "plausibility.yaml": schema_rules.oddities,
}
"""Files that stand at the top of the folder, in the order in which they are read; questions come after limits."""

_ORDER = ("sources.yaml", "limits.yaml", "questions", "derived.yaml", "layouts.yaml", "gates.yaml", "tasks")
NEEDED = ("questions/", "tasks/", "findings/", "gates.yaml", "layouts.yaml", "sources.yaml")
_KINDS = {
    "questions": ("question",),
    "derived.yaml": ("fact",),
    "layouts.yaml": ("layout",),
    "limits.yaml": ("limit",),
    "sources.yaml": ("source",),
    "gates.yaml": ("gate",),
    "stops.yaml": ("stop",),
    "tasks": ("task",),
    "findings": ("rule",),
}
_PLACES = "questions/NAME.yaml, tasks/NAME.yaml, findings/SYSTEM/SUBJECT.yaml"


def gather(gathered: Gathered, shown_folder: str, files: dict[str, bytes], overlay: bool) -> None:
    """Read one folder into `gathered`. files: path below the folder, with "/" -> content; shown_folder: its name."""
    gathered.overlay = overlay
    gathered.files += len(files)
    wanted: list[tuple[str, Map, Reader]] = []
    for path in sorted(files, key=_reading_order):
        reader = _reader_of(path)
        shown = f"{shown_folder}/{path}"
        if reader is None:
            if not path.endswith("README.md"):
                _unknown_file(gathered, shown, path)
            continue
        document = read(files[path], shown)
        gathered.problems += document.problems
        if isinstance(document.value, Map):
            wanted.append((shown, document.value, reader))
            continue
        gathered.unread.update(_KINDS.get(path.split("/")[0], ()))
        if not document.problems:
            found = "nothing" if document.value is None else shape(document.value)
            mend = "Fill it in, or delete the file."
            gathered.problem(shown, 1, "empty-file", f"the file holds {found}; keys with values were expected", mend)
    for _, top, reader in wanted:
        if reader is schema_basics.limits and isinstance(top.get("limits"), Map):
            gathered.limit_names |= set(top["limits"])
    for shown, top, reader in wanted:
        reader(gathered, shown, top)
    if not overlay:
        for path in NEEDED:
            if not any(name == path or (path.endswith("/") and name.startswith(path)) for name in files):
                what = f"the rule base has no {path}"
                gathered.unread.update(_KINDS.get(path.rstrip("/"), ()))
                gathered.problem(shown_folder, 1, "missing-file", what, f"Put {path} there; the shipped base has one.")


def _reading_order(path: str) -> tuple[int, str]:
    first = path.split("/")[0]
    return (_ORDER.index(first) if first in _ORDER else len(_ORDER), path)


def _reader_of(path: str) -> Reader | None:
    parts = path.split("/")
    if not path.endswith(".yaml"):
        return None
    if len(parts) == 1:
        return TOP_FILES.get(path)
    if len(parts) == 2 and parts[0] == "questions":
        return schema_questions.questions
    if len(parts) == 2 and parts[0] == "tasks":
        return schema_tasks.tasks
    if len(parts) == 3 and parts[0] == "findings":
        return schema_rules.rules
    return None


def _unknown_file(gathered: Gathered, shown: str, path: str) -> None:
    close = nearest(path, [*TOP_FILES, "README.md"]) if "/" not in path else ""
    mend = f"Did you mean {close}?" if close else f"Rule files are {_PLACES}, README.md and {', '.join(TOP_FILES)}."
    gathered.problem(shown, 1, "unknown-file", f"nothing reads a file called {quoted(path)}", mend)
