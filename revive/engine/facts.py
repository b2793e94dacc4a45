"""What a record says, as conditions may see it: answers, guesses, derived facts. Pure: the day is handed in."""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any

from revive.engine.compiled import Compiled
from revive.engine.conditions import NO_TICKS, NOT_A_NUMBER, NOT_APPLICABLE, Sight, Ticks
from revive.engine.dates import day_number, strictly_after
from revive.frozen import Frozen, field, replace
from revive.model import DONT_KNOW, MUST_KNOW, Answer, Fact, Question, Record


class Case(Frozen, eq=False):
    """One record under study on one day.

    answers: the record's, and what its readings answer. limits: name -> number, the maker's figure where there is one.
    from_plan: facts that only the plan itself can tell, once it has them.
    opened: tasks that are done, and those with which questions open that do not exist on this machine while later work is done.
    """

    compiled: Compiled
    record: Record
    today: str
    answers: Mapping[str, Answer]
    limits: Mapping[str, float]
    from_plan: dict[str, Any] = field(default_factory=dict)
    opened: frozenset[str] = frozenset()


def open_case(compiled: Compiled, record: Record, today: str) -> Case:
    """Gather what the record says. today: ISO date."""
    limits = {limit.id: limit.value for limit in compiled.base.limits.values()}
    limits.update({name: figure.value for name, figure in record.maker.items() if name in limits})
    answers = dict(record.answers)
    mended = _asked_again(compiled, record) if record.readings else {}
    for question in compiled.measured if record.readings else ():
        if measured := _from_readings(question, record, mended.get(question.id, ())):
            told = answers.get(question.id)
            if told is None or not told.on or not strictly_after(told.on, measured.on):
                answers[question.id] = measured
    case = Case(compiled, record, today, answers, limits, opened=frozenset(record.done))
    openers = {*compiled.late_questions, *compiled.opens_with}
    missing = [task for task in openers if task not in record.done and task in compiled.only_if]
    before = frozenset[str]().union(*(compiled.earlier[done] for done in record.done)) if missing else ()
    passed = [task for task in missing if task in before]
    if passed:
        plain = Reading(case, gate_values(case))
        found = [task for task in passed if compiled.only_if[task](plain.sight) is False]
        case = replace(case, opened=case.opened.union(found))
    return case


def _asked_again(compiled: Compiled, record: Record) -> dict[str, list[str]]:
    """question -> the times of the work on record that asks it again."""
    voided: dict[str, list[str]] = {}
    for task_id, work in record.done.items():
        for name in compiled.base.tasks[task_id].asks_again:
            voided.setdefault(name, []).append(work.on)
    return voided


def _from_readings(question: Question, record: Record, mended: Sequence[str]) -> Answer | None:
    """The answer that the record's readings give, dated as the newest of them; None where a cylinder is missing.

    A sum counts only readings that are not older than the last work that asks the question again.
    """
    spec = question.from_readings
    key, apart, take = spec.get("field", "value"), spec.get("one_per", ""), spec.get("take", "last")
    found = [r for r in record.readings if r.get("what") == spec["what"] and isinstance(r.get(key), int | float)]
    if take == "sum":
        found = [r for r in found if not any(strictly_after(on, str(r.get("on", ""))) for on in mended)]
    if not found:
        return None
    newest = str(found[-1].get("on", ""))
    if apart:
        cylinders = record.answers.get("cylinders")
        found = list({reading.get(apart): reading for reading in found}.values())
        if cylinders and isinstance(cylinders.value, float | int) and len(found) < cylinders.value:
            return None
    numbers = [float(reading[key]) for reading in found]
    value = {"least": min(numbers), "most": max(numbers), "sum": sum(numbers), "last": numbers[-1]}[take]
    return Answer(value, newest, how="measured")


def known_value(question: Question, answer: Answer) -> Any:
    """The answer as conditions compare it; None for "don't know"."""
    value = answer.value
    if value == DONT_KNOW:
        return None
    if question.kind == "many":
        return _ticks((value,) if isinstance(value, str) else value)
    return value if isinstance(value, str) else float(value)  # type: ignore[arg-type]


@lru_cache(maxsize=1024)
def _ticks(ticked: tuple[str, ...]) -> Ticks:
    return Ticks(frozenset(ticked) - {DONT_KNOW}, DONT_KNOW in ticked)


def is_blind(question: Question, value: Any) -> bool:
    """Whether a known value means that nobody looked."""
    return isinstance(value, str) and value in question.blind


def recorded_values(case: Case) -> dict[str, Any]:
    """Answers as the plan reads them: what was told counts; "don't know" is None."""
    asked = case.compiled.base.questions
    return {name: known_value(asked[name], answer) for name, answer in case.answers.items()}


def gate_values(case: Case) -> dict[str, Any]:
    """Answers as a gate reads them: only what was seen, and not voided by work that asks the question again."""
    asked, voided = case.compiled.base.questions, _asked_again(case.compiled, case.record)
    values: dict[str, Any] = {}
    for name, answer in case.answers.items():
        only_told = answer.how in ("told", "papers") and asked[name].stage > 1
        stale = bool(answer.on) and any(strictly_after(on, answer.on) for on in voided.get(name, ()))
        values[name] = None if only_told or stale else known_value(asked[name], answer)
    return values


def is_askable(case: Case, question: Question) -> bool:
    """Whether the first task behind the question's gate is on record, or other work behind it where that task does not exist."""
    return not question.opens_after or question.opens_after in case.opened


def worst_value(case: Case, question: Question, values: Mapping[str, Any]) -> Any:
    """What "don't know" stands for in the plan, as conditions compare it; None where nothing can be assumed."""
    worst = question.worst
    if isinstance(worst, Mapping):
        return _worst_from(case, worst, values)
    if worst == MUST_KNOW or worst is None:
        return None
    if question.kind == "many":
        return Ticks(frozenset((worst,) if isinstance(worst, str) else worst))
    return worst if isinstance(worst, str) else float(worst)


def _worst_from(case: Case, worst: Mapping[str, Any], values: Mapping[str, Any]) -> float | None:
    base = case.compiled.base
    if "from_layout" in worst:
        layout = base.layouts.get(str(values.get("layout")))
        start = layout.facts.get(worst["from_layout"]) if layout else None
    elif worst["from"] in base.questions:
        start = values.get(worst["from"])
        if start is None:
            start = worst_value(case, base.questions[worst["from"]], values)
    else:
        fact = base.facts[worst["from"]]
        year = values.get(fact.of) if fact.kind == "age_of" else None
        if fact.kind == "age_of" and year is None:
            year = worst_value(case, base.questions[fact.of], values)
        start = None if year is None else int(case.today[:4]) - year
    if not isinstance(start, int | float):
        return None
    return max(float(start) + float(worst.get("plus", 0)), float(worst.get("at_least", "-inf")))


class Values(dict[str, Any]):
    """Values by name for one side of a Sight; whatever is not there yet is worked out when it is asked for."""

    __slots__ = ("as_need", "reading")

    def __init__(self, reading: "Reading", as_need: bool) -> None:
        super().__init__()
        self.reading, self.as_need = reading, as_need

    def __missing__(self, name: str) -> Any:
        reading = self.reading
        if name in reading.given:
            value = self[name] = reading.given[name]
            return value
        self[name] = None  # what asks for itself is unknown
        question = reading.case.compiled.base.questions.get(name)
        if question:
            value = reading.unanswered(question, self.as_need)
        else:
            fact = reading.case.compiled.base.facts.get(name)  # another rule base may not know of it at all
            value = None if fact is None else reading.fact(fact, self, self.as_need)
        self[name] = value
        return value


class Reading:
    """One way of reading a case.

    given: known values by question; None means answered but unknown.
    masked: unanswered questions that cannot be asked yet. absent: unanswered questions that no called task yields.
    guesses: values taken for unanswered questions. presuming: what the layout presumes is taken too.
    """

    __slots__ = ("absent", "case", "given", "guesses", "masked", "presuming", "sight")

    def __init__(
        self,
        case: Case,
        given: Mapping[str, Any],
        masked: frozenset[str] = frozenset(),
        absent: frozenset[str] = frozenset(),
        guesses: Mapping[str, Any] | None = None,
        presuming: bool = False,
        done: frozenset[str] | None = None,
    ) -> None:
        self.case, self.given, self.masked, self.absent = case, given, masked, absent
        self.guesses, self.presuming = guesses or {}, presuming
        counted = frozenset(case.record.done) if done is None else done
        self.sight = Sight({}, {}, counted, case.limits)
        self.sight.rule, self.sight.need = Values(self, False), Values(self, True)

    def varied(
        self, case: Case, known: Mapping[str, Any], reached: frozenset[str], absent: frozenset[str] | None = None
    ) -> "Reading":
        """The same reading of a case in which some answers differ; what they cannot reach is taken over.

        absent: other questions that no called task yields; `reached` holds what that reaches too.
        """
        given = {**self.given, **known} if known else self.given
        other = Reading(
            case,
            given,
            self.masked.difference(known),
            (self.absent if absent is None else absent).difference(known),
            self.guesses,
            self.presuming,
            self.sight.done,
        )
        for old, new in ((self.sight.rule, other.sight.rule), (self.sight.need, other.sight.need)):
            new.update(old)  # type: ignore[attr-defined]
            for name in reached & old.keys():
                del new[name]  # type: ignore[attr-defined]
        return other

    def applies(self, question: Question) -> bool:
        """False where the question was never answered and its part or occasion is known not to exist."""
        if question.id in self.given:
            return True
        skip = self.case.compiled.skips.get(question.id)
        return question.id not in self.absent and not (skip and skip(self.sight))

    def unanswered(self, question: Question, as_need: bool) -> Any:
        """The value of a question without an answer, on one side of the sight."""
        name = "" if question.id == "layout" else str(self.sight.rule["layout"])
        layout = self.case.compiled.base.layouts.get(name)
        settled = layout.settles.get(question.id) if layout else None
        if settled is not None:
            return known_value(question, Answer(settled))
        if question.id in self.masked or not self.applies(question):
            return None if as_need else blank(question)
        guess = self.guesses.get(question.id)
        if guess is None and layout and self.presuming:
            guess = layout.presumes.get(question.id)
        return guess if guess is None or isinstance(guess, str) else float(guess)

    def fact(self, fact: Fact, values: Values, as_need: bool) -> Any:
        """A derived fact; None as soon as an input that it needs is unknown."""
        compiled = self.case.compiled
        if fact.kind == "yes_when":
            truth = compiled.fact_tests[fact.id][as_need](self.sight)
            return None if truth is None else "yes" if truth else "no"
        if fact.kind == "points":
            total = 0.0
            for on_rule, on_need, add in compiled.point_tests[fact.id]:
                truth = (on_need if as_need else on_rule)(self.sight)
                if truth is None:
                    return None
                total += add if truth else 0
            return total
        if fact.kind == "by_layout":
            return self._by_layout(fact.of, values)
        if fact.kind == "from_plan":
            return self.case.from_plan.get(fact.of)
        if fact.kind == "days_since":
            return self._days_since(fact.of)
        return compute(fact, values, self.case.today)

    def _by_layout(self, wanted: str, values: Values) -> Any:
        layout = self.case.compiled.base.layouts.get(values["layout"] or "")
        if layout is None:
            return None
        if wanted != "points":
            value = layout.facts.get(wanted, NOT_A_NUMBER)
            return value if isinstance(value, str) else float(value)
        total = 0.0
        for point in layout.points:
            count = float(point.get("count", 1))
            if point.get("per", "engine") != "engine":
                cylinders = values["cylinders"]
                each = 1.0 if point["per"] == "cylinder" else values["valves_per_cylinder"]
                if cylinders is None or each is None:
                    return None
                count *= cylinders * each
            total += count
        return total

    def _days_since(self, name: str) -> float | None:
        entry = self.case.record.done.get(name) or self.case.answers.get(name)
        return None if entry is None or not entry.on else float(day_number(self.case.today) - day_number(entry.on))


def blank(question: Question) -> Any:
    """The value with which every comparison is False."""
    return {"many": NO_TICKS, "number": NOT_A_NUMBER}.get(question.kind, NOT_APPLICABLE)


def compute(fact: Fact, values: Mapping[str, Any], today: str) -> Any:
    """A number or band from other values; None where one of them is unknown, blank where none applies."""
    if fact.kind == "figure":
        from revive.figures import figure_value

        inputs = {name: values[of] if isinstance(of, str) else of for name, of in fact.of["inputs"].items()}
        known = all(value is not None and value == value for value in inputs.values())
        return figure_value(fact.of["name"], inputs, fact.of.get("take", "")) if known else None
    names = [fact.of["of"]] if fact.kind == "band" else [fact.of] if fact.kind == "age_of" else fact.of
    inputs_list = [values[name] for name in names]
    if None in inputs_list:
        return None
    numbers = [number for number in inputs_list if number == number]
    if not numbers or (len(numbers) < len(names) and fact.kind not in ("largest", "smallest")):
        return NOT_APPLICABLE if fact.kind == "band" else NOT_A_NUMBER
    if fact.kind == "band":
        return next((name for limit, name in fact.of["up_to"] if numbers[0] <= limit), fact.of["above"])
    if fact.kind == "age_of":
        return int(today[:4]) - numbers[0]
    if fact.kind == "product":
        result = 1.0
        for number in numbers:
            result *= number
        return result
    if fact.kind == "quotient":
        return numbers[0] / numbers[1] if numbers[1] else None
    return max(numbers) if fact.kind == "largest" else min(numbers)
