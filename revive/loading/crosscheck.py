"""How the entries of a rule base name each other: everything named exists, and what exists is used. Runs no rule.

What needs the engine (can every rule fire, can every gate open, do the examples hold) is checked elsewhere.
"""

import os
import re
from collections.abc import Callable, Iterable

from revive.loading.gathered import Gathered, Use, at_entry
from revive.model import GATES, RESERVED_SOURCES, Fact, Question
from revive.problems import listed, nearest, quoted

READ_BY_PROGRAM = (
    *("user_role", "plan_goal", "workshop_level", "helper_available", "layout"),
    *("air_c", "air_rh_pct", "altitude_m", "battery_ah", "brake_fluid_grade", "oil_grade_new"),
)
"""Questions that the program itself reads, whatever the rules ask; the second row feeds the figures of a plan."""

_NUMBERS = ("largest", "smallest", "product", "quotient", "points", "age_of", "days_since")
_ASKING = ("choice", "has", "compare", "amount", "input", "dated", "name")
_TASK_USES = ("task", "task_after", "task_released", "task_example")


def check(gathered: Gathered) -> None:
    """Add every problem between entries to `gathered`."""
    _all_gates(gathered)
    _one_meaning(gathered)
    for use in gathered.uses:
        _CHECKS[use.kind](gathered, use)
    _layouts(gathered)
    _unused(gathered)
    _first_places(gathered)


def _one_meaning(gathered: Gathered) -> None:
    """A name that a condition can read means one thing: a question, a derived fact or a limit."""
    kinds = ("question", "fact", "limit")
    for place, kind in enumerate(kinds):
        for other in kinds[:place]:
            for name in gathered.table(kind):
                if name in gathered.table(other):
                    words = {"fact": "derived fact"}
                    what = f"'{name}' is a {words.get(kind, kind)} here and a {words.get(other, other)} in "
                    what += gathered.place(other, name)
                    at_entry(gathered, kind, name, "double-id", what, "Give one of them another id.")


def _say(gathered: Gathered, use: Use, code: str, what: str, mend: str) -> None:
    gathered.problem(use.file, use.line, code, what, mend)


def _hint(gathered: Gathered, name: str, kinds: Iterable[str], home: str) -> str:
    known = [(kind, other) for kind in kinds for other in gathered.table(kind)]
    close = nearest(name, (other for _, other in known))
    if not close:
        return f"Look for its name in {home}, or add it there."
    kind = next(kind for kind, other in known if other == close)
    place = gathered.place(kind, close)
    return f"Did you mean '{close}' ({place})? If it is new, add it to {home}."


def _missing(gathered: Gathered, name: str, *kinds: str) -> bool:
    """Whether no entry of these kinds has the name, and none can have been lost on the way."""
    if any(name in gathered.table(kind) or (kind, name) in gathered.tried for kind in kinds):
        return False
    return not any(kind in gathered.unread for kind in kinds)


def _known(kind: str, home: str) -> Callable[[Gathered, Use], None]:
    def check_name(gathered: Gathered, use: Use) -> None:
        if use.kind == "source" and use.name in RESERVED_SOURCES:
            return
        if _missing(gathered, use.name, kind) or (kind == "gate" and use.name not in GATES):
            what = f"{use.by} names {quoted(use.name)}, which is no {kind}"
            mend = _hint(gathered, use.name, (kind,), home)
            if kind == "gate":
                close = nearest(use.name, GATES)
                mend = f"Did you mean '{close}'?" if close else f"Gates are {', '.join(GATES)}."
            _say(gathered, use, f"unknown-{kind}", what, mend)

    return check_name


def _asked(gathered: Gathered, use: Use, facts_too: bool = True) -> Question | Fact | None:
    """The question or fact of a use; None, with a problem where it is really unknown."""
    found: Question | Fact | None = gathered.table("question").get(use.name)
    if found is None and facts_too:
        found = gathered.table("fact").get(use.name)
    if found is None and _missing(gathered, use.name, "question", *(("fact",) if facts_too else ())):
        kinds = ("question", "fact") if facts_too else ("question",)
        if not facts_too and use.name in gathered.table("fact"):
            what = f"{use.by} gives an answer to '{use.name}', which is worked out and never asked"
            mend = f"Name the questions that it is worked out from ({gathered.place('fact', use.name)})."
        else:
            what = f"{use.by} asks about {quoted(use.name)}, which no question defines"
            mend = _hint(gathered, use.name, kinds, "rules/questions")
        _say(gathered, use, "unknown-question", what, mend)
    return found


def values_of(gathered: Gathered, name: Question | Fact) -> tuple[str, list[str] | None]:
    """The kind of values (choice, many, number or any) and, for choices, which there are; None: cannot be told."""
    if isinstance(name, Question):
        return ("choice" if name.kind == "yes_no" else name.kind), list(name.choices)
    if name.kind == "band":
        return "choice", [*(word for _, word in name.of["up_to"]), name.of["above"]]
    if name.kind == "yes_when":
        return "choice", ["yes", "no"]
    if name.kind == "by_layout" and name.of != "points":
        held = [layout.facts[name.of] for layout in gathered.table("layout").values() if name.of in layout.facts]
        words = [value for value in held if isinstance(value, str)]
        return ("choice", list(dict.fromkeys(words))) if words else ("number", None)
    if name.of == "gates_open":
        return "many", list(GATES)
    if name.of == "stops_standing":
        return "many", list(gathered.table("stop"))
    if name.kind in _NUMBERS or name.kind == "by_layout" or name.of == "oldest_stop_days":
        return "number", None
    return "any", None


def _choice(gathered: Gathered, use: Use) -> None:
    asked = _asked(gathered, use)
    if asked is None:
        return
    kind, values = values_of(gathered, asked)
    if kind == "number":
        what = f"{use.by} compares the number '{use.name}' with the word {quoted(use.detail)}"
        mend = f"Write: {{{use.name}: {{at_least: {use.detail}, at_most: {use.detail}}}}}"
        _say(gathered, use, "wrong-comparison", what, mend)
    elif values is not None and use.detail not in values:
        _unknown_choice(gathered, use, values, asked.place)


def _has(gathered: Gathered, use: Use) -> None:
    asked = _asked(gathered, use)
    if asked is None:
        return
    kind, values = values_of(gathered, asked)
    if kind not in ("many", "any"):
        what = f"{use.by} asks whether '{use.name}' has {quoted(use.detail)}; it holds one value ({asked.place})"
        _say(gathered, use, "wrong-comparison", what, f"Write: {{{use.name}: {use.detail}}}")
    elif values is not None and use.detail not in values:
        _unknown_choice(gathered, use, values, asked.place)


def _unknown_choice(gathered: Gathered, use: Use, values: list[str], place: str) -> None:
    close = nearest(use.detail, values)
    mend = f"Did you mean '{close}'?" if close else f"Choose from: {listed(values, 30)}."
    if use.detail == "dont_know":
        mend = "Leave it out: what is not known is judged by the question's worst value and by the gates."
    what = f"{use.by} asks for the answer {quoted(use.detail)}, which '{use.name}' does not have ({place})"
    _say(gathered, use, "unknown-choice", what, mend)


def _number(gathered: Gathered, use: Use) -> None:
    asked = _asked(gathered, use)
    if asked is not None and values_of(gathered, asked)[0] not in ("number", "any"):
        what = f"{use.by} needs the number '{use.name}', which holds words ({asked.place})"
        _say(gathered, use, "wrong-comparison", what, "Name a question of kind number, or ask for one of its answers.")


def _amount(gathered: Gathered, use: Use) -> None:
    if _missing(gathered, use.name, "question", "fact") and use.by.split()[0] not in ("question", "derived", "task"):
        what = f"{use.by} compares with {quoted(use.name)}, which is no limit and no numeric question"
        mend = _hint(gathered, use.name, ("limit", "question", "fact"), "rules/limits.yaml")
        _say(gathered, use, "unknown-limit", what, mend)
    else:
        _number(gathered, use)


def _answer(gathered: Gathered, use: Use) -> None:
    _asked(gathered, use, facts_too=False)


def _name(gathered: Gathered, use: Use) -> None:
    _asked(gathered, use)


def _dated(gathered: Gathered, use: Use) -> None:
    if use.name not in gathered.table("task"):
        _asked(gathered, use, facts_too=False)


def _layout_fact(gathered: Gathered, use: Use) -> None:
    held = {name for layout in gathered.table("layout").values() for name in layout.facts} | {"points"}
    if use.name not in held and "layout" not in gathered.unread:
        close = nearest(use.name, held)
        mend = f"Did you mean '{close}'?" if close else f"Add it under 'facts:' in rules/layouts.yaml: {use.name}: …"
        what = f"{use.by} reads {quoted(use.name)}, which no layout holds among its facts"
        _say(gathered, use, "unknown-layout-fact", what, mend)


_CHECKS: dict[str, Callable[[Gathered, Use], None]] = {
    "choice": _choice,
    "has": _has,
    "compare": _number,
    "amount": _amount,
    "input": _name,
    "answer": _answer,
    "name": _name,
    "dated": _dated,
    "layout_fact": _layout_fact,
    "gate": _known("gate", "rules/gates.yaml"),
    "stop": _known("stop", "rules/stops.yaml"),
    "rule": _known("rule", "rules/findings"),
    "limit": _known("limit", "rules/limits.yaml"),
    "source": _known("source", "rules/sources.yaml"),
    **{kind: _known("task", "rules/tasks") for kind in _TASK_USES},
}


def _layouts(gathered: Gathered) -> None:
    asked = gathered.table("question").get("layout")
    if asked is None or "layout" in gathered.unread:
        return
    for name in gathered.table("layout"):
        if name not in asked.choices:
            what = f"layout {name} is no answer of the question 'layout' ({asked.place})"
            close = nearest(name, asked.choices)
            mend = f"Did you mean '{close}'?" if close else "Add it to the choices of that question."
            at_entry(gathered, "layout", name, "unknown-layout", what, mend)
    for choice in asked.choices:
        if ("layout", choice) not in gathered.tried:
            what = f"the answer '{choice}' of 'layout' has no entry in rules/layouts.yaml"
            at_entry(
                gathered, "question", "layout", "unknown-layout", what, "Describe it there, or take the answer out."
            )


def _all_gates(gathered: Gathered) -> None:
    if "gate" in gathered.unread or not gathered.places:
        return
    for gate in GATES:
        if ("gate", gate) not in gathered.tried:
            file = next(
                (place[0] for (kind, _), place in gathered.places.items() if kind == "gate"), "rules/gates.yaml"
            )
            gathered.unread.add("gate")
            what = f"the gate '{gate}' is missing"
            gathered.problem(file, 1, "missing-gate", what, f"Gates are {', '.join(GATES)}; describe each.")


def _unused(gathered: Gathered) -> None:
    used: dict[str, set[str]] = {}
    for use in gathered.uses:
        if use.by.split()[-1] != use.name or use.kind == "source":
            used.setdefault(use.kind, set()).add(use.name)
    asked = {name for kind in _ASKING for name in used.get(kind, ())} | set(READ_BY_PROGRAM)
    lost = gathered.unread & {"rule", "fact", "gate", "stop", "task"}
    for question in gathered.table("question").values():
        if question.id not in asked and not lost:
            what = f"no rule, gate, task or derived fact reads the answer of '{question.id}'"
            at_entry(
                gathered,
                "question",
                question.id,
                "unused-question",
                what,
                "Write the rule that needs it, or take it out.",
            )
    for fact in gathered.table("fact").values():
        if fact.id not in asked and not fact.text and not lost:
            what = f"nothing reads the derived fact '{fact.id}', and it has no text to be shown with"
            at_entry(gathered, "fact", fact.id, "unused-fact", what, "Use it, add: text: …, or take it out.")
    in_figures = _words_of_figures() if gathered.table("source") else set()
    for name in gathered.table("source"):
        if name not in used.get("source", ()) and name not in in_figures and not gathered.unread:
            what = f"nothing rests on the source '{name}'"
            at_entry(gathered, "source", name, "unused-source", what, "Name it where it is used, or take it out.")
    called = used.get("task", set()) | {gate.first_task for gate in gathered.table("gate").values()}
    for task in gathered.table("task").values():
        if task.id not in called and not lost:
            what = f"no rule, gate, stop or question calls for the task '{task.id}'"
            at_entry(
                gathered, "task", task.id, "unused-task", what, "Add it to the rule that needs it, or take it out."
            )


def _words_of_figures() -> set[str]:
    """Every word between quotes in the code of the figures: a figure names its sources by their ids."""
    folder = os.path.join(os.path.dirname(os.path.dirname(__file__)), "figures")
    words: set[str] = set()
    for name in sorted(os.listdir(folder)) if os.path.isdir(folder) else ():
        if name.endswith(".py"):
            with open(os.path.join(folder, name), encoding="utf-8") as file:
                words.update(re.findall(r"""["']([a-z][a-z0-9-]+)["']""", file.read()))
    return words


def _first_places(gathered: Gathered) -> None:
    taken: dict[int, Question] = {}
    for question in gathered.table("question").values():
        if question.first and (other := taken.setdefault(question.first, question)) is not question:
            what = f"'{question.id}' and '{other.id}' ({other.place}) both stand at place {question.first} of the first"
            at_entry(gathered, "question", question.id, "double-first", what, "Give one of them another place.")
