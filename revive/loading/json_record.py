"""The JSON Schema (draft 2020-12) of a machine's record, made from a rule base: editors then offer its own questions.

Reads no record. What hangs together between answers (dates, contradictions) is for the plan to judge.
"""

from revive.loading.json_parts import DECIMAL, NUMBER, TEXT, Schema, mapping, whole_schema
from revive.model import DONT_KNOW, HOW, Limit, Question, RuleBase

_MONTH_DAY = r"(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])"
DATE: Schema = {"type": "string", "pattern": rf"^\d{{4}}-{_MONTH_DAY}(T([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?)?$"}
_NOTHING: Schema = {"enum": ["", None]}
_PLAIN: Schema = {"type": ["string", "number", "boolean", "null"]}


def record_schema(base: RuleBase) -> Schema:
    """The schema of a record for this rule base: every question with its answers, unit and range, tasks and limits."""
    works = {task.id: {"description": task.title, **_work()} for task in base.tasks.values()}
    sections = {
        "record": {"enum": [1, "1"]},
        "machine": _or_nothing({"type": "object", "additionalProperties": _PLAIN}),
        "answers": _or_nothing(mapping({question.id: _answer(question) for question in base.questions.values()})),
        "done": _or_nothing(mapping(works)),
        "maker": _or_nothing(mapping({limit.id: _figure(limit) for limit in base.limits.values()})),
        "readings": _or_nothing({"type": "array", "items": _reading()}),
        "earlier": _or_nothing({"type": "array"}),
    }
    return whole_schema("A machine's record", mapping(sections, ("record",)))


def _or_nothing(section: Schema) -> Schema:
    return {"anyOf": [section, _NOTHING]}


def _answer(question: Question) -> Schema:
    value = _value(question)
    long = mapping(
        {
            "value": value,
            "on": {"anyOf": [DATE, _NOTHING]},
            "by": _PLAIN,
            "how": {"enum": [*HOW, "", None]},
            "unit": {"const": question.unit},
            "note": _PLAIN,
        },
        ("value",),
    )
    return {"description": question.ask, "anyOf": [value, long]}


def _value(question: Question) -> Schema:
    if question.kind == "number":
        number: Schema = {"type": "number", "minimum": question.low, "maximum": question.high}
        return {"anyOf": [number, {"type": "string", "pattern": DECIMAL}, {"const": DONT_KNOW}]}
    words: Schema = {"enum": [*_spoken(question.choices or {"yes": "", "no": ""}), DONT_KNOW]}
    if question.kind != "many":
        return words
    ticked: Schema = {"type": "array", "items": words, "minItems": 1}
    if question.none:
        alone: Schema = {"contains": {"enum": _spoken(question.none)}}
        ticked |= {"if": alone, "then": {"items": {"enum": _spoken(question.none)}, "uniqueItems": False}}
    return {"anyOf": [words, ticked]}


def _spoken(words: object) -> list[object]:
    """Choices as words; one that reads as a number may come as a number."""
    found: list[object] = []
    for word in words:  # type: ignore[attr-defined]
        found.append(word)
        if word.isdigit():
            found.append(int(word))
    return found


def _work() -> Schema:
    detailed = {"type": "object", "properties": {"on": {"anyOf": [DATE, _NOTHING]}}}
    return {"anyOf": [DATE, _NOTHING, {"const": True}, detailed]}


def _figure(limit: Limit) -> Schema:
    long = mapping({"value": NUMBER, "unit": {"const": limit.unit}, "where": TEXT}, ("value",))
    return {"description": f"{limit.text} ({limit.unit})", "anyOf": [*NUMBER["anyOf"], long]}


def _reading() -> Schema:
    return {"type": "object", "properties": {"what": TEXT, "on": {"anyOf": [DATE, _NOTHING]}}, "required": ["what"]}
