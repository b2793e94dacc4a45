"""JSON Schemas (draft 2020-12) for every kind of rule file, for editors that check while one writes. Reads no file.

A schema sees the shape of one file: keys, kinds of values, the few fixed words. What hangs on other files (does the
task exist, can the stop be cleared) only `revive rules check` can tell.
"""

from collections.abc import Mapping, Sequence

from revive.loading import schema_basics, schema_rules, schema_tasks
from revive.loading.entry import CHOICE_ID, ID, RESERVED_ANSWERS, RESERVED_NAMES
from revive.loading.json_parts import (
    CONDITION,
    DECIMAL,
    FLAG,
    NAMES,
    NUMBER,
    SOURCE,
    TEXT,
    TEXTS,
    WORD,
    Schema,
    by_id,
    entry,
    mapping,
    one_of,
    some,
    whole,
    whole_schema,
)
from revive.model import GATES, RESERVED_SOURCES, SEVERITIES, WHO


def schemas(overlay: bool = False) -> dict[str, Schema]:
    """Name of the schema -> schema, one for each kind of rule file. overlay: for a club's own folder."""
    made = {
        "rules": _file("Findings of one subject", {"about": TEXT, "rules": by_id(_rule(overlay))}, ("about", "rules")),
        "questions": _questions(overlay),
        "tasks": _file(
            "Work of one subject", {"about": TEXT, "order": NUMBER, "tasks": by_id(_task(overlay))}, ("about", "tasks")
        ),
        "limits": _listed("Shared numbers", "limits", _limit(overlay)),
        "sources": _listed(
            "Published sources",
            "sources",
            _source(overlay),
            {"pattern": f"^{ID.pattern}$", "not": {"enum": [*RESERVED_NAMES, *RESERVED_SOURCES]}},
        ),
        "derived": _listed("Derived facts", "facts", _fact(overlay)),
        "layouts": _listed("Engine layouts", "layouts", _layout(overlay)),
        "gates": _listed("The seven gates", "gates", _gate(overlay), one_of(GATES)),
        "stops": _listed("Named dangers", "stops", _stop(overlay)),
        "claims": _claims(overlay),
        "contradictions": _listed("Answers that cannot both be so", "contradictions", _contradiction(overlay)),
        "plausibility": _listed("Answers to ask again about", "oddities", _oddity(overlay)),
    }
    return made


def _file(title: str, keys: Mapping[str, Schema], needed: Sequence[str]) -> Schema:
    return whole_schema(title, mapping(keys, needed))


def _listed(title: str, key: str, entry: Schema, ids: Schema | None = None) -> Schema:
    return _file(title, {"about": {}, key: by_id(entry, ids)}, (key,))


def _rule(overlay: bool) -> Schema:
    gates = some(one_of(GATES), uniqueItems=True)
    example = mapping(
        {
            "given": {"type": "object", "properties": {"done": NAMES}, "additionalProperties": _answer()},
            "is": one_of(schema_rules.STATES),
            "on": {"type": "string", "pattern": r"^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])$"},
        },
        ("given", "is"),
    )
    keys = {
        "when": CONDITION,
        "finding": TEXT,
        "why": TEXT,
        "severity": one_of(SEVERITIES),
        "adds": NAMES,
        "holds": {"anyOf": [*gates["anyOf"], mapping(dict.fromkeys(GATES, NAMES))]},
        "stop": TEXT,
        "source": SOURCE,
        "not_for": TEXT,
        "examples": some(example),
    }
    needs_stop = {"if": {"properties": {"severity": {"const": "stop"}}, "required": ["severity"]}}
    return entry(
        keys, ("when", "finding", "severity", "source"), overlay, **needs_stop, **{"then": {"required": ["stop"]}}
    )


def _answer() -> Schema:
    return {"type": ["string", "number", "array"]}


def _questions(overlay: bool) -> Schema:
    keys = {"stage": whole(1), "title": TEXT, "caution": TEXT, "questions": by_id(_question(overlay))}
    needed = ("stage", "questions") if overlay else tuple(keys)
    return _file("One stage of the interview", keys, needed)


def _question(overlay: bool) -> Schema:
    choice_ids = {"pattern": f"^{CHOICE_ID.pattern}$", "not": {"enum": list(RESERVED_ANSWERS)}}
    worked_out = mapping(
        {"from": TEXT, "from_layout": TEXT, "plus": NUMBER, "at_least": NUMBER},
        oneOf=[{"required": ["from"]}, {"required": ["from_layout"]}],
    )
    readings = mapping(
        {"what": TEXT, "take": one_of(("least", "most", "last", "sum")), "one_per": TEXT, "field": TEXT},
        ("what", "take"),
    )
    keys: dict[str, Schema] = {
        "ask": TEXT,
        "kind": one_of(("choice", "many", "number", "yes_no")),
        "choices": {"type": "object", "propertyNames": choice_ids, "additionalProperties": TEXT},
        "unit": TEXT,
        "range": {"type": "array", "items": NUMBER, "minItems": 2, "maxItems": 2},
        **dict.fromkeys(("how", "caution", "why", "costs"), TEXT),
        "worst": {"type": ["string", "number", "array", "object"]},
        "settled_by": NAMES,
        "skip_when": CONDITION,
        "none": TEXTS,
        "blind": TEXTS,
        "lasting": TEXTS,
        "opens_after": TEXT,
        "yielded_by": NAMES,
        "from_readings": readings,
        "first": whole(1),
    }
    word_or_number = {"anyOf": [*NUMBER["anyOf"], {"enum": [*RESERVED_ANSWERS]}, worked_out]}
    by_kind = [
        _if_kind(("number",), {"required": ["range"], "properties": {"worst": word_or_number, "choices": _empty()}}),
        _if_kind(("choice", "many"), {"required": ["choices"], "properties": {"choices": {"minProperties": 2}}}),
        _if_kind(("choice", "many", "yes_no"), {"properties": {"worst": {"type": ["string", "number", "array"]}}}),
        _if_kind(
            ("yes_no",),
            {"properties": {"choices": {"anyOf": [_empty(), {"required": ["yes", "no"], "maxProperties": 2}]}}},
        ),
    ]
    return entry(keys, ("ask", "kind", "how", "why", "worst"), overlay, allOf=by_kind)


def _empty() -> Schema:
    return {"maxProperties": 0}


_EMPTY_LIST: Schema = {"type": "array", "maxItems": 0}


def _if_kind(kinds: Sequence[str], then: Schema) -> Schema:
    return {"if": {"properties": {"kind": {"enum": list(kinds)}}, "required": ["kind"]}, "then": then}


def _task(overlay: bool) -> Schema:
    minutes = mapping(dict.fromkeys(("least", "likely", "most"), whole()), ("least", "likely", "most"))
    counted = mapping({"of": TEXT, "times": NUMBER, "plus": NUMBER}, ("of",))
    told = some({"anyOf": [TEXT, mapping({"text": TEXT, "when": CONDITION}, ("text", "when"))]})
    above_0: Schema = {"anyOf": [{"type": "number", "exclusiveMinimum": 0}, {"type": "string", "pattern": DECIMAL}]}
    part = mapping(
        {
            "item": TEXT,
            "quantity": {"anyOf": [*above_0["anyOf"], counted]},
            "unit": TEXT,
            "if_found": FLAG,
            "when": CONDITION,
        },
        ("item", "quantity", "unit"),
    )
    keys = {
        "title": TEXT,
        "gate": one_of(GATES),
        "who": one_of(WHO),
        "needs_level": one_of(("bare", "owner_kit", "skilled_kit", "shop")),
        "minutes": minutes,
        "wait_h": NUMBER,
        "wait_for": TEXT,
        "after": NAMES,
        "only_if": CONDITION,
        "tools": told,
        "parts": some(part),
        "method": {**told, "not": _EMPTY_LIST},
        "done_when": TEXT,
        "records": NAMES,
        "finds": NAMES,
        "reads": NAMES,
        "details": {"type": "object", "additionalProperties": one_of(("text", "number", "date"))},
        "asks_again": NAMES,
        **dict.fromkeys(("changes_plan_if", "cautions"), told),
        "waste": told,
        "basis": TEXT,
        "source": SOURCE,
    }
    needed = ("title", "gate", "who", "minutes", "method", "done_when", "source")
    assert set(keys) == set(schema_tasks.KEYS) and set(needed) == set(schema_tasks.NEEDED)
    return entry(keys, needed, overlay, dependentRequired={"wait_for": ["wait_h"]})


def _limit(overlay: bool) -> Schema:
    keys = {"value": NUMBER, "unit": TEXT, "text": TEXT, "source": SOURCE}
    return entry(keys, tuple(keys), overlay)


def _source(overlay: bool) -> Schema:
    keys = {
        "title": TEXT,
        "issued_by": TEXT,
        "edition": TEXT,
        "as_read": one_of(("document", "restated")),
        "note": TEXT,
    }
    return entry(keys, ("title", "issued_by", "as_read"), overlay)


def _fact(overlay: bool) -> Schema:
    pair: Schema = {"type": "array", "prefixItems": [NUMBER, WORD], "minItems": 2, "maxItems": 2, "items": False}
    two: Schema = {"type": "array", "items": WORD, "minItems": 2, "uniqueItems": True}
    ways: dict[str, dict[str, Schema]] = {
        "band": {"band": TEXT, "up_to": {"type": "array", "items": pair}, "above": TEXT},
        **{kind: {kind: two} for kind in ("largest", "smallest", "product")},
        "quotient": {"quotient": {**two, "maxItems": 2}},
        "points": {"points": some(mapping({"when": CONDITION, "add": NUMBER}, ("when", "add")))},
        "yes_when": {"yes_when": CONDITION},
        **{kind: {kind: TEXT} for kind in ("age_of", "by_layout", "days_since")},
        "figure": {
            "figure": TEXT,
            "inputs": {"type": "object", "additionalProperties": WORD},
            "take": TEXT,
        },
        "from_plan": {"from_plan": one_of(schema_basics.FROM_PLAN)},
    }
    assert set(ways) == set(schema_basics.FACT_KINDS)
    return {
        "oneOf": [
            entry({**keys, "unit": TEXT, "text": TEXT}, [key for key in keys if key != "take"], overlay)
            for keys in ways.values()
        ]
    }


def _layout(overlay: bool) -> Schema:
    answers: Schema = {"type": "object", "additionalProperties": _answer()}
    point = mapping(
        {"see": TEXT, "per": one_of(("engine", "cylinder", "valve")), "count": whole(1), "how": TEXT}, ("see",)
    )
    keys: dict[str, Schema] = {
        "title": TEXT,
        **dict.fromkeys(("oil_path", "sediment"), TEXTS),
        "points": some(point),
        **dict.fromkeys(("priming", "traps"), TEXTS),
        "settles": answers,
        "presumes": answers,
        "facts": {"type": "object", "additionalProperties": WORD},
        "source": SOURCE,
    }
    needed = [key for key in keys if key not in ("settles", "presumes", "facts")]
    return entry(keys, needed, overlay)


def _gate(overlay: bool) -> Schema:
    after = some({"anyOf": [one_of(GATES), mapping({"gate": one_of(GATES), "when": CONDITION}, ("gate",))]})
    need: Schema = {
        "anyOf": [
            mapping({"text": TEXT, "if_planned": NAMES, "source": SOURCE}, ("if_planned",)),
            mapping({"text": TEXT, "when": CONDITION, "then": CONDITION, "source": SOURCE}, ("text", "then", "source")),
        ]
    }
    keys: dict[str, Schema] = {
        "title": TEXT,
        "opens": TEXT,
        "after": after,
        "first_task": {"type": ["string", "number", "null"]},
        "needs": some(need),
        "cautions": TEXTS,
        "who": one_of(WHO),
        "not_needed": CONDITION,
    }
    full = entry(keys, [key for key in keys if key != "not_needed"], overlay)
    return _or_adds(full, {"needs": keys["needs"], "cautions": TEXTS}, overlay)


def _stop(overlay: bool) -> Schema:
    by_gate = mapping(dict.fromkeys(GATES, CONDITION), minProperties=1)
    clears: Schema = {"type": "object", "additionalProperties": {"anyOf": [by_gate, CONDITION]}}
    short = rf"^\s*(\S+\s+){{0,{schema_rules.STOP_WORDS - 1}}}\S+\s*$"
    keys: dict[str, Schema] = {
        **dict.fromkeys(("title", "danger", "meanwhile"), TEXT),
        "who": one_of(WHO),
        "text": {"type": ["string", "number"], "pattern": short},
        "clears": clears,
        "clears_text": TEXT,
        "words_only": FLAG,
    }
    words_only = {"if": {"properties": {"words_only": {"const": True}}, "required": ["words_only"]}, "then": {}}
    needed = ("title", "danger", "meanwhile", "who", "text")
    full = entry(keys, needed, overlay, **words_only, **{"else": {"required": ["clears"]}})
    return _or_adds(full, {"clears": clears}, overlay)


def _or_adds(full: Schema, added: Mapping[str, Schema], overlay: bool) -> Schema:
    """In a club's folder an entry may hold only what it adds to the shipped one of the same name."""
    return {"anyOf": [full, mapping(added, minProperties=1)]} if overlay else full


def _claims(overlay: bool) -> Schema:
    keys = {"phrase": TEXT, "evidence": CONDITION, "forbidden": CONDITION, "proved": TEXT, "unproved": TEXT}
    claim = entry({**keys, "source": SOURCE}, ("phrase", "evidence", "proved", "unproved", "source"), overlay)
    told = entry({"when": CONDITION, "text": TEXT, "source": SOURCE}, ("when", "text", "source"), overlay)
    tops = {"about": {}, "claims": by_id(claim), "disclosures": by_id(told)}
    body = mapping(tops, anyOf=[{"required": ["claims"]}, {"required": ["disclosures"]}])
    return whole_schema("Words of a sale description", body)


def _contradiction(overlay: bool) -> Schema:
    keys = {"when": CONDITION, "questions": NAMES, "trusted": TEXT, "trust_text": TEXT, "text": TEXT}
    needed = ("when", "questions", "text")
    return entry(keys, needed, overlay, dependentRequired={"trusted": ["trust_text"]})


def _oddity(overlay: bool) -> Schema:
    keys = {"when": CONDITION, "question": TEXT, "ask": TEXT}
    return entry(keys, tuple(keys), overlay)
