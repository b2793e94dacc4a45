"""Question files: YAML values -> stages and questions."""

from collections.abc import Mapping
from typing import Any

from revive.loading.conditions import condition
from revive.loading.entries import each
from revive.loading.entry import CHOICE_ID, RESERVED_ANSWERS, Entry, number_of
from revive.loading.gathered import Gathered
from revive.loading.yaml_lines import Map, Seq
from revive.model import MUST_KNOW, Question, Stage
from revive.problems import quoted

_KINDS = ("choice", "many", "number", "yes_no")
KEYS = (
    "ask",
    "kind",
    "choices",
    "unit",
    "range",
    "how",
    "caution",
    "why",
    "costs",
    "worst",
    "settled_by",
    "skip_when",
    "none",
    "blind",
    "lasting",
    "opens_after",
    "yielded_by",
    "from_readings",
    "first",
)
_TAKE = ("least", "most", "last", "sum")


def questions(gathered: Gathered, file: str, top: Map) -> None:
    """One stage of the interview: stage, title, caution, questions."""
    page = Entry(gathered, file, top, 1, "this file")
    number = page.whole("stage", 1, 1)
    known = gathered.table("stage")
    if str(number) in known and gathered.overlay and "title" not in top and "caution" not in top:
        page.keys(("stage", "questions"), ("stage", "questions"))
    else:
        page.keys(("stage", "title", "caution", "questions"), ("stage", "title", "caution", "questions"))
        if str(number) in known:
            what = f"stage {number} is described a second time; the first is {gathered.place('stage', str(number))}"
            mend = "Take out 'title:' and 'caution:' here." if gathered.overlay else "Give it the next stage number."
            page.problem(page.line_of("stage"), "double-id", what, mend)
        else:
            known[str(number)] = Stage(number, page.text("title"), page.text("caution"))
            gathered.places["stage", str(number)] = (file, page.line_of("stage"))
    each(gathered, file, top, "questions", "question", lambda entry, name: _question(entry, name, number))


def _question(entry: Entry, name: str, stage: int) -> Question | None:
    kind = entry.one_of("kind", _KINDS)
    by_kind = {"number": ("range",), "choice": ("choices",), "many": ("choices",)}.get(kind, ())
    entry.keys(KEYS, ("ask", "kind", "how", "why", "worst", *by_kind))
    if "kind" not in entry.at:
        return None
    low, high = _range(entry) if kind == "number" else (0, 0)
    choices = _choices(entry, kind)
    bare = Question(name, stage, entry.text("ask"), kind, entry.place, choices, entry.text("unit"), low, high)
    return Question(
        **{
            key: getattr(bare, key) for key in ("id", "stage", "ask", "kind", "place", "choices", "unit", "low", "high")
        },
        how=entry.text("how"),
        caution=entry.text("caution"),
        why=entry.text("why"),
        costs=entry.text("costs"),
        worst=_worst(entry, bare),
        settled_by=entry.names("settled_by", "task"),
        skip_when=condition(entry, "skip_when"),
        none=_some_choices(entry, "none", bare),
        blind=_some_choices(entry, "blind", bare),
        opens_after=entry.name("opens_after", "task"),
        yielded_by=entry.names("yielded_by", "task"),
        from_readings=_from_readings(entry),
        first=entry.whole("first", 0, 1) if "first" in entry.at else 0,
        lasting=_some_choices(entry, "lasting", bare),
    )


def _range(entry: Entry) -> tuple[int | float, int | float]:
    value = entry.at.get("range")
    if value is None:
        return 0, float("inf")
    numbers = [number_of(part) for part in value] if isinstance(value, Seq) else []
    if len(numbers) == 2 and numbers[0] is not None and numbers[1] is not None and numbers[0] < numbers[1]:
        return numbers[0], numbers[1]
    entry.wrong(entry.line_of("range"), "range", value, "the least and the most", "Write: range: [0.3, 6.0]")
    return 0, float("inf")


def _choices(entry: Entry, kind: str) -> Mapping[str, str]:
    inner = entry.map("choices")
    found: dict[str, str] = {}
    for name, words in inner.at.items():
        line = inner.line_of(name)
        if not CHOICE_ID.fullmatch(name) or name in RESERVED_ANSWERS:
            what = f"{quoted(name)} cannot be the id of an answer"
            entry.problem(line, "bad-id", what, "Use small letters, digits and underscores: not_seen.")
        elif not isinstance(words, str) or not words.strip():
            what = f"the answer '{name}' has no words beside it"
            entry.problem(line, "no-words", what, f"Say what it means: {name}: what one sees or knows")
            found[name] = ""
        else:
            found[name] = words.strip()
    if kind == "yes_no":
        if found and set(found) != {"yes", "no"}:
            what = "a yes_no question has other answers than yes and no"
            entry.problem(
                entry.line_of("choices"), "out-of-choices", what, "Take out 'choices:', or write kind: choice."
            )
        return found or {"yes": "yes", "no": "no"}
    if kind == "number" and found:
        entry.problem(entry.line_of("choices"), "unknown-key", "a number has no choices", "Take them out.")
    elif kind != "number" and len(found) < 2 and "choices" in entry.at:
        what = f"{entry.by} has {len(found)} answers to choose from; two or more were expected"
        entry.problem(entry.line_of("choices"), "out-of-choices", what, "Add the other answers.")
    return found if kind != "number" else {}


def _worst(entry: Entry, question: Question) -> Any:
    value = entry.at.get("worst", MUST_KNOW)
    line = entry.line_of("worst")
    if isinstance(value, Map):
        inner = entry.under(value, line)
        if question.kind != "number":
            entry.wrong(line, "worst", value, "one of the answers", "Only a number can be worked out from another one.")
        elif "from_layout" in value:
            inner.keys(("from_layout", "plus", "at_least"))
            made: dict[str, Any] = {"from_layout": inner.name("from_layout", "layout_fact")}
            return made | {key: inner.number(key) for key in ("plus", "at_least") if key in value}
        else:
            inner.keys(("from", "plus", "at_least"), ("from",))
            made = {"from": inner.name("from", "amount")}
            return made | {key: inner.number(key) for key in ("plus", "at_least") if key in value}
        return MUST_KNOW
    if value == MUST_KNOW:
        return MUST_KNOW
    return entry.answer(question, value, line, "worst")


def _some_choices(entry: Entry, key: str, question: Question) -> tuple[str, ...]:
    words = entry.words(key)
    for word in words:
        if word not in question.choices:
            what = f"{key} names '{word}', which is no answer of '{question.id}'"
            entry.problem(entry.line_of(key), "unknown-choice", what, f"Choose from: {', '.join(question.choices)}.")
    return words


def _from_readings(entry: Entry) -> Mapping[str, str]:
    if "from_readings" not in entry.at:
        return {}
    inner = entry.map("from_readings")
    inner.keys(("what", "take", "one_per", "field"), ("what", "take"))
    found = {"what": inner.text("what"), "take": inner.one_of("take", _TAKE, "last")}
    return found | {key: inner.text(key) for key in ("one_per", "field") if key in inner.at}
