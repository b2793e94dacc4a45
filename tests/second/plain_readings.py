"""One way of reading a record, done slowly and plainly: what a name is worth, and what a condition is worth.

Written from the definition of gates alone and sharing no code with the engine, so that both can be held against each
other. Truth is True, False or None for unknown, joined by the strong tables of Kleene, Introduction to
Metamathematics (1952), section 64. Figures are not computed here: a fact of kind `figure` is always unknown, which is
right as long as no rule and no gate reads one (test_agreement checks that). Readings of gauges (`readings:` in a
record) are not turned into answers here.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from revive.model import DONT_KNOW, MUST_KNOW, Answer, Condition, Question, Record, RuleBase
from second.plain_values import Ticks, older

Truth = bool | None
UNKNOWN = "unknown"
ABSENT = "absent"


@dataclass(frozen=True)
class Case:
    """A rule base, a record and a day (ISO), with the short questions that every reading asks of them."""

    base: RuleBase
    record: Record
    today: str
    found: dict[Condition | None, frozenset[tuple[str, str]]] = field(default_factory=dict)

    def answer(self, name: str) -> Answer | None:
        return self.record.answers.get(name)

    def layout_entries(self, part: str) -> Mapping[str, Any]:
        """What the recorded layout settles, presumes or states."""
        answer = self.answer("layout")
        layout = self.base.layouts.get(str(answer.value)) if answer else None
        return getattr(layout, part) if layout else {}

    def questions_in(self, condition: Condition | None) -> frozenset[str]:
        """Every question that a condition rests on, also through facts."""
        return frozenset(name for kind, name in self._mentions(condition) if kind == "question")

    def tasks_in(self, condition: Condition | None) -> frozenset[str]:
        """Every task whose being done a condition names, also through facts."""
        return frozenset(name for kind, name in self._mentions(condition) if kind == "task")

    def _mentions(self, condition: Condition | None) -> frozenset[tuple[str, str]]:
        if condition not in self.found:
            self.found[condition] = frozenset(self._walk(condition))
        return self.found[condition]

    def _walk(self, condition: Condition | None) -> Iterator[tuple[str, str]]:
        if condition is None:
            return
        kind = condition[0]
        if kind in ("all", "any"):
            for part in condition[1]:
                yield from self._walk(part)
        elif kind in ("not", "when"):
            for part in condition[1:]:
                yield from self._walk(part)
        elif kind == "done":
            yield "task", condition[1]
        elif kind in ("is", "has", "compare"):
            yield from self._behind(condition[1])
            if kind == "compare" and condition[3][0] == "fact":
                yield from self._behind(condition[3][1])

    def _behind(self, name: Any) -> Iterator[tuple[str, str]]:
        if name in self.base.questions:
            yield "question", name
            return
        fact = self.base.facts.get(name)
        if fact is None:
            return
        if fact.kind == "yes_when":
            yield from self._walk(fact.of)
        elif fact.kind == "points":
            for line in fact.of:
                yield from self._walk(line["when"])
        elif fact.kind in ("largest", "smallest", "product", "quotient"):
            for part in fact.of:
                yield from self._behind(part)
        elif fact.kind == "band":
            yield from self._behind(fact.of["of"])
        elif fact.kind in ("age_of", "days_since"):
            yield from self._behind(fact.of)
        elif fact.kind == "by_layout":
            yield "question", "layout"
            if fact.of == "points":
                yield "question", "cylinders"
                yield "question", "valves_per_cylinder"


def as_value(question: Question, value: Any, others: frozenset[str] | None = frozenset()) -> Any:
    """A plain value as a reading holds it."""
    if question.kind == "number":
        return float(value)
    several = (value,) if isinstance(value, str) else tuple(value)
    return Ticks(frozenset(several), others)


@dataclass
class Reading:
    """side: recorded or assumed (the plan's two readings) or gate. closed: questions that cannot be asked yet.

    absent: questions that do not apply. Both read as false in a rule and as unknown in a need.
    """

    case: Case
    side: str
    closed: frozenset[str] = frozenset()
    absent: frozenset[str] = frozenset()
    seen: dict[Any, Any] = field(default_factory=dict)

    def truth(self, condition: Condition | None, need: bool = False, rule: str = "") -> Truth:
        """What a condition is worth; None as a condition is true.

        need: read it as evidence, where what does not apply is unknown. rule: let only work that counts for this rule
        be done, and let nothing be known that was seen before the rule's own finding.
        """
        if condition is None:
            return True
        kind = condition[0]
        if kind == "always":
            return True
        if kind == "all":
            return kleene_and(self.truth(part, need, rule) for part in condition[1])
        if kind == "any":
            return kleene_or(self.truth(part, need, rule) for part in condition[1])
        if kind == "not":
            return kleene_not(self.truth(condition[1], need, rule))
        if kind == "when":
            guard = self.truth(condition[1], False, rule)
            return kleene_or((kleene_not(guard), self.truth(condition[2], need, rule)))
        if kind == "done":
            return self.done(condition[1], rule)
        value = self.value(condition[1], need, rule)
        if kind == "compare":
            return self._compare(value, condition, need, rule)
        wanted = (condition[2],) if kind == "has" else condition[2]
        if value == ABSENT:
            return None if need else False
        if value == UNKNOWN:
            return None
        return kleene_or(self._is(value, choice) for choice in wanted)

    def done(self, task: str, rule: str = "") -> bool:
        return self.counts(task, rule) if rule else task in self.case.record.done

    def counts(self, task: str, rule: str) -> bool:
        """Whether recorded work counts for a rule: not where the rule rests on a finding that is newer.

        A finding made while turning the engine or during the work (stages 4 and 5) wants newer work; one made hands on
        (stage 3) voids only work that is certainly older; what is known or seen from outside voids none. A finding that
        the work brought to light, with a time of day that is the work's own, leaves the work standing; so does one that
        later work brought to light in what this work had laid open and nobody had closed, and whatever is read off an
        instrument that the work fitted.
        """
        work = self.case.record.done.get(task)
        if work is None:
            return False
        for name in self.rests_on(self.case.base.rules[rule].when):
            answer, stage = self.case.answer(name), self.case.base.questions[name].stage
            if answer is None:
                continue
            if name in self.case.base.tasks[task].reads or self._is_own_finding(task, name, answer.on):
                continue
            if stage >= 4 and not older(answer.on, work.on):
                return False
            if stage == 3 and answer.on and older(work.on, answer.on):
                return False
        return True

    def _is_own_finding(self, task: str, name: str, found_on: str) -> bool:
        """This work found it, at that very time; or it laid open what other work found at that very time.

        Laid open: it too may find such things, it must come before the finder and certainly did, and no work that must
        come after the finder, now on record or since done again, can have been done between the two.
        """
        tasks, done = self.case.base.tasks, self.case.record.done
        if "T" not in found_on or name not in tasks[task].finds:
            return False
        begun = done[task].on
        if begun == found_on:
            return True
        work = [(other, one.on) for other, one in done.items()]
        work += [(entry["task"], str(entry.get("on", ""))) for entry in self.case.record.earlier if "task" in entry]
        for finder, one in done.items():
            if one.on != found_on or name not in tasks[finder].finds or task not in all_before(self.case.base, finder):
                continue
            between = [
                other
                for other, on in work
                if finder in all_before(self.case.base, other) and not older(on, begun) and not older(found_on, on)
            ]
            if older(begun, found_on) and not between:
                return True
        return False

    def rests_on(self, condition: Condition, wanted: bool = True) -> frozenset[str]:
        """The questions by which a condition is, or could be, as wanted; what already speaks against it is left out."""
        if self.truth(condition) is (not wanted):
            return frozenset()
        kind = condition[0]
        if kind in ("all", "any"):
            return frozenset().union(*(self.rests_on(part, wanted) for part in condition[1]))
        if kind == "not":
            return self.rests_on(condition[1], not wanted)
        if kind == "when":
            return self.rests_on(condition[1], not wanted) | self.rests_on(condition[2], wanted)
        fact = self.case.base.facts.get(condition[1]) if kind == "is" else None
        if fact is not None and fact.kind == "yes_when":
            return self.rests_on(fact.of, wanted == ("yes" in condition[2]))
        return self.case.questions_in(condition)

    def _is(self, value: Any, choice: str) -> Truth:
        if isinstance(value, float):
            return value == float(choice)
        if choice in value.held:
            return True
        return None if value.others is None else choice in value.others

    def _compare(self, value: Any, condition: Condition, need: bool, rule: str) -> Truth:
        operator, (kind, name), times = condition[2], condition[3], condition[4]
        if kind == "number":
            reference: Any = float(name)
        elif kind == "limit":
            maker = self.case.record.maker.get(name)
            reference = maker.value if maker else self.case.base.limits[name].value
        else:
            reference = self.value(name, need, rule)
        if ABSENT in (value, reference):
            return None if need else False
        if UNKNOWN in (value, reference):
            return None
        limit = reference * times
        if operator == "at_least":
            return bool(value >= limit)
        if operator == "more_than":
            return bool(value > limit)
        if operator == "at_most":
            return bool(value <= limit)
        return bool(value < limit)

    def value(self, name: str, need: bool = False, rule: str = "") -> Any:
        """A number, Ticks, UNKNOWN or ABSENT."""
        key = (name, need, rule)
        if key not in self.seen:
            question = self.case.base.questions.get(name)
            late = question and rule and self._before_the_finding(question, rule)
            self.seen[key] = UNKNOWN if late else self._answered(question) if question else self._fact(name, need, rule)
        return self.seen[key]

    def _before_the_finding(self, question: Question, rule: str) -> bool:
        """Seen hands on or later, but certainly before the rule's own finding from turning or working: it clears nothing.

        What the machine is made of is no such thing.
        """
        answer, own = self.case.answer(question.id), self.rests_on(self.case.base.rules[rule].when)
        if answer is None or question.stage < 3 or answer.value in question.lasting:
            return False
        found = [(self.case.base.questions[name].stage, self.case.answer(name)) for name in own]
        return any(other is not None and stage >= 4 and older(answer.on, other.on) for stage, other in found)

    def _answered(self, question: Question) -> Any:
        name, answer = question.id, self.case.answer(question.id)
        if answer is None:
            settled = self.case.layout_entries("settles")
            if name in settled:
                return as_value(question, settled[name])
            if self.side == "assumed" and name in self.case.layout_entries("presumes"):
                return as_value(question, self.case.layout_entries("presumes")[name])
        if name in self.closed or name in self.absent:
            return ABSENT
        if answer is None:
            return UNKNOWN
        if self.side == "gate" and self._is_no_evidence(question, answer):
            return UNKNOWN
        if answer.value == DONT_KNOW:
            return self._worst(question) if self.side == "assumed" else UNKNOWN
        if question.kind == "number":
            return float(str(answer.value))
        several = answer.value if isinstance(answer.value, tuple) else (str(answer.value),)
        looked = [choice for choice in several if choice != DONT_KNOW]
        if DONT_KNOW not in several and not set(looked) & set(question.blind):
            return Ticks(frozenset(looked))
        worst = self._worst(question) if self.side == "assumed" else UNKNOWN
        return Ticks(frozenset(looked), worst.held if isinstance(worst, Ticks) else None)

    def _is_no_evidence(self, question: Question, answer: Answer) -> bool:
        """Only told of a thing to be seen, or older than finished work that asks it again."""
        if question.stage >= 2 and answer.how in ("told", "papers"):
            return True
        return any(
            question.id in self.case.base.tasks[task].asks_again and older(answer.on, work.on)
            for task, work in self.case.record.done.items()
        )

    def _worst(self, question: Question) -> Any:
        """The worst plausible value of a question, as a number or Ticks; UNKNOWN where nothing may be assumed."""
        worst = question.worst
        if worst == MUST_KNOW or worst is None:
            return UNKNOWN
        if not isinstance(worst, Mapping):
            return as_value(question, worst)
        if "from_layout" in worst:
            stated = self.case.layout_entries("facts").get(worst["from_layout"])
            return UNKNOWN if stated is None else float(stated)
        start = self._recorded_or_worst(worst["from"])
        if start == UNKNOWN:
            return UNKNOWN
        return max(start + worst.get("plus", 0), worst.get("at_least", float("-inf")))

    def _recorded_or_worst(self, name: str) -> Any:
        """A number, or UNKNOWN."""
        fact = self.case.base.facts.get(name)
        if fact is not None:
            year: Any = self._recorded_or_worst(fact.of) if fact.kind == "age_of" else UNKNOWN
            return UNKNOWN if year == UNKNOWN else int(self.case.today[:4]) - year
        answer = self.case.answer(name)
        if answer is not None and answer.value != DONT_KNOW:
            return float(str(answer.value))
        return self._worst(self.case.base.questions[name])

    def _fact(self, name: str, need: bool, rule: str) -> Any:
        fact = self.case.base.facts[name]
        kind, of = fact.kind, fact.of
        if kind == "yes_when":
            truth = self.truth(of, need, rule)
            return UNKNOWN if truth is None else Ticks(frozenset(["yes" if truth else "no"]))
        if kind == "points":
            scored = [(self.truth(line["when"], need, rule), line["add"]) for line in of]
            return UNKNOWN if any(t is None for t, _ in scored) else float(sum(add for t, add in scored if t))
        if kind == "by_layout":
            return self._by_layout(of, need, rule)
        if kind == "days_since":
            work = self.case.record.done.get(of)
            on = work.on if work and self.done(of, rule) else ""
            if of in self.case.base.questions:
                answer = self.case.answer(of)
                on = answer.on if answer else ""
            return float((date.fromisoformat(self.case.today) - date.fromisoformat(on[:10])).days) if on else UNKNOWN
        if kind == "from_plan":
            return 0.0 if of == "oldest_stop_days" else UNKNOWN
        if kind == "figure":
            return UNKNOWN
        names = {"band": lambda: [of["of"]], "age_of": lambda: [of]}.get(kind, lambda: list(of))()
        inputs = [self.value(part, need, rule) for part in names]
        if UNKNOWN in inputs:
            return UNKNOWN
        return ABSENT if ABSENT in inputs else self._reckon(kind, of, inputs)

    def _reckon(self, kind: str, of: Any, inputs: list[float]) -> Any:
        if kind == "band":
            fitting = [band for top, band in of["up_to"] if inputs[0] <= top]
            return Ticks(frozenset([fitting[0] if fitting else of["above"]]))
        if kind == "age_of":
            return int(self.case.today[:4]) - inputs[0]
        if kind == "largest":
            return max(inputs)
        if kind == "smallest":
            return min(inputs)
        if kind == "product":
            total = 1.0
            for number in inputs:
                total *= number
            return total
        return inputs[0] / inputs[1] if inputs[1] else UNKNOWN

    def _by_layout(self, wanted: str, need: bool, rule: str) -> Any:
        layout_value = self.value("layout", need, rule)
        if not isinstance(layout_value, Ticks):
            return layout_value
        ids = layout_value.held | (layout_value.others or frozenset())
        if len(ids) != 1:
            return UNKNOWN
        layout = self.case.base.layouts[next(iter(ids))]
        if wanted != "points":
            stated = layout.facts.get(wanted)
            if stated is None:
                return UNKNOWN
            return Ticks(frozenset([stated])) if isinstance(stated, str) else float(stated)
        total = 0.0
        for point in layout.points:
            asked = {"engine": [], "cylinder": ["cylinders"], "valve": ["cylinders", "valves_per_cylinder"]}
            number = float(point.get("count", 1))
            for name in asked[point.get("per", "engine")]:
                value = self.value(name, need, rule)
                if not isinstance(value, float):
                    return value
                number *= value
            total += number
        return total


def all_before(base: RuleBase, task: str) -> set[str]:
    """Every task that comes before this one, near or far."""
    waiting, found = list(base.tasks[task].after) if task in base.tasks else [], set()
    while waiting:
        name = waiting.pop()
        if name in base.tasks and name not in found:
            found.add(name)
            waiting += base.tasks[name].after
    return found


def kleene_and(parts: Iterable[Truth]) -> Truth:
    """False if any is; else unknown if any is; else true."""
    worth = list(parts)
    if any(part is False for part in worth):
        return False
    return None if any(part is None for part in worth) else True


def kleene_or(parts: Iterable[Truth]) -> Truth:
    """True if any is; else unknown if any is; else false."""
    worth = list(parts)
    if any(part is True for part in worth):
        return True
    return None if any(part is None for part in worth) else False


def kleene_not(part: Truth) -> Truth:
    """Unknown stays unknown."""
    return None if part is None else not part
