"""The tests notice it when a shipped rule is changed for the worse; a sample here, all by tests/mutate_safety.py."""

import os
from collections import Counter

import mutate_safety

from safety.detectors import ExampleDetector, PlayedDetector, TableDetector
from safety.mutants import Mutant, mutants
from safety.played import amiss
from safety.test_table import shipped

SAMPLE = 250
SHARE = int(os.environ.get("REVIVE_PLAYED", "25"))


def test_a_sample_of_the_changes_is_noticed_and_the_count_is_printed(capsys):
    code = mutate_safety.report(shipped(), sample=SAMPLE)

    said = capsys.readouterr().out
    assert code == 0
    assert said.startswith(f"{SAMPLE} changes for the worse, ")
    assert "No survivor." in said


def test_the_detectors_stay_quiet_about_the_rules_as_they_are():
    same = Mutant("none", ("rule", "oil-gritty"), "nothing", shipped())

    assert TableDetector(shipped()).notice(same) == ""
    assert ExampleDetector().notice(same) == ""


def test_every_kind_of_change_is_made_and_each_is_a_change():
    made = list(mutants(shipped()))

    kinds = Counter(mutant.kind for mutant in made)
    assert {"held gate dropped", "comparison flipped", "clearing evidence weakened", "severity lowered"} <= set(kinds)
    assert {"task dropped", "need dropped", "need weakened", "stop dropped", "fact changed", "limit moved"} <= set(
        kinds
    )
    assert len(made) > 3000
    for mutant in made[::50]:
        kind, name = mutant.of
        assert getattr(mutant.base, f"{kind}s")[name] != getattr(shipped(), f"{kind}s")[name], mutant.what


def test_survivors_are_listed_and_too_many_of_them_are_an_error(monkeypatch, capsys):
    monkeypatch.setattr(TableDetector, "notice", lambda self, mutant: "")
    monkeypatch.setattr(ExampleDetector, "notice", lambda self, mutant: "")

    code = mutate_safety.report(shipped(), sample=20)

    said = capsys.readouterr().out
    assert code == 1
    assert "Survivors:\n  " in said


def test_what_is_stated_is_seen_on_the_machines_on_which_it_must_bite():
    """One statement in SHARE; REVIVE_PLAYED=1 plays them all."""
    played = PlayedDetector(shipped(), SHARE)

    assert [words for case in played.cases if (words := amiss(shipped(), case))] == []
    assert len(played.cases) >= 500 // SHARE


def test_a_played_machine_notices_what_the_table_would():
    played = PlayedDetector(shipped(), SHARE)
    of = {case.of for case in played.cases}
    dropped = [mutant for mutant in mutants(shipped()) if mutant.kind == "held gate dropped" and mutant.of in of]

    assert dropped
    assert [mutant.what for mutant in dropped if not played.notice(mutant) and _bites(mutant)] == []


def _bites(mutant: Mutant) -> bool:
    """Words of a sale description are shut by other means than a gate."""
    rule = shipped().rules[mutant.of[1]]
    return not (rule.stop and shipped().stops[rule.stop].shuts_words_only)
