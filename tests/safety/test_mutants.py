"""The tests notice it when a shipped rule is changed for the worse; a sample here, all by tests/mutate_safety.py."""

from collections import Counter

import mutate_safety

from safety.detectors import ExampleDetector, TableDetector
from safety.mutants import Mutant, mutants
from safety.test_table import shipped

SAMPLE = 250


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
    monkeypatch.setattr(mutate_safety, "BEHAVIOUR", ())

    code = mutate_safety.report(shipped(), sample=20)

    said = capsys.readouterr().out
    assert code == 1
    assert "Survivors:\n  " in said
