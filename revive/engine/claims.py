"""Judge the words of a sale description on recorded answers only. Pure; it words nothing.

A phrase is proved where its evidence is true on what was seen, nothing that forbids it is true or may be true, and the
evidence was kept. It refuses to let an assumed answer, a told answer of a thing to be seen, or work by others without
paper prove anything. Silence about a fault is no proof of health: where what forbids a phrase is unknown, so is the
phrase. A question that does not apply or cannot be asked yet counts as no fault there, and as unknown in the evidence.
"""

from collections.abc import Iterator, Mapping
from typing import Any

from revive.engine.compiled import questions_behind
from revive.engine.conditions import Sight, Ticks, Truth, names_in
from revive.engine.facts import Case, Reading, gate_values, known_value
from revive.engine.sale_study import (
    KEPT_QUESTION,
    MAKE_UP,
    Ground,
    JudgedClaim,
    JudgedDisclosure,
    OpenStop,
    SaleStudy,
    is_old,
    is_said_only,
)
from revive.engine.settled import settle_reading
from revive.engine.study import Study, study_case
from revive.frozen import replace
from revive.model import SEVERITIES, Claim, Condition, Record, RuleBase
from revive.plan import Plan


def study_sale(base: RuleBase, record: Record, plan: Plan, today: str) -> SaleStudy:
    """Judge every phrase and disclosure for one record. plan: the one made from it. today: ISO date."""
    return _Sale(base, study_case(base, record, today), plan).result()


class _Sale:
    def __init__(self, base: RuleBase, study: Study, plan: Plan) -> None:
        self.base, self.study, self.plan, self.case = base, study, plan, study.case
        self.compiled, self.record = study.case.compiled, study.case.record
        owner = self.record.machine.get("owner", "")
        self.said_only = frozenset(task for task, work in self.record.done.items() if is_said_only(work, owner))
        all_done = frozenset(self.record.done)
        heard = _heard(self.case)
        self.parts = Reading(self.case, {name: value for name, value in heard.items() if name in MAKE_UP})
        self.counted = frozenset(
            task for task in all_done - self.said_only if self._is_there(task, base.tasks[task].only_if, True)
        )
        seen = {
            name: value if self._is_there(name, base.questions[name].skip_when, False) else None
            for name, value in gate_values(self.case).items()
        }
        settled = settle_reading(self.case, Reading(self.case, heard, self._not_yet()), study.judge.needed)
        facts = self._plan_facts(settled)

        def read(
            values: Mapping[str, Any], masked: frozenset[str], absent: frozenset[str], done: frozenset[str]
        ) -> Any:
            return [
                Reading(
                    replace(self.case, from_plan={**self.case.from_plan, **each}), values, masked, absent, done=done
                )
                for each in facts
            ]

        proof = settle_reading(self.case, Reading(self.case, seen, self._masked(seen)), study.judge.needed)
        self.seen: list[Reading] = read(seen, proof.masked, proof.absent, self.counted)
        self.heard: list[Reading] = read(heard, settled.masked, settled.absent, all_done)
        self.doubted: list[Reading] = [
            *self.heard,
            *read(heard, settled.masked, settled.absent, self.counted),
            *(each for done in (all_done, self.counted) for each in read(seen, settled.masked, settled.absent, done)),
        ]

    def result(self) -> SaleStudy:
        base = self.base
        kept = self.seen[0].sight.need[KEPT_QUESTION] == "yes"
        here = [claim for claim in base.claims.values() if self._has_the_parts(claim)]
        return SaleStudy(
            tuple(self._claim(claim, kept) for claim in here),
            tuple(self._disclosures()),
            tuple(self._open_stops()),
            self.heard[0],
            self.case.answers,
            self.said_only,
            tuple(self._unknown()),
        )

    def _not_yet(self) -> frozenset[str]:
        """Questions that certainly cannot be asked yet: it is known whether their task exists here, and it is not done."""
        return frozenset(
            question.id
            for question in self.base.questions.values()
            if question.opens_after
            and question.id not in self.case.answers
            and question.opens_after not in self.case.opened
            and self.study.judge.exists(question.opens_after) is not None
        )

    def _masked(self, values: Mapping[str, Any]) -> frozenset[str]:
        return frozenset(
            question.id
            for question in self.base.questions.values()
            if question.opens_after and question.id not in values and question.opens_after not in self.case.opened
        )

    def _plan_facts(self, heard: Reading) -> tuple[dict[str, Any], dict[str, Any]]:
        """Facts of the plan twice: with what is certain only, and with what may be so as well."""
        self.stop_rules: dict[str, list[str]] = {}
        may_stand: set[str] = set()
        may_be_due: set[str] = set()
        for rule in self.base.rules.values():
            truth = self.compiled.rules[rule.id](heard.sight)
            if truth is False:
                continue
            if rule.stop and any(self.study.judge.cleared(rule, gate) is not True for gate in rule.holds):
                may_stand.add(rule.stop)
                if truth:
                    self.stop_rules.setdefault(rule.stop, []).append(rule.id)
            if SEVERITIES.index(rule.severity) >= SEVERITIES.index("must_do"):
                may_be_due.update(rule.adds)
        due = {
            task.id
            for task in self.plan.tasks
            if task.state == "to_do" and any(r.severity in ("must_do", "stop") for r in task.reasons)
        }
        may_be_due = due | {task for task in may_be_due if task not in self.record.done}
        opened = Ticks(frozenset(gate.id for gate in self.plan.gates if gate.state == "open"))
        manual, memory = heard.sight.rule["manual_available"], self._work_from_memory()
        used = "no" if manual == "yes" or not memory else "yes" if manual == "no" else None
        shared = {"gates_open": opened, "fallback_used": used}
        certain = frozenset(task.id for task in self.plan.tasks if task.id in due and task.certainty == "certain")
        return (
            {**shared, "stops_standing": Ticks(frozenset(self.stop_rules)), "undone_must": Ticks(certain)},
            {**shared, "stops_standing": Ticks(frozenset(may_stand)), "undone_must": Ticks(frozenset(may_be_due))},
        )

    def _work_from_memory(self) -> bool:
        return any(ref.id == "from_memory" for task in self.record.done for ref in self.base.tasks[task].sources)

    def _claim(self, claim: Claim, kept: bool) -> JudgedClaim:
        if claim.forbidden and claim.forbidden[0] == "always":
            return JudgedClaim(claim, False, "never", ())
        bars = self._doubt(claim.forbidden)
        if bars:
            return JudgedClaim(claim, False, "forbidden", self._grounds(claim.forbidden, True, self.heard[0], False))
        if not all(self._test(claim.evidence, True)(reading.sight) for reading in self.seen):
            return JudgedClaim(claim, False, "not_shown", ())
        if bars is None:
            return JudgedClaim(claim, False, "unsure", ())
        grounds = self._grounds(claim.evidence, True, self.seen[0], True)
        return JudgedClaim(claim, kept, "" if kept else "not_kept", grounds)

    def _doubt(self, condition: Condition | None) -> Truth:
        """True where a fault is on record, told or seen; False only where it is ruled out in every way of reading."""
        if condition is None:
            return False
        truths = [self._test(condition, False)(reading.sight) for reading in self.doubted]
        if True in truths[: len(self.doubted) // 2]:
            return True
        return False if all(truth is False for truth in truths) else None

    def _has_the_parts(self, claim: Claim) -> bool:
        """False where the evidence could not be had, whatever was done, because the machine lacks the part."""
        there = frozenset(
            task
            for task in self.base.tasks
            if task not in self.compiled.only_if or self.compiled.only_if[task](self.parts.sight) is not False
        )
        made = Reading(replace(self.case, from_plan={}), self.parts.given, done=there)
        hopeless = self._test(claim.evidence, False)(made.sight) is False
        return not hopeless or (claim.forbidden is not None and claim.forbidden[0] == "always")

    def _is_there(self, name: str, condition: Condition | None, wanted: bool) -> bool:
        """Whether the part that a task or question is about is known to be there.

        condition: under which the task exists (wanted) or the question is skipped (not wanted). What hangs on more
        than the make-up of the machine passes.
        """
        if condition is None or not set(questions_behind(self.base, names_in(condition))) <= set(MAKE_UP):
            return True
        return self._test(condition, False)(self.parts.sight) is wanted

    def _disclosures(self) -> Iterator[JudgedDisclosure]:
        for name, told in self.base.disclosures.items():
            truths = [self._test(told["when"], False)(reading.sight) for reading in self.heard]
            known = truths[0] is True
            if not known and all(truth is False for truth in truths):
                continue
            stops = tuple(stop for stop in _stops_in(told["when"]) if stop in self.stop_rules)
            grounds = self._grounds(told["when"], True, self.heard[0], False) if known else ()
            yield JudgedDisclosure(name, told["text"], known, tuple(told.get("sources", ())), grounds, stops)

    def _open_stops(self) -> Iterator[OpenStop]:
        for stop in self.base.stops.values():
            rules = self.stop_rules.get(stop.id)
            if rules:
                found: dict[Ground, None] = {}
                for rule in rules:
                    found.update(dict.fromkeys(self._grounds(self.base.rules[rule].when, True, self.heard[0], False)))
                yield OpenStop(stop, tuple(rules), tuple(found))

    def _unknown(self) -> Iterator[str]:
        for question in self.base.questions.values():
            value = self.heard[0].sight.rule[question.id]
            blind = isinstance(value, str) and value in question.blind
            if value is None or blind or (isinstance(value, Ticks) and value.unsure):
                yield question.id

    def _test(self, condition: Condition, as_need: bool) -> Any:
        return self.compiled.test(condition, as_need)

    def _grounds(
        self, condition: Condition | None, wanted: bool, reading: Reading, as_need: bool
    ) -> tuple[Ground, ...]:
        """What makes a condition come out as wanted, each once, in order of mention."""
        if condition is None:
            return ()
        found = dict.fromkeys(self._supports(condition, wanted, reading.sight, as_need))
        return tuple(ground for key in found if (ground := self._ground(*key)))

    def _supports(self, condition: Condition, wanted: bool, sight: Sight, as_need: bool) -> Iterator[tuple[str, str]]:
        if self._test(condition, as_need)(sight) is not wanted:
            return
        kind = condition[0]
        if kind in ("all", "any"):
            for part in condition[1]:
                yield from self._supports(part, wanted, sight, as_need)
        elif kind == "not":
            yield from self._supports(condition[1], not wanted, sight, as_need)
        elif kind == "when":
            yield from self._supports(condition[1], not wanted, sight, False)
            yield from self._supports(condition[2], wanted, sight, as_need)
        elif kind == "done" and wanted:
            yield "task", condition[1]
        elif kind in ("is", "has", "compare"):
            fact = self.base.facts.get(condition[1])
            if fact and fact.kind == "yes_when" and kind == "is":
                yield from self._supports(fact.of, wanted is ("yes" in condition[2]), sight, as_need)
            elif fact and fact.kind == "from_plan":
                if fact.of == "gates_open" and wanted and kind == "has":
                    yield "gate", condition[2]
            else:
                yield from (("answer", name) for name in questions_behind(self.base, names_in(condition)))

    def _ground(self, kind: str, name: str) -> Ground | None:
        if kind == "gate":
            opened = next((gate.opened_on for gate in self.plan.gates if gate.id == name), "")
            return Ground(kind, name, opened)
        if kind == "task":
            work = self.record.done[name]
            return Ground(kind, name, work.on, work.by)
        answer = self.case.answers.get(name)
        if answer is None:
            return None
        question = self.base.questions[name]
        how = answer.how or ("told" if question.stage == 1 else "seen")
        measured = question.kind == "number" and question.stage > 1
        return Ground(
            kind, name, answer.on, answer.by, how, measured and is_old(answer.on, self.case.today, self.record)
        )


def _heard(case: Case) -> dict[str, Any]:
    """Every answer of the record, told ones too; "don't know" is None."""
    return {name: known_value(case.compiled.base.questions[name], answer) for name, answer in case.answers.items()}


def _stops_in(condition: Condition) -> Iterator[str]:
    if condition[0] in ("all", "any"):
        for part in condition[1]:
            yield from _stops_in(part)
    elif condition[0] in ("not", "when"):
        for part in condition[1:]:
            yield from _stops_in(part)
    elif condition[0] == "has" and condition[1] == "stops_standing":
        yield condition[2]
    elif condition[0] == "is" and condition[1] == "stops_standing":
        yield from condition[2]
