"""A sale description never says more than its record proves: many made-up records, held against a second opinion.

The second opinion is the slow, plain reading of tests/second, which shares no code with the judge of claims.
REVIVE_SALES=200 asks for that many records in place of 30.
"""

import os
import random
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import pytest
from second.plain_judge import full_reading, judge, opened
from second.plain_readings import Case, Reading, Ticks
from second.random_records import TODAY, Generator

from revive.engine.claims import study_sale
from revive.engine.planner import make_plan
from revive.engine.sale_study import SaleStudy
from revive.loading import default_rules_folder, load_rules
from revive.model import DONT_KNOW, Answer, Record, RuleBase
from revive.render.listing import sale_pages

RECORDS = int(os.environ.get("REVIVE_SALES", "30"))
SEEDS = range(90_000, 90_000 + RECORDS)
ANSWERS_TRIED = 12


@cache
def shipped() -> RuleBase:
    base, problems = load_rules(default_rules_folder())
    assert base is not None, problems[:3]
    return base


@cache
def generator() -> Generator:
    """One that also likes what the phrases ask for, so that some of them are proved."""
    made = Generator(shipped())
    for claim in shipped().claims.values():
        made._learn(claim.evidence, 3.0)
    return made


@cache
def made_up(seed: int) -> Record:
    record = generator().record(seed)
    kept = {"evidence_kept": Answer("yes", "2026-11-25")} if seed % 3 else {}
    return replace(record, answers={**record.answers, **kept})


def sale(record: Record) -> SaleStudy:
    return study_sale(shipped(), record, make_plan(shipped(), record, TODAY), TODAY)


def proved(record: Record) -> set[str]:
    return {judged.claim.id for judged in sale(record).claims if judged.proved}


@dataclass
class PlainSale(Reading):
    """The plain reading of what was seen, which also knows which gates are open."""

    gates: frozenset[str] = frozenset()

    def _fact(self, name: str, need: bool, rule: str) -> Any:
        if self.case.base.facts[name].of == "gates_open":
            return Ticks(self.gates)
        return super()._fact(name, need, rule)


def plain_reading(record: Record) -> PlainSale:
    base = shipped()
    case = Case(base, record, TODAY)
    closed = frozenset(
        question.id
        for question in base.questions.values()
        if question.opens_after and question.id not in record.answers and not opened(case, question.opens_after)
    )
    settled = full_reading(case, "gate", closed)
    states = judge(base, record, TODAY).gates
    return PlainSale(
        case, "gate", closed, settled.absent, gates=frozenset(gate for gate, state in states.items() if state == "open")
    )


def test_the_made_up_records_prove_a_good_part_of_the_phrases() -> None:
    """Else the tests below would be about nothing."""
    found = set().union(*(proved(made_up(seed)) for seed in SEEDS))

    assert len(found) >= 25, sorted(found)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_evidence_of_every_proved_phrase_was_seen_and_kept(seed: int) -> None:
    record = made_up(seed)
    plain = plain_reading(record)

    for judged in sale(record).claims:
        if judged.proved:
            assert plain.truth(judged.claim.evidence, need=True) is True, judged.claim.id
            assert plain.value("evidence_kept", need=True) == Ticks(frozenset(["yes"]))
            assert plain.truth(judged.claim.forbidden) is not True or judged.claim.forbidden is None
            assert judged.grounds, f"{judged.claim.id} is tied to no evidence"
            for ground in judged.grounds:
                if ground.kind == "answer":
                    answer = record.answers[ground.id]
                    assert answer.value != DONT_KNOW, "an assumed answer proves nothing"
                    assert (ground.on, ground.by) == (answer.on, answer.by)
                elif ground.kind == "task":
                    assert ground.on == record.done[ground.id].on


@pytest.mark.parametrize("seed", SEEDS)
def test_a_known_finding_against_a_phrase_forbids_it_even_if_only_told(seed: int) -> None:
    record = made_up(seed)
    plain = plain_reading(record)

    for judged in sale(record).claims:
        if plain.truth(judged.claim.forbidden) is True and judged.claim.forbidden is not None:
            assert not judged.proved, judged.claim.id


def some_answers(seed: int) -> list[str]:
    record, rng = made_up(seed), random.Random(seed)
    return rng.sample(sorted(record.answers), min(ANSWERS_TRIED, len(record.answers)))


@pytest.mark.parametrize("seed", SEEDS)
def test_dont_know_in_place_of_an_answer_never_proves_a_phrase(seed: int) -> None:
    record = made_up(seed)
    before = proved(record)
    for name in some_answers(seed):
        unsure = replace(record, answers={**record.answers, name: replace(record.answers[name], value=DONT_KNOW)})

        assert proved(unsure) <= before, name


@pytest.mark.parametrize("seed", SEEDS)
def test_an_answer_left_out_proves_a_phrase_only_where_its_question_does_not_apply(seed: int) -> None:
    """A question that cannot be asked yet, or is about a part that is not there, says nothing against a phrase; nor
    does a finding that is gone void the work that a gate rests on."""
    record = made_up(seed)
    before = proved(record)
    for name in some_answers(seed):
        fewer = replace(record, answers={key: answer for key, answer in record.answers.items() if key != name})
        newly = proved(fewer) - before
        if newly:
            plain = plain_reading(fewer)
            gone = name in plain.absent or name in plain.closed
            gates = plain.gates - plain_reading(record).gates
            assert gone or gates, f"without {name}: {sorted(newly)}"


@pytest.mark.parametrize("seed", SEEDS)
def test_what_was_only_told_of_a_thing_to_be_seen_proves_nothing(seed: int) -> None:
    record, base = made_up(seed), shipped()
    told = {
        name: replace(answer, how="told") if base.questions[name].stage > 1 else answer
        for name, answer in record.answers.items()
    }
    kept = {**told, "evidence_kept": Answer("yes", "2026-11-25")}

    for judged in sale(replace(record, answers=kept)).claims:
        if judged.proved:
            for ground in judged.grounds:
                if ground.kind == "answer" and ground.id != "evidence_kept":
                    assert base.questions[ground.id].stage == 1, (judged.claim.id, ground.id)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_sheet_prints_proved_words_for_proved_phrases_only(seed: int) -> None:
    record, base = made_up(seed), shipped()
    plan = make_plan(base, record, TODAY)
    study = study_sale(base, record, plan, TODAY)
    published = sale_pages(base, record, plan, study, "number")[0]
    lines = [
        item for block in published.blocks if block.label == "What was seen, done and measured" for item in block.items
    ]

    assert len(lines) == sum(judged.proved for judged in study.claims)
    assert all(line.endswith("]") for line in lines), "each is tied to its evidence"
    starts = {judged.claim.proved.split("{")[0] for judged in study.claims if not judged.proved}
    starts -= {judged.claim.proved.split("{")[0] for judged in study.claims if judged.proved}
    words = " ".join(" ".join((block.text, *block.items)) for block in published.blocks)
    assert not [start for start in starts if len(start) > 30 and start in words]
