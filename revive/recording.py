"""Put answers, finished work and readings into the text of a record; what they replace is kept under `earlier`."""

from collections.abc import Mapping
from typing import Any

from revive.model import Answer, Question, Record, ReviveError, RuleBase, Value, Work
from revive.problems import nearest, quoted
from revive.record import WrongValue, check_value
from revive.record_edit import RecordText


def question_named(base: RuleBase, name: str) -> Question:
    """The question with this id; ReviveError names the nearest one where there is none."""
    question = base.questions.get(name)
    if question is None:
        close = nearest(name, base.questions)
        mend = f"Did you mean '{close}' ({base.questions[close].place})?" if close else "See the rule base's questions."
        raise ReviveError(f"no question is called {quoted(name)}\n    {mend}")
    return question


def typed_value(question: Question, text: str) -> Value:
    """The value of an answer as typed on a command line; several ticks are parted by commas."""
    given: Any = text.strip()
    if question.kind == "many" and "," in given:
        given = [part.strip() for part in given.split(",") if part.strip()]
    try:
        return check_value(question, given)
    except WrongValue as wrong:
        raise ReviveError(f"{question.id}: {wrong.what} [{wrong.code}]\n    {wrong.mend}") from None


def put_answer(text: RecordText, record: Record, name: str, answer: Answer) -> None:
    """Set an answer; one that it replaces goes to `earlier` with its date."""
    old = record.answers.get(name)
    if old is not None and old.value != answer.value:
        text.append("earlier", {"question": name, **_answer_entry(old)})
    entry = _answer_entry(answer)
    text.put("answers", name, entry["value"] if len(entry) == 1 else entry)


def take_answer(text: RecordText, record: Record, name: str) -> None:
    """Take an answer out again; it is kept under `earlier`."""
    old = record.answers.get(name)
    if old is not None:
        text.append("earlier", {"question": name, **_answer_entry(old)})
        text.take("answers", name)


def put_work(text: RecordText, record: Record, name: str, work: Work) -> None:
    """Record a task as done; an older record of it goes to `earlier`."""
    old = record.done.get(name)
    if old is not None:
        text.append("earlier", {"task": name, **_work_entry(old)})
    text.put("done", name, _work_entry(work) or "")


def put_reading(text: RecordText, reading: Mapping[str, Any]) -> None:
    """Add one measurement to the readings."""
    text.append("readings", reading)


def _answer_entry(answer: Answer) -> dict[str, Any]:
    value = list(answer.value) if isinstance(answer.value, tuple) else answer.value
    rest = {"on": answer.on, "by": answer.by, "how": answer.how}
    return {"value": value, **{key: said for key, said in rest.items() if said}}


def _work_entry(work: Work) -> dict[str, Any]:
    rest = {"on": work.on, "by": work.by, "note": work.note, **work.details}
    return {key: said for key, said in rest.items() if said not in ("", None)}
