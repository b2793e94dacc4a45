"""A condition of the rule base as lines that a reader who never saw the rule language understands. Judges nothing.

Every question is named by its wording and every answer by its words; the ids stand behind in brackets.
"""

from revive.model import MUST_KNOW, Condition, Fact, Question, RuleBase, SourceRef
from revive.text import inert, spoken

_SIGNS = {"at_least": "at least", "more_than": "more than", "at_most": "at most", "less_than": "less than"}
_RESERVED = {"common_practice": "common practice of the trade", "from_memory": "memory, no source at hand"}
MOST_DEPTH = 3


def condition_lines(base: RuleBase, condition: Condition, depth: int = 0, indent: int = 0) -> list[str]:
    """The condition as indented lines, "all of these" and "any of these" above their parts.

    A derived fact is followed by what it is worked out from, down to MOST_DEPTH facts within facts.
    """
    kind, pad = condition[0], "  " * indent
    if kind in ("all", "any"):
        lines = [f"{pad}{'all of these' if kind == 'all' else 'at least one of these'}:"]
        for part in condition[1]:
            lines += condition_lines(base, part, depth, indent + 1)
        return lines
    if kind == "not":
        return [f"{pad}not this:", *condition_lines(base, condition[1], depth, indent + 1)]
    if kind == "when":
        first = condition_lines(base, condition[1], depth, indent + 1)
        return [f"{pad}wherever:", *first, f"{pad}also:", *condition_lines(base, condition[2], depth, indent + 1)]
    if kind == "always":
        return [f"{pad}on every machine"]
    if kind == "done":
        return [f'{pad}the work "{title_of(base, condition[1])}" is on record as done ({condition[1]})']
    name = condition[1]
    lines = [f"{pad}{_asked(base, name)}: {_wanted(base, condition)} ({_short(condition)})"]
    fact = base.facts.get(name)
    if fact is not None and depth < MOST_DEPTH:
        lines += fact_lines(base, fact, depth + 1, indent + 1)
    return lines


def fact_lines(base: RuleBase, fact: Fact, depth: int = 0, indent: int = 0) -> list[str]:
    """How a derived fact is worked out."""
    pad = "  " * indent
    if fact.kind == "yes_when":
        return [f"{pad}it is yes where:", *condition_lines(base, fact.of, depth, indent + 1)]
    if fact.kind == "band":
        bands = [f"up to {number:g}: {spoken(word)}" for number, word in fact.of["up_to"]]
        return [f"{pad}by {_asked(base, fact.of['of'])}: {', '.join(bands)}, above: {spoken(fact.of['above'])}"]
    if fact.kind == "points":
        lines = [f"{pad}points are added up:"]
        for point in fact.of:
            lines.append(f"{pad}  {point['add']:+g} where:")
            lines += condition_lines(base, point["when"], depth, indent + 2)
        return lines
    if fact.kind in ("largest", "smallest", "product", "quotient"):
        words = {"product": "multiplied together", "quotient": "the first divided by the second"}
        names = ", ".join(_asked(base, name) for name in fact.of)
        return [f"{pad}{words.get(fact.kind, f'the {fact.kind} of')}: {names}"]
    words = {
        "age_of": "years from {} to the day of the plan",
        "by_layout": "given by the engine layout ({})",
        "days_since": "days since {}",
        "from_plan": "taken from the plan itself ({})",
    }
    if fact.kind == "figure":
        inputs = ", ".join(f"{key} = {value}" for key, value in fact.of["inputs"].items())
        return [f"{pad}reckoned by the figure {fact.of['name']} from {inputs}"]
    of = _asked(base, fact.of) if fact.kind in ("age_of", "days_since") else spoken(fact.of)
    return [pad + words[fact.kind].format(of)]


def _asked(base: RuleBase, name: str) -> str:
    question, fact = base.questions.get(name), base.facts.get(name)
    if question is not None:
        return f'"{inert(question.ask)}"'
    if fact is not None and fact.text:
        return inert(fact.text)
    return spoken(name) if fact is not None else f'"{title_of(base, name)}"'


def title_of(base: RuleBase, task: str) -> str:
    """The title of a task, or its id where there is none."""
    return inert(base.tasks[task].title) if task in base.tasks else task


def _wanted(base: RuleBase, condition: Condition) -> str:
    if condition[0] == "compare":
        return f"{_SIGNS[condition[2]]} {_amount(base, condition)}"
    values = condition[2] if condition[0] == "is" else (condition[2],)
    said = [answer_words(base, condition[1], value) for value in values]
    return " or ".join(said)


def answer_words(base: RuleBase, name: str, value: object) -> str:
    """An answer in the words of its question."""
    question = base.questions.get(name)
    words = question.choices.get(str(value), "") if question is not None else ""
    return f'"{inert(words)}"' if words and words not in ("yes", "no") else spoken(value)


def _amount(base: RuleBase, condition: Condition) -> str:
    (where, name), times = condition[3], condition[4]
    unit = unit_of(base, condition[1])
    if where == "number":
        much = f"{name * times:g}{unit}"
    elif where == "limit":
        limit = base.limits[name]
        much = _counted(limit.value * times, limit.unit)
    else:
        much = _asked(base, name) if times == 1 else f"{times:g} times {_asked(base, name)}"
    return much


def _counted(number: float, unit: str) -> str:
    """A number with its unit; one year, not one years."""
    return f"{number:g} {unit.removesuffix('s') if number == 1 and len(unit) > 2 else unit}"


def unit_of(base: RuleBase, name: str) -> str:
    """The unit of a number with a space before it, or an empty text."""
    held = base.questions.get(name) or base.facts.get(name)
    return f" {held.unit}" if held is not None and held.unit else ""


def _short(condition: Condition) -> str:
    """The condition by its ids, as in the rule file."""
    if condition[0] == "is":
        values = condition[2]
        return f"{condition[1]}: {values[0]}" if len(values) == 1 else f"{condition[1]}: [{', '.join(values)}]"
    if condition[0] == "has":
        return f"{condition[1]}: {{has: {condition[2]}}}"
    times = "" if condition[4] == 1 else f", times: {condition[4]:g}"
    much = f"{condition[3][1]:g}" if condition[3][0] == "number" else condition[3][1]
    return f"{condition[1]}: {{{condition[2]}: {much}{times}}}"


def worst_words(base: RuleBase, question: Question) -> str:
    """What "don't know" stands for in a plan, in words."""
    worst = question.worst
    if worst == MUST_KNOW:
        return "nothing; it must be known"
    if isinstance(worst, dict):
        word = (
            f"{spoken(worst['from_layout'])} of the layout" if "from_layout" in worst else _asked(base, worst["from"])
        )
        return word + "".join(f", {spoken(key)} {worst[key]:g}" for key in ("plus", "at_least") if key in worst)
    if isinstance(worst, tuple | list):
        return " and ".join(answer_words(base, question.id, one) for one in worst)
    return answer_words(base, question.id, worst) + unit_of(base, question.id)


def source_lines(base: RuleBase, refs: tuple[SourceRef, ...]) -> list[str]:
    """Each source with who issued it, its edition and the place in it."""
    lines = []
    for ref in refs:
        source = base.sources.get(ref.id)
        if source is None:
            lines.append(_RESERVED.get(ref.id, ref.id))
            continue
        words = ", ".join(inert(text) for text in (source.issued_by, source.title, source.edition) if text)
        words += f": {inert(ref.where)}" if ref.where else ""
        lines.append(words + (" (known from pages that restate it)" if source.as_read == "restated" else ""))
    return lines
