"""Say what a look is worth: how much of the plan hangs on one answer that is not known yet. Pure.

Each answer that the question could still have is put in its place and the plan's work, gates and stops are found anew;
what is not the same under every answer hangs on the question. Nothing is sampled.
"""

from collections.abc import Mapping
from typing import Any

from revive.engine.calls import Call, Caller
from revive.engine.conditions import names_in
from revive.engine.facts import Reading, is_askable, known_value
from revive.engine.gates import Judge
from revive.engine.meant import parts_meant
from revive.engine.ripples import Reach, ripples_of
from revive.engine.settled import may_exist_here, settle_reading
from revive.engine.study import Study, study_case
from revive.engine.tryouts import answers_to_try
from revive.frozen import Frozen, replace
from revive.model import DONT_KNOW, GATES, Answer, Record, RuleBase, Value
from revive.plan import Plan

ASKING_MINUTES = {1: 2, 2: 3, 3: 5, 4: 10, 5: 10}
"""Minutes for a look that no task stands for, by stage of the question (from memory)."""
GATE_WEIGHT_H, STOP_WEIGHT_H = 3.0, 2.0
WHO_COST_H = {"owner": 0.0, "with_helper": 0.5, "skilled": 2.0, "shop": 4.0}


class Outcome(Frozen):
    """What one answer would mean. hours: hands-on, of the work that not every answer brings; parts: what it needs.

    also: the answer to the second question of a pair. days: of the whole plan, where they were reckoned.
    """

    value: Value
    hours: float
    tasks: tuple[str, ...]
    parts: tuple[str, ...]
    gates: tuple[str, ...]
    stops: tuple[str, ...]
    also: Value | None = None
    days: int | None = None


class Look(Frozen):
    """The worth of settling one question.

    task: the work that settles it, or "" where asking or looking is enough. minutes, who: of that look.
    hours_least, hours_most: hands-on hours that hang on the answer. parts, gates, stops: what does under some answer
    and not under another. together_with: a second question without which this one decides nothing.
    """

    question: str
    task: str
    minutes: int
    who: str
    allowed_now: bool
    hours_least: float
    hours_most: float
    parts: tuple[str, ...]
    gates: tuple[str, ...]
    stops: tuple[str, ...]
    outcomes: tuple[Outcome, ...]
    together_with: str = ""

    @property
    def parts_between(self) -> tuple[int, int]:
        """Kinds of parts that hang on the answer: the least and the most that an answer calls for."""
        counts = [len(one.parts) for one in self.outcomes]
        return min(counts, default=0), max(counts, default=0)

    @property
    def days_between(self) -> tuple[int, int] | None:
        """The shortest and the longest plan in days; None where they were not reckoned."""
        days = [one.days for one in self.outcomes if one.days is not None]
        return (min(days), max(days)) if days else None

    @property
    def decides(self) -> float:
        """How much hangs on it, in hours, gates and stops weighed against hours."""
        spread = self.hours_most - self.hours_least
        return spread + GATE_WEIGHT_H * len(self.gates) + STOP_WEIGHT_H * len(self.stops)

    @property
    def score(self) -> float:
        """What it decides for each hour of effort and risk."""
        return self.decides / (self.minutes / 60 + 0.25 + WHO_COST_H[self.who])


def rank_looks(base: RuleBase, record: Record, today: str, pairs: bool = True) -> list[Look]:
    """Every unknown that decides something, most telling first; looks that the open gates allow now come before the rest."""
    weigher = Weigher(Caller(study_case(base, record, today)))
    unknown = weigher.unknown()
    looks = [look for look in map(weigher.look, unknown) if look.decides]
    if pairs:
        alone = {look.question for look in looks}
        looks += weigher.pairs([name for name in unknown if name not in alone])
    place = {name: number for number, name in enumerate(base.questions)}
    return sorted(looks, key=lambda look: (not look.allowed_now, -look.score, place[look.question]))


class Weigher:
    """Weighs the unknown answers of one study."""

    def __init__(self, caller: Caller) -> None:
        self.caller, self.study, self.case, self.base = caller, caller.study, caller.case, caller.base
        self.ripples = ripples_of(self.case.compiled)
        self.bare = Reading(self.case, self.study.recorded.given)
        may_exist_here(self.case, self.bare)  # so that its values are there to be taken over
        self.whole = {"layout"} | {name for gate in self.base.gates.values() for name in names_in(gate.not_needed)}
        self._needed: dict[str, tuple[str, ...]] = {}

    def unknown(self) -> list[str]:
        """Questions that could be answered: not asked yet or answered "don't know", askable, and applying here."""
        case, found = self.case, []
        for question in self.base.questions.values():
            answer = case.answers.get(question.id)
            open_still = answer is None or answer.value == DONT_KNOW
            settled = answer is None and self.study.recorded.sight.rule[question.id] is not None
            if open_still and not settled and is_askable(case, question) and self.study.recorded.applies(question):
                found.append(question.id)
        return found

    def look(self, name: str) -> Look:
        """The worth of one question, every answer by itself."""
        return self._weigh(name, [{name: value} for value in answers_to_try(self.case, name)])

    def pairs(self, names: list[str]) -> list[Look]:
        """Questions that decide nothing by themselves but do together with one other that a rule reads with them."""
        tried: set[tuple[str, str]] = set()
        found = []
        for rule, state in self.study.states.items():
            if state != "possible":
                continue
            both = [q for q in self.case.compiled.questions_of[rule] if q in names]
            if len(both) != 2 or tuple(both) in tried:
                continue
            tried.add((both[0], both[1]))
            choices = [{both[0]: a, both[1]: b} for a in self._short(both[0]) for b in self._short(both[1])]
            look = replace(self._weigh(both[0], choices), together_with=both[1])
            if look.decides:
                found.append(look)
        return found

    def _short(self, name: str) -> list[Value]:
        return answers_to_try(self.case, name)[:8]

    def _weigh(self, name: str, choices: list[dict[str, Value]]) -> Look:
        seen = [self._under(chosen) for chosen in choices]
        always = set.intersection(*(set(tasks) for tasks, _, _ in seen)) if seen else set()
        gates_always = set.intersection(*(gates for _, gates, _ in seen)) if seen else set()
        stops_always = set.intersection(*(stops for _, _, stops in seen)) if seen else set()
        outcomes = []
        for chosen, (tasks, gates, stops) in zip(choices, seen, strict=True):
            extra = [task for task in self.base.tasks if task in tasks and task not in always]
            hours = sum(self.base.tasks[task].minutes[1] for task in extra if self._counts(task, tasks[task])) / 60
            parts = tuple(dict.fromkeys(item for task in extra for item in self._items(task)))
            outcomes.append(
                Outcome(
                    chosen[name],
                    round(hours, 2),
                    tuple(extra),
                    parts,
                    tuple(gate for gate in GATES if gate in gates - gates_always),
                    tuple(stop for stop in self.base.stops if stop in stops - stops_always),
                    next((value for other, value in chosen.items() if other != name), None),
                )
            )
        task = self._settling_task(name)
        return Look(
            question=name,
            task=task,
            minutes=self.base.tasks[task].minutes[1] if task else ASKING_MINUTES[self.base.questions[name].stage],
            who=self.base.tasks[task].who if task else "owner",
            allowed_now=self._allowed_now(name),
            hours_least=min((one.hours for one in outcomes), default=0.0),
            hours_most=max((one.hours for one in outcomes), default=0.0),
            parts=tuple(dict.fromkeys(part for one in outcomes for part in one.parts)),
            gates=tuple(gate for gate in GATES if any(gate in one.gates for one in outcomes)),
            stops=tuple(stop for stop in self.base.stops if any(stop in one.stops for one in outcomes)),
            outcomes=tuple(outcomes),
        )

    def _items(self, task: str) -> tuple[str, ...]:
        if task not in self._needed:
            self._needed[task] = tuple(part.item for part in parts_meant(self.study, self.base.tasks[task]))
        return self._needed[task]

    def _counts(self, task: str, state: str) -> bool:
        return state == "certain" or self.base.tasks[task].who not in ("skilled", "shop")

    def _settling_task(self, name: str) -> str:
        question = self.base.questions[name]
        if question.stage < 3:
            return ""
        return next((task for task in question.settled_by if self.study.judge.exists(task)), "")

    def _allowed_now(self, name: str) -> bool:
        stage = self.base.questions[name].stage
        if stage < 3:
            return True
        task = self._settling_task(name)
        gates = self.case.compiled.behind[task] if task else GATES[: stage - 2]
        return all(self.study.judge.finding(gate).state == "open" for gate in gates)

    def _under(self, chosen: Mapping[str, Value]) -> tuple[dict[str, str], set[str], set[str]]:
        """Work still to do (task -> certain or assumed), gates held and stops raised, were these the answers."""
        if self.whole & set(chosen):
            study = self._studied_afresh(chosen)
            calls: dict[Any, tuple[Call, ...]] = dict(Caller(study).calls())
            rules = frozenset(self.base.rules)
            needs = frozenset((gate, n) for gate, tests in self.case.compiled.needs.items() for n in range(len(tests)))
            kept: dict[Any, tuple[Call, ...]] = {}
        else:
            study, reach = self._varied(chosen)
            caller = Caller(study)
            calls = {}
            for rule_id in reach.rules:
                calls["rule", rule_id] = tuple(caller.of_rule(self.base.rules[rule_id]))
            for gate, number in reach.needs:
                if gate in study.judge.needed:
                    calls["need", gate, number] = tuple(caller.of_need(gate, number))
            for rule_id in reach.stop_rules:
                calls["stop", rule_id] = tuple(caller.of_stop(self.base.rules[rule_id]))
            rules, needs, kept = reach.rules, reach.needs, dict(self.caller.calls())
        tasks: dict[str, str] = {}
        for made in {**kept, **calls}.values():
            for call in made:
                if call.state != "possible" and call.task not in self.case.record.done:
                    tasks[call.task] = "certain" if call.state == "certain" else tasks.get(call.task, "assumed")
        gates: set[str] = set()
        stops: set[str] = set()
        for rule_id in rules:
            if study.states[rule_id] == "certain":
                rule = self.base.rules[rule_id]
                gates.update(gate for gate in rule.holds if gate in study.judge.needed)
                if rule.stop:
                    stops.add(rule.stop)
        for gate, number in needs:
            test = self.case.compiled.needs[gate][number]
            sight = study.judge.reading(gate).sight if gate in study.judge.needed else None
            if sight and test.then and not (test.guard and test.guard(sight) is not True) and test.then(sight) is False:
                gates.add(gate)
        return tasks, gates, stops

    def _answers(self, chosen: Mapping[str, Value]) -> dict[str, Answer]:
        found = dict(self.case.answers)
        for name, value in chosen.items():
            found[name] = Answer(value, self.case.today, how="seen")
        return found

    def _studied_afresh(self, chosen: Mapping[str, Value]) -> Study:
        return study_case(self.base, replace(self.case.record, answers=self._answers(chosen)), self.case.today)

    def _varied(self, chosen: Mapping[str, Value]) -> tuple[Study, Reach]:
        """The study with some answers changed, and what that can reach; everything else is taken over."""
        known = {name: known_value(self.base.questions[name], Answer(value)) for name, value in chosen.items()}
        case = replace(self.case, answers=self._answers(chosen))
        reach = self.ripples.reach(chosen)
        recorded = self.study.recorded.varied(case, known, reach.names)
        assumed = self.study.assumed.varied(case, known, reach.names)
        if reach.yields:
            needed = self.study.judge.needed
            exists = may_exist_here(case, self.bare.varied(case, known, reach.names))
            settled = settle_reading(case, recorded, needed, exists), settle_reading(case, assumed, needed, exists)
            moved = (settled[0].absent ^ recorded.absent) | (settled[1].absent ^ assumed.absent)
            if moved:
                reach = self.ripples.reach(reach.names | moved)
                recorded, assumed = settled
        judge = Judge(case, like=self.study.judge, changed=known, reached=reach.names)
        study = Study(
            case, judge, recorded, assumed, self.study.exists, dict(self.study.states), dict(self.study.guessed)
        )
        for name in chosen:
            study.guessed.pop(name, None)
        for rule in reach.rules:
            study.states[rule] = study.state_of(rule)
        return study, reach


def with_worth(plan: Plan, caller: Caller) -> Plan:
    """The plan with the worth of each assumed answer beside it. caller: of the study that the plan was written from."""
    weigher = Weigher(caller)
    return replace(
        plan, assumed=tuple(replace(one, worth=worth_data(weigher.look(one.question))) for one in plan.assumed)
    )


def worth_data(look: Look) -> dict[str, Any]:
    """The worth of a look in the words of the plan's JSON, with its minutes and who does it.

    parts_least, parts_most: kinds of parts. days_least, days_most: days of the whole plan, None where not reckoned.
    """
    days = look.days_between or (None, None)
    return {
        "minutes": look.minutes,
        "who": look.who,
        "hours_least": look.hours_least,
        "hours_most": look.hours_most,
        "days_least": days[0],
        "days_most": days[1],
        "parts_least": look.parts_between[0],
        "parts_most": look.parts_between[1],
        "parts": list(look.parts),
        "gates": list(look.gates),
        "stops": list(look.stops),
    }
