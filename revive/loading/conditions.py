"""YAML condition -> the tuples of revive.model.Condition, with every problem at its line. Judges nothing.

{question: value}  {question: [a, b]}  {question: {has: v}}  {question: {at_least: number, limit or question, times: n}}
{all: [...]}  {any: [...]}  {not: c}  {when: c, then: c}  {done: task}  {always: true}
"""

from typing import Any

from revive.loading.entry import Entry, number_of
from revive.loading.yaml_lines import Map, Seq
from revive.model import Condition
from revive.problems import nearest, quoted

OPERATORS = ("at_least", "more_than", "at_most", "less_than")
_WORDS = ("all", "any", "not", "when", "then", "done", "always")
_COMPARISON_KEYS = (*OPERATORS, "has", "times")
_NOTHING: Condition = ("any", ())


def condition(entry: Entry, key: str) -> Condition | None:
    """The condition under a key of an entry, or None where the key is missing."""
    if key not in entry.at:
        return None
    return parse(entry, entry.at[key], entry.line_of(key))


def needed_condition(entry: Entry, key: str) -> Condition:
    """As condition(); where the key is missing (reported elsewhere) one that never holds."""
    return condition(entry, key) or _NOTHING


def parse(entry: Entry, value: Any, line: int) -> Condition:
    """One condition. Names are noted as uses of the entry; a broken part becomes one that never holds."""
    if not isinstance(value, Map) or not value:
        entry.wrong(line, "this condition", value, "a mapping such as {oil_look: gritty}", "Write: {question: answer}")
        return _NOTHING
    words = [key for key in value if key in _WORDS]
    if not words:
        parts = [_question(entry, name, value[name], value.lines[name]) for name in value]
        return parts[0] if len(parts) == 1 else ("all", tuple(parts))
    if len(value) > 1 and set(value) != {"when", "then"}:
        what = f"'{words[0]}' stands beside {', '.join(quoted(key) for key in value if key != words[0])}"
        mend = f"Put each in braces of its own under all: [{{{words[0]}: …}}, {{…}}]"
        entry.problem(line, "mixed-condition", what, mend)
        return _NOTHING
    if "when" in value and "then" in value:
        first = parse(entry, value["when"], value.lines["when"])
        return ("when", first, parse(entry, value["then"], value.lines["then"]))
    word = words[0]
    inner, line = value[word], value.lines[word]
    if word in ("all", "any"):
        if not isinstance(inner, Seq) or not inner:
            entry.wrong(line, word, inner, "a list of conditions", f"Write: {word}: [{{…}}, {{…}}]")
            return _NOTHING
        return (word, tuple(parse(entry, part, at) for part, at in zip(inner, inner.lines, strict=True)))
    if word == "not":
        return ("not", parse(entry, inner, line))
    if word == "done":
        if not isinstance(inner, str) or not inner:
            mend = "Write: {done: oil_drain}, and several under all: or any:"
            entry.wrong(line, "done", inner, "the id of one task", mend)
            return _NOTHING
        entry.use("task", inner, line, "done")
        return ("done", inner)
    if word == "always":
        if inner is not True:
            entry.wrong(line, "always", inner, "true", "Write: {always: true}")
        return ("always",)
    mend = "Write: {when: {…}, then: {…}}"
    entry.problem(line, "mixed-condition", f"'{word}' stands without its other half", mend)
    return _NOTHING


def _question(entry: Entry, name: str, value: Any, line: int) -> Condition:
    if isinstance(value, Map):
        return _comparisons(entry, name, value, line)
    values = list(value) if isinstance(value, Seq) else [value]
    good = [word for word in values if isinstance(word, str) and word]
    if len(good) < len(values) or not good:
        mend = 'Write the answer as a word; yes and no between quotes: "yes".'
        bad = next((word for word in values if word not in good), value)
        entry.wrong(line, f"the answer to '{name}'", bad, "an answer or a list of answers", mend)
        return _NOTHING
    for word in good:
        entry.use("choice", name, line, word)
    if len(set(good)) < len(good):
        what = f"an answer to '{name}' stands twice in its list"
        entry.problem(line, "named-twice", what, "Take one of them out.")
    return ("is", name, tuple(dict.fromkeys(good)))


def _comparisons(entry: Entry, name: str, value: Map, line: int) -> Condition:
    parts: list[Condition] = []
    times = 1.0
    for key, inner in value.items():
        at = value.lines[key]
        if key == "has":
            if isinstance(inner, str) and inner:
                entry.use("has", name, at, inner)
                parts.append(("has", name, inner))
            else:
                entry.wrong(at, "has", inner, "one answer", f"For several write: {{{name}: [one, another]}}")
        elif key == "times":
            number = number_of(inner)
            if number is None or number <= 0:
                entry.wrong(at, "times", inner, "a number above 0", "Write: times: 0.7")
            else:
                times = float(number)
        elif key in OPERATORS:
            reference = _reference(entry, key, inner, at)
            if reference:
                entry.use("compare", name, at, (key, reference))
                parts.append(("compare", name, key, reference, 1.0))
        else:
            close = nearest(key, _COMPARISON_KEYS)
            mend = f"Did you mean '{close}'?" if close else f"Known here: {', '.join(_COMPARISON_KEYS)}."
            entry.problem(at, "unknown-key", f"{quoted(key)} is no comparison", mend)
    if not any(key in value for key in _COMPARISON_KEYS):
        entry.wrong(line, f"the comparison of '{name}'", value, "one of " + ", ".join(OPERATORS), "Write: at_least: 10")
    if "times" in value:
        if not any(key in value for key in OPERATORS):
            entry.problem(
                value.lines["times"], "mixed-condition", "'times' stands without a comparison", "Take it out."
            )
        parts = [(*part[:4], times) if part[0] == "compare" else part for part in parts]
    if not parts:
        return _NOTHING
    return parts[0] if len(parts) == 1 else ("all", tuple(parts))


def _reference(entry: Entry, operator: str, value: Any, line: int) -> Condition | None:
    """("number", x), ("limit", name) or ("fact", name)."""
    number = number_of(value)
    if number is not None:
        return ("number", number)
    if not isinstance(value, str) or not value:
        mend = f"Write: {operator}: 10, or the name of a limit or of a numeric question"
        entry.wrong(line, operator, value, "a number or a name", mend)
        return None
    if value in entry.gathered.limit_names:
        entry.use("limit", value, line)
        return ("limit", value)
    entry.use("amount", value, line)
    return ("fact", value)


def names_read(made: Condition | None) -> list[str]:
    """The questions and facts that a condition reads, in order, each once."""
    found: dict[str, None] = {}
    for part in parts_of(made):
        if part[0] in ("is", "has", "compare"):
            found[part[1]] = None
        if part[0] == "compare" and part[3][0] == "fact":
            found[part[3][1]] = None
    return list(found)


def parts_of(made: Condition | None) -> list[Condition]:
    """Every part of a condition, the whole first."""
    if made is None:
        return []
    found = [made]
    if made[0] in ("all", "any"):
        for part in made[1]:
            found += parts_of(part)
    elif made[0] in ("not", "when"):
        for part in made[1:]:
            found += parts_of(part)
    return found
