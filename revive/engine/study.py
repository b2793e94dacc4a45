"""Read a record in every way that a plan needs, and judge every rule. Pure."""

from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.conditions import StandIn, Ticks
from revive.engine.dates import day_number
from revive.engine.facts import (
    Case,
    Reading,
    blank,
    is_askable,
    is_blind,
    open_case,
    recorded_values,
    worst_value,
)
from revive.engine.gates import Judge
from revive.engine.settled import may_exist_here, settle_reading
from revive.frozen import Frozen, field
from revive.model import Condition, Record, RuleBase
from revive.plan import Because


class Study(Frozen, eq=False):
    """A case with its readings and what became of each rule; everything that a plan is written from.

    recorded: what was answered. assumed: the worst where it was "don't know".
    exists: tasks that do not certainly miss on this machine. states: rule id -> certain, assumed, ...
    """

    case: Case
    judge: Judge
    recorded: Reading
    assumed: Reading
    exists: frozenset[str] = frozenset()
    states: dict[str, str] = field(default_factory=dict)
    guessed: dict[str, Any] = field(default_factory=dict)

    def state_of(self, rule_id: str) -> str:
        """What becomes of a rule: certain, assumed, possible or quiet."""
        test = self.case.compiled.rules[rule_id]
        if test(self.recorded.sight):
            return "certain"
        truth = test(self.assumed.sight)
        return "assumed" if truth else "quiet" if truth is False else "possible"


def study_case(base: RuleBase, record: Record, today: str) -> Study:
    """Read a record in every way that a plan needs and judge every rule."""
    case = open_case(compile_base(base), record, today)
    judge = Judge(case)
    given = recorded_values(case)
    masked = frozenset(q.id for q in base.questions.values() if q.id not in given and not is_askable(case, q))
    exists = may_exist_here(case, Reading(case, given))
    recorded = settle_reading(case, Reading(case, given, masked), judge.needed, exists)
    worst, guessed = dict(given), {}
    for name, value in given.items():
        question = base.questions[name]
        if value is None:
            worst[name] = guessed[name] = worst_value(case, question, given)
        elif is_blind(question, value):
            guess = worst_value(case, question, given)
            worst[name] = guessed[name] = value if guess is None else StandIn(guess, value)
        elif isinstance(value, Ticks) and value.unsure:
            stand_in = worst_value(case, question, given)
            worst[name] = Ticks(value.has | (stand_in.has if stand_in else frozenset()))
            guessed[name] = worst[name]
    assumed = settle_reading(case, Reading(case, worst, masked, presuming=True), judge.needed, exists)
    study = Study(case, judge, recorded, assumed, exists, guessed=guessed)
    case.from_plan["oldest_stop_days"] = _oldest_stop_days(study)
    study.states.update((rule, study.state_of(rule)) for rule in base.rules)
    return study


def _oldest_stop_days(study: Study) -> float:
    """Days since the oldest dated finding that raised a stop which still stands; 0 where there is none."""
    case, oldest = study.case, 0
    for rule in case.compiled.base.rules.values():
        if not rule.stop or case.compiled.rules[rule.id](study.recorded.sight) is not True:
            continue
        dates = [case.answers[name].on for name in case.compiled.questions_of[rule.id] if name in case.answers]
        dates = [on for on in dates if on]
        if not dates or max(dates) >= case.today:
            continue
        if any(study.judge.cleared(rule, gate) is not True for gate in rule.holds):
            oldest = max(oldest, day_number(case.today) - day_number(max(dates)))
    return float(oldest)


def because(study: Study, condition: Condition | None, state: str) -> tuple[Because, ...]:
    """The answers that a condition in this state rests on, worst-case stand-ins marked."""
    found = []
    for name in study.case.compiled.questions_in(condition):
        answer = study.case.answers.get(name)
        if answer is not None and name in study.guessed and state != "certain":
            found.append(Because(name, plain(study.guessed[name]), True))
        elif answer is not None:
            found.append(Because(name, answer.value, False))
        else:
            known, guess = study.recorded.sight.rule[name], study.assumed.sight.rule[name]
            value = guess if known is None else known
            nothing = blank(study.case.compiled.base.questions[name])
            if value is not None and value == value and value != nothing:
                found.append(Because(name, plain(value), known is None))
    return tuple(found)


def plain(value: Any) -> Any:
    """A compared value as a record would hold it."""
    if isinstance(value, Ticks):
        return tuple(sorted(value.has))
    return str(value) if isinstance(value, StandIn) else value


def worst_of_all(study: Study) -> Reading:
    """The assumed reading with the worst plausible value for what was not asked either; for buying, not for judging."""
    case, values = study.case, study.assumed.given
    guesses = {
        question.id: worst_value(case, question, values)
        for question in case.compiled.base.questions.values()
        if question.id not in values and question.kind == "number"
    }
    return Reading(case, values, study.assumed.masked, study.assumed.absent, guesses, presuming=True)
