"""What every JSON Schema of the rule files is built from: texts, numbers, lists, conditions, sources. Reads no file.

Values are as YAML 1.2 types them, so a text may come as a number (`edition: 2005`); our own loader keeps both as typed.
"""

from collections.abc import Mapping, Sequence
from typing import Any

from revive.loading.entry import ID, OVERLAY_KEYS, RESERVED_NAMES
from revive.model import RESERVED_SOURCES

Schema = dict[str, Any]
DIALECT = "https://json-schema.org/draft/2020-12/schema"

DECIMAL = r"^-?[0-9]+(\.[0-9]+)?$"
TEXT: Schema = {"type": ["string", "number"], "pattern": r"\S"}
WORD: Schema = {"type": ["string", "number"], "minLength": 1}
NUMBER: Schema = {"anyOf": [{"type": "number"}, {"type": "string", "pattern": DECIMAL, "maxLength": 20}]}
FLAG: Schema = {"type": "boolean"}
CONDITION: Schema = {"$ref": "#/$defs/condition"}
SOURCE: Schema = {"$ref": "#/$defs/source"}
_CONDITION_WORDS = ["all", "any", "not", "when", "then", "done", "always"]
_OPERATORS = ("at_least", "more_than", "at_most", "less_than")


def whole(least: int = 0) -> Schema:
    """A whole number from `least`."""
    return {"anyOf": [{"type": "integer", "minimum": least}, {"type": "string", "pattern": r"^[0-9]+$"}]}


def some(item: Schema, **more: Any) -> Schema:
    """A list; one item may stand without brackets."""
    return {"anyOf": [item, {"type": "array", "items": item, **more}]}


NAMES = some(WORD, uniqueItems=True)
TEXTS = some(TEXT)


def one_of(words: Sequence[str]) -> Schema:
    """One of some fixed words."""
    return {"enum": list(words)}


def mapping(keys: Mapping[str, Schema], needed: Sequence[str] = (), **more: Any) -> Schema:
    """A mapping with these keys and no other."""
    return {
        "type": "object",
        "properties": dict(keys),
        "required": list(needed),
        "additionalProperties": False,
        **more,
    }


def by_id(entry: Schema, ids: Schema | None = None) -> Schema:
    """Entries under their ids."""
    names = {"pattern": f"^{ID.pattern}$", "not": {"enum": list(RESERVED_NAMES)}}
    return {"type": "object", "propertyNames": ids or names, "additionalProperties": entry}


def entry(keys: Mapping[str, Schema], needed: Sequence[str], overlay: bool, **more: Any) -> Schema:
    """One entry under its id; in a club's folder it may say what it overrides, who approved it and why."""
    return mapping({**keys, **(dict.fromkeys(OVERLAY_KEYS, TEXT) if overlay else {})}, needed, **more)


def whole_schema(title: str, body: Schema) -> Schema:
    """A schema that stands alone: the dialect, its title, and what every kind of file refers to."""
    defs = {"condition": condition(), "source": source_reference()}
    return {"$schema": DIALECT, "title": title, **body, "$defs": defs}


def condition() -> Schema:
    def only(key: str, value: Schema) -> Schema:
        return mapping({key: value}, (key,))

    parts: Schema = {"type": "array", "minItems": 1, "items": CONDITION}
    reference: Schema = {**WORD, "description": "a number, the name of a limit, or a numeric question"}
    times: Schema = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string", "pattern": DECIMAL}]}
    comparison = mapping(
        {"has": WORD, **dict.fromkeys(_OPERATORS, reference), "times": times},
        minProperties=1,
        dependentSchemas={"times": {"anyOf": [{"required": [key]} for key in _OPERATORS]}},
    )
    answer = {"anyOf": [WORD, {"type": "array", "minItems": 1, "uniqueItems": True, "items": WORD}, comparison]}
    return {
        "anyOf": [
            only("all", parts),
            only("any", parts),
            only("not", CONDITION),
            mapping({"when": CONDITION, "then": CONDITION}, ("when", "then")),
            only("done", WORD),
            only("always", {"const": True}),
            {
                "type": "object",
                "minProperties": 1,
                "propertyNames": {"not": {"enum": _CONDITION_WORDS}},
                "additionalProperties": answer,
            },
        ]
    }


def source_reference() -> Schema:
    reserved = {"properties": {"id": {"enum": list(RESERVED_SOURCES)}}, "required": ["id", "where"]}
    one = {"anyOf": [WORD, mapping({"id": TEXT, "where": TEXT}, ("id",), **{"not": reserved})]}
    return {"anyOf": [one, {"type": "array", "minItems": 1, "items": one}]}
