"""Records made up by a seeded random generator over a rule base: wild ones, and good machines with a few flaws.

The same seed and the same rule base always give the same record. Every value is one that the record file would take.
"""

import random
from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any

from revive.model import DONT_KNOW, GATES, Answer, Condition, MakerFigure, Question, Record, RuleBase, Value, Work

TODAY = "2026-11-25"
_DAYS = tuple(f"2026-11-{day}" for day in range(18, 26))
_TIMES = ("", "T08:00", "T08:00:30", "T12:15", "T17:40")
_WEIGHT = {"stop": -6.0, "must_do": -4.0, "attention": -1.5, "note": -0.3}
_SHARE_WILD = 0.35


class Generator:
    """Knows what a rule base likes to hear, so that some of its records open gates."""

    def __init__(self, base: RuleBase) -> None:
        self.base = base
        self.likes: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
        self.limits: dict[str, list[tuple[str, float, float]]] = defaultdict(list)
        for rule in base.rules.values():
            self._learn(rule.when, _WEIGHT[rule.severity])
        for gate in base.gates.values():
            for need in gate.needs:
                self._learn(need.then, 10.0)
        for stop in base.stops.values():
            for lines in stop.clears.values():
                for condition in lines.values():
                    self._learn(condition, 1.0)

    def record(self, seed: int) -> Record:
        """The record of one seed."""
        rng = random.Random(seed)
        return self.wild(rng) if rng.random() < _SHARE_WILD else self.good(rng)

    def wild(self, rng: random.Random) -> Record:
        """Anything at all: some answers, some work, in no sensible order."""
        base, share, unsure = self.base, rng.random(), rng.choice((0.0, 0.1, 0.3))
        answers = {
            name: Answer(self._any_value(rng, question, unsure), _date(rng), "", _how(rng, 0.15))
            for name, question in base.questions.items()
            if rng.random() < share or (name in ("layout", "plan_goal") and rng.random() < 0.9)
        }
        worked = rng.random()
        done = {name: Work(_date(rng)) for name in base.tasks if rng.random() < worked}
        maker = {
            name: MakerFigure(round(limit.value * rng.choice((0.8, 1.2)), 3), limit.unit)
            for name, limit in base.limits.items()
            if rng.random() < 0.03
        }
        return Record(answers=answers, done=done, maker=maker)

    def good(self, rng: random.Random) -> Record:
        """A machine that does as it should up to some gate, all work done, and then up to four flaws."""
        base, upto = self.base, max(rng.randrange(len(GATES)) for _ in range(2))
        closed = {base.gates[name].first_task for name in GATES[upto + 1 :]} - {""}
        early = {base.gates[name].first_task for name in GATES[: upto + 1]}
        forced: dict[str, str] = {"layout": rng.choice(tuple(base.layouts))}
        if rng.random() < 0.85:
            forced["plan_goal"] = "ride"
        answers: dict[str, Answer] = {}
        for name, question in base.questions.items():
            if question.opens_after and self._behind(question.opens_after, closed):
                continue
            settled = base.layouts[forced["layout"]].settles.get(name)
            value = forced.get(name) or (self._typed(question, settled) if settled is not None else None)
            answers[name] = Answer(value or self._good_value(rng, question), "2026-11-25" + rng.choice(_TIMES))
        loose = rng.random() < 0.15
        done = {
            name: Work(_date(rng) if loose else "2026-11-24" + rng.choice(_TIMES))
            for name, task in base.tasks.items()
            if name not in closed and not self._behind(name, closed) and (name in early or rng.random() < 0.995)
        }
        record = Record(answers=answers, done=done)
        for _ in range(rng.choice((0, 0, 1, 1, 2, 4))):
            record = self._flawed(rng, record)
        return record

    def _behind(self, task: str, closed: set[str]) -> bool:
        waiting, seen = [task], set()
        while waiting:
            name = waiting.pop()
            if name in closed:
                return True
            if name not in seen:
                seen.add(name)
                waiting += self.base.tasks[name].after
        return False

    def _flawed(self, rng: random.Random, record: Record) -> Record:
        answers, done = dict(record.answers), dict(record.done)
        name = rng.choice(tuple(answers)) if answers else ""
        flaw = rng.choice(("forget", "dont_know", "other", "told", "redate", "undo", "redo", "blind"))
        if flaw == "undo" and done:
            del done[rng.choice(tuple(done))]
        elif flaw == "redo" and done:
            done[rng.choice(tuple(done))] = Work(_date(rng))
        elif not name:
            return record
        elif flaw == "forget":
            del answers[name]
        elif flaw == "dont_know":
            answers[name] = replace(answers[name], value=DONT_KNOW)
        elif flaw == "other":
            answers[name] = replace(answers[name], value=self._any_value(rng, self.base.questions[name], 0.1))
        elif flaw == "told":
            answers[name] = replace(answers[name], how=rng.choice(("told", "papers")))
        elif flaw == "redate":
            answers[name] = replace(answers[name], on=_date(rng))
        elif blind := [question for question in self.base.questions.values() if question.blind]:
            question = rng.choice(blind)
            value = rng.choice(question.blind)
            answers[question.id] = Answer((value,) if question.kind == "many" else value, _date(rng))
        return replace(record, answers=answers, done=done)

    def _any_value(self, rng: random.Random, question: Question, unsure: float) -> Value:
        if rng.random() < unsure:
            return DONT_KNOW
        if question.kind == "number":
            return self._number(rng, question)
        choices = tuple(question.choices) or ("yes", "no")
        if question.kind != "many":
            return rng.choice(choices)
        if rng.random() < 0.4 and question.none:
            return (rng.choice(question.none),)
        pool = [choice for choice in choices if choice not in question.none] or list(choices)
        ticked = rng.sample(pool, min(len(pool), rng.choice((1, 1, 2, 3))))
        return tuple([*ticked, DONT_KNOW] if rng.random() < 0.1 else ticked)

    def _number(self, rng: random.Random, question: Question) -> float:
        tops = [limit for _, limit, _ in self.limits[question.id]]
        if tops and rng.random() < 0.7:
            number = rng.choice(tops) + rng.choice((-1.0, -0.01, 0.0, 0.0, 0.01, 1.0))
        else:
            number = rng.uniform(question.low, question.high)
        return round(min(max(number, question.low), question.high), 2)

    def _good_value(self, rng: random.Random, question: Question) -> Value:
        likes = self.likes[question.id]
        if question.kind == "number":
            options = [question.low, question.high, *(self._number(rng, question) for _ in range(8))]
            rng.shuffle(options)
            return max(options, key=lambda number: self._worth(question.id, number))
        choices = [choice for choice in question.choices or ("yes", "no") if choice not in question.blind]
        rng.shuffle(choices)
        anything = rng.random() < {1: 0.15, 2: 0.05}.get(question.stage, 0.01)
        best = choices[0] if anything else max(choices, key=lambda choice: likes[choice])
        return (best,) if question.kind == "many" else best

    def _worth(self, name: str, number: float) -> float:
        holds = {
            "at_least": lambda top: number >= top,
            "more_than": lambda top: number > top,
            "at_most": lambda top: number <= top,
            "less_than": lambda top: number < top,
        }
        return sum(weight for operator, top, weight in self.limits[name] if holds[operator](top))

    def _typed(self, question: Question, value: Any) -> Value:
        if question.kind == "number":
            return float(value)
        if question.kind == "many":
            return (value,) if isinstance(value, str) else tuple(value)
        return str(value)

    def _learn(self, condition: Condition | None, weight: float) -> None:
        for name, values, limit, share in self._wishes(condition, weight):
            for value in values:
                self.likes[name][value] += share
            if limit:
                self.limits[name].append((limit[0], limit[1], share))

    def _wishes(self, condition: Condition | None, weight: float) -> Iterator[tuple[str, tuple[str, ...], Any, float]]:
        """(question, values or (), (operator, number) or None, weight) for each comparison, through yes-no facts."""
        if condition is None:
            return
        kind = condition[0]
        if kind in ("all", "any"):
            for part in condition[1]:
                yield from self._wishes(part, weight / len(condition[1]))
        elif kind == "not":
            yield from self._wishes(condition[1], -weight)
        elif kind == "when":
            yield from self._wishes(condition[2], weight)
        elif kind in ("is", "has"):
            name, values = condition[1], condition[2] if kind == "is" else (condition[2],)
            fact = self.base.facts.get(name)
            if fact is None:
                yield name, values, None, weight
            elif fact.kind == "yes_when":
                yield from self._wishes(fact.of, weight if "yes" in values else -weight)
            elif fact.kind == "band":
                edges: Mapping[str, float] = {band: top for top, band in fact.of["up_to"]}
                for value in values:
                    yield fact.of["of"], (), ("at_most", edges.get(value, 0.0)), 0.0
        elif kind == "compare":
            what, number = condition[3]
            if what == "fact":
                question = self.base.questions.get(condition[1])
                share = 0.5 if condition[2] in ("at_least", "more_than") else 0.01
                top = question.low + share * (question.high - question.low) if question else 0.0
            else:
                top = float(number) if what == "number" else self.base.limits[number].value
            fact = self.base.facts.get(condition[1])
            names = [condition[1]] if fact is None else list(fact.of) if fact.kind in ("largest", "smallest") else []
            for name in names:
                yield name, (), (condition[2], top * condition[4]), weight


def _date(rng: random.Random) -> str:
    return "" if rng.random() < 0.15 else rng.choice(_DAYS) + rng.choice(_TIMES)


def _how(rng: random.Random, share: float) -> str:
    return rng.choice(("told", "papers", "seen", "measured")) if rng.random() < share * 2 else ""
