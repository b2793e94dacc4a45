"""Ask one question on a screen: its words, its help, an answer that the record takes. Saves and plans nothing."""

from collections.abc import Sequence
from typing import Any

from revive.frozen import Frozen
from revive.model import DONT_KNOW, MUST_KNOW, Answer, Question, ReviveError, RuleBase, Value
from revive.text import spoken
from revive.wizard.saying import say_question
from revive.wizard.screen import Option, Screen

REST = Option(DONT_KNOW, "not sure about the others")
EXAMPLES = {"bar": "2.1 bar or 30 psi", "l": "2.1, 2.1 l or 3 pt", "ml": "250 ml or 9 fl oz", "V": "12.4"}
EXAMPLES |= {"mm": "2.5 mm or 1/10 in", "years": "14, or the year, 2011", "year": "1974", "s": "25"}


class Outcome(Frozen):
    """What became of one question. kind: answer, later, back, forward or other (go to the question in `value`)."""

    kind: str
    value: Any = None


def ask_one(screen: Screen, base: RuleBase, question: Question, given: Answer | None, today: str, head: str) -> Outcome:
    """Ask until there is an outcome; help is shown as often as wanted.

    given: the answer so far. head: where we are; empty where the question is on the screen already.
    """
    if head:
        say_question(screen, question, head)
    if given:
        screen.say(f"Answer now: {in_words(question, given.value)}{_since(given)}", 2)
    while True:
        reply = _read(screen, question, given)
        if reply.kind == "help":
            show_help(screen, base, question)
        elif reply.kind == "key" and reply.value == "x":
            other = _where_it_is_said(screen, base, question)
            if other:
                return Outcome("other", other)
        elif reply.kind == "key" and reply.value == "l":
            return Outcome("later")
        elif reply.kind == "key" and reply.value == "d":
            return Outcome("answer", DONT_KNOW)
        elif reply.kind != "value":
            return Outcome(reply.kind)
        elif (value := _taken(screen, question, given, reply.value, today)) is not None:
            return Outcome("answer", value)


def _read(screen: Screen, question: Question, given: Answer | None) -> Any:
    letters = _letters(question, given)
    current: Any = given.value if given else ""
    if question.kind == "many":
        ticked = current if isinstance(current, tuple) else ()
        return screen.tick(_options(question, letters), ticked, question.none)
    if question.kind == "number":
        example = EXAMPLES.get(question.unit, f"{question.low:g} to {question.high:g}")
        example = "14, or the code, 2319" if question.id.startswith("tyre_age") else example
        keep = ", Enter keeps" if given else ""
        return screen.line(f"Number in {question.unit or 'figures'}, such as {example}{keep}", letters)
    return screen.choose(_options(question, letters), str(current))


def _letters(question: Question, given: Answer | None) -> list[Option]:
    later = "take the answer out again, not looked yet" if given else "not looked yet, ask me another time"
    letters = [Option("dont_know", "don't know, and cannot find out", "d"), Option("later", later, "l")]
    if question.skip_when is not None:
        letters.append(Option("none", "does not apply to this machine", "x"))
    return letters


def _options(question: Question, letters: Sequence[Option]) -> list[Option]:
    choices = question.choices or {"yes": "yes", "no": "no"}
    rest = [REST] if question.kind == "many" else []
    return [*(Option(value, text) for value, text in choices.items()), *rest, *letters]


def _taken(screen: Screen, question: Question, given: Answer | None, value: Any, today: str) -> Value | None:
    """The reply as a record holds it; None, with the reason said, where it cannot be one."""
    if question.kind == "number":
        if not value and given:
            return given.value
        if not value:
            screen.say("Nothing was typed. A number, or one of the letters.", 2)
            return None
        from revive.wizard.understood import typed_number

        try:
            number = typed_number(question, str(value), today)
        except ReviveError as trouble:
            screen.say(str(trouble).replace("\n    ", "\n"), 2)
            return None
        if number.said:
            screen.say(number.said, 2)
        return number.value
    if question.kind == "many" and not value:
        nothing = next((question.choices[choice] for choice in question.none), "")
        screen.say(f"Nothing is ticked. Tick what you see{f', or: {nothing}' if nothing else ''}.", 2)
        return None
    taken: Value = tuple(value) if question.kind == "many" else str(value)
    return taken


def show_help(screen: Screen, base: RuleBase, question: Question) -> None:
    """How to look, why it matters, what a wrong guess costs, what "don't know" means in the plan."""
    screen.say()
    screen.say(f"How to look: {question.how}" if question.how else "How to look: ask whoever knows.")
    if question.why:
        screen.say(f"Why: {question.why}")
    if question.costs:
        screen.say(f"A wrong guess: {question.costs}")
    screen.say(f"Don't know: {_unknown(question)}")
    tasks = [base.tasks[task].title for task in question.settled_by if task in base.tasks]
    if tasks:
        screen.say(f"What would settle it: {'; '.join(tasks[:3])}.")
    screen.say("Not looked yet: left open. The plan lists what hangs on it, and no gate opens on it.")
    say_question(screen, question, "The question again:")


def _unknown(question: Question) -> str:
    worst = question.worst
    if worst == MUST_KNOW or worst is None:
        return "nothing can be assumed; that part of the plan waits until it is known."
    if isinstance(worst, dict) or hasattr(worst, "keys"):
        return "the plan takes the worst that is likely; a gate believes nothing until it is seen."
    return f"the plan allows for the worst, '{in_words(question, worst)}'; a gate believes nothing until it is seen."


def _where_it_is_said(screen: Screen, base: RuleBase, question: Question) -> str:
    """Say which answers make a question not apply; the id of the one to go to, or empty to stay."""
    from revive.engine.compiled import questions_behind
    from revive.engine.conditions import names_in

    names = questions_behind(base, names_in(question.skip_when))
    asked = [base.questions[name] for name in names if name in base.questions]
    if not asked:
        screen.say("It follows from other findings. Leave it open with l.", 2)
        return ""
    screen.say("Whether it applies follows from another answer. Change that one, and this is no longer asked:")
    options = [Option(other.id, other.ask) for other in asked]
    reply = screen.choose([*options, Option("", "stay here", "s")])
    return str(reply.value) if reply.kind == "value" else ""


def _unit(question: Question, value: float) -> str:
    one = value == 1 and len(question.unit) > 1
    return question.unit.removesuffix("s") if one else question.unit


def in_words(question: Question, value: Any) -> str:
    """An answer as people read it."""
    if isinstance(value, tuple | list):
        return "; ".join(REST.text if tick == DONT_KNOW else in_words(question, tick) for tick in value)
    if value == DONT_KNOW:
        return "don't know"
    if isinstance(value, int | float):
        return f"{value:g} {_unit(question, value)}".strip()
    return spoken(question.choices.get(str(value)) or value)


def _since(answer: Answer) -> str:
    parts = [f"on {answer.on[:10]}" if answer.on else "", f"by {answer.by}" if answer.by else ""]
    said = ", ".join(part for part in parts if part)
    return f" ({said})" if said else ""
