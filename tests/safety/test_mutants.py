"""The tests notice it when a shipped rule is changed for the worse; a sample here, all by tests/mutate_safety.py."""

import os
from collections import Counter

import mutate_safety
import pytest

from safety.cases import Maker, statements
from safety.detectors import ExampleDetector, PlayedDetector, TableDetector
from safety.mutants import Mutant, mutants
from safety.played import amiss
from safety.survivors import judgements
from safety.test_table import shipped

WORDED, PLAYED = 250, 50
SHARE = int(os.environ.get("REVIVE_PLAYED", "6"))


@pytest.fixture(scope="module")
def made():
    return list(mutants(shipped()))


def test_the_table_and_the_examples_notice_a_sample_of_the_changes(made, capsys):
    code = mutate_safety.report(shipped(), mutate_safety.some(made, WORDED), None)

    said = capsys.readouterr().out
    assert code == 0
    assert said.startswith(f"{WORDED} changes for the worse, ")
    assert "No survivor." in said


def test_a_sample_of_the_changes_is_noticed_on_made_up_machines_and_who_survives_was_judged(made):
    """A survivor is seen on some machine, and then the page or its cases are mended, or judged in survivors.yaml."""
    shown = mutate_safety.some(made, PLAYED)
    played, judged = PlayedDetector(shipped(), most=8), judgements()

    survivors = [mutant for mutant in shown if not played.notice(mutant)]

    assert [mutant.what for mutant in survivors if (mutant.kind, mutant.what) not in judged] == []
    assert len(survivors) <= 0.1 * len(shown)


def test_judged_survivors_are_changes_that_can_be_made_and_are_few(made):
    changes = {(mutant.kind, mutant.what) for mutant in made}

    assert sorted(set(judgements()) - changes) == []
    assert len(judgements()) <= (1 - mutate_safety.LEAST_NOTICED) * len(made)


def test_the_detectors_stay_quiet_about_the_rules_as_they_are():
    same = Mutant("none", ("rule", "oil-gritty"), "nothing", shipped())

    assert TableDetector(shipped()).notice(same) == ""
    assert ExampleDetector().notice(same) == ""
    assert PlayedDetector(shipped()).notice(same) == ""


def test_every_kind_of_change_is_made_and_each_is_a_change(made):
    kinds = Counter(mutant.kind for mutant in made)
    assert {"held gate dropped", "comparison flipped", "clearing evidence weakened", "severity lowered"} <= set(kinds)
    assert {"task dropped", "need dropped", "need weakened", "stop dropped", "fact changed", "limit moved"} <= set(
        kinds
    )
    assert len(made) > 3000
    for mutant in made[::50]:
        kind, name = mutant.of
        assert getattr(mutant.base, f"{kind}s")[name] != getattr(shipped(), f"{kind}s")[name], mutant.what


def test_survivors_are_listed_and_too_many_of_them_are_an_error(made, monkeypatch, capsys):
    monkeypatch.setattr(PlayedDetector, "notice", lambda self, mutant: "")

    code = mutate_safety.report(shipped(), made[:20], PlayedDetector(shipped()))

    said = capsys.readouterr().out
    assert code == 1
    assert "Survivors:\n  " in said and "[NOT JUDGED]" in said


def test_what_is_stated_is_seen_on_the_machines_on_which_it_must_bite():
    """One statement in SHARE; REVIVE_PLAYED=1 plays them all."""
    maker = Maker(shipped())
    cases = [case for statement in statements()[SHARE - 1 :: SHARE] for case in maker.of(statement)]

    assert [words for case in cases if (words := amiss(shipped(), case))] == []
    assert len(cases) >= 5000 // SHARE
