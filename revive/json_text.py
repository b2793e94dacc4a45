"""Values as JSON text that people can read line by line: one field a line, and one item a line where it holds a list.

The standard library's C code writes every line; it has none for text with margins.
"""

from collections.abc import Mapping
from json import JSONEncoder
from typing import Any

from revive.frozen import Frozen
from revive.text import inert_json


def json_text(value: Any) -> str:
    """An object or a list as JSON, other letters than ASCII as they are, nothing in it that steers a terminal.

    Raises ValueError or TypeError for what JSON has not: a number that is none, a value that is no plain one.
    """
    if isinstance(value, Mapping):
        fields = [f"{_line(name)}: {_items(held, '  ')}" for name, held in value.items()]
        return inert_json(_block("{", fields, "}", ""))
    return inert_json(_items(value, ""))


def _items(value: Any, margin: str) -> str:
    if isinstance(value, list | tuple):
        return _block("[", [_line(item) for item in value], "]", margin)
    return _line(value)


def _block(opens: str, lines: list[str], closes: str, margin: str) -> str:
    if not lines:
        return opens + closes
    inside = f",\n{margin}  ".join(lines)
    return f"{opens}\n{margin}  {inside}\n{margin}{closes}"


def _plain(item: Any) -> dict[str, Any]:
    """What a frozen value or a mapping holds, field by field."""
    if isinstance(item, Frozen):
        return {name: getattr(item, name) for name in item.FIELDS}
    if isinstance(item, Mapping):
        return dict(item)
    raise TypeError(f"{type(item).__name__} is nothing that JSON has")


_line = JSONEncoder(ensure_ascii=False, allow_nan=False, default=_plain).encode
