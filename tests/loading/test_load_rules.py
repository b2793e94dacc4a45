"""Folder -> RuleBase: what the model then holds, what a folder laid over may change, and files that cannot be read."""

import os
import random

import pytest

from revive.loading import default_rules_folder, files, load_rules
from revive.loading.build import build
from revive.loading.entry import number_of
from revive.model import SourceRef


def loaded(folder, *extra):
    base, problems = load_rules(str(folder), [str(place) for place in extra])
    assert [str(problem) for problem in problems] == []
    return base


def codes(folder, *extra):
    base, problems = load_rules(str(folder), [str(place) for place in extra])
    assert (base is None) == bool(problems)
    return [(problem.file, problem.line, problem.code) for problem in problems]


def write(place, text):
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text(text, "utf-8")


def test_a_question_keeps_its_answers_range_and_worst_value(rules):
    base = loaded(rules)

    years, oil, layup = (base.questions[name] for name in ("years_stored", "oil_look", "layup_done"))
    assert (years.stage, years.kind, years.unit, years.low, years.high, years.worst) == (
        1,
        "number",
        "years",
        0,
        80,
        15,
    )
    assert (oil.worst, oil.blind, oil.settled_by, oil.opens_after) == (
        "gritty",
        ("not_seen",),
        ("oil_sample",),
        "photo_record",
    )
    assert oil.skip_when == ("compare", "years_stored", "less_than", ("number", 0.1), 1.0)
    assert oil.choices["gritty"] == "sand felt between the fingers"
    assert oil.place == "rules/questions/3-hands-on.yaml:5"
    assert layup.worst == ("none_done",)
    assert base.stages[3].caution == "Battery out first."


def test_a_rule_keeps_its_condition_hold_sources_and_examples(rules):
    base = loaded(rules)

    stale, gritty = base.rules["fuel-stale"], base.rules["oil-gritty"]
    assert stale.when == ("compare", "years_stored", "at_least", ("limit", "fuel_keeps_y"), 1.0)
    assert stale.holds == {"fire": ("oil_sample",)}
    assert stale.sources == (SourceRef("club-notes", "page 2"),)
    assert stale.examples[2] == {"given": {"years_stored": "dont_know"}, "is": "assumed"}
    assert stale.examples[1]["given"] == {"years_stored": 0.9}
    assert (stale.subject, stale.place) == ("fuel/age", "rules/findings/fuel/age.yaml:3")
    assert gritty.holds == {"crank": ("oil_drain",)}
    assert base.stops["settled-dirt"].clears == {
        "oil-gritty": {"crank": ("all", (("done", "oil_drain"), ("is", "oil_look", ("clear",))))}
    }


def test_a_task_keeps_its_minutes_parts_and_place_in_the_file(rules):
    tasks = loaded(rules).tasks
    drain = tasks["oil_drain"]

    assert (drain.minutes, drain.wait_h, drain.after, drain.subject) == ((20, 30, 60), 1, ("oil_sample",), "oil")
    assert drain.order == tasks["oil_sample"].order + 1
    assert drain.parts[1].quantity == {"of": "years_stored", "times": 0.1, "plus": 2}
    assert [part.if_found for part in drain.parts] == [False, True]
    assert drain.only_if == ("is", "layout", ("flat_twin_wet", "single_wet"))
    assert drain.details == {"litres": "number"}


def test_gates_facts_layouts_and_disclosures_are_read(rules):
    base = loaded(rules)

    assert base.gates["claim"].after[0] == ("touch", ("compare", "years_stored", "at_least", ("number", 1), 1.0))
    assert base.gates["claim"].first_task == ""
    assert base.gates["crank"].needs[1].if_planned == ("oil_drain",)
    assert base.facts["storage_band"].of == {
        "of": "years_stored",
        "up_to": ((1, "short"), (7, "long")),
        "above": "deep",
    }
    assert base.layouts["single_wet"].settles == {"layup_done": ("tank_full",)}
    assert base.layouts["flat_twin_wet"].facts == {"oil_high_l": 3, "pressure_rule": "strict"}
    assert base.disclosures["stood-long"]["sources"] == (SourceRef("common_practice"),)
    assert base.contradictions["fresh-and-gritty"].trusted == "oil_look"


@pytest.mark.parametrize(
    ("written", "wanted"),
    [
        ("{oil_look: [clear, gritty]}", ("is", "oil_look", ("clear", "gritty"))),
        ("{layup_done: {has: tank_full}}", ("has", "layup_done", "tank_full")),
        (
            "{years_stored: {at_least: 1, less_than: 3}}",
            (
                "all",
                (
                    ("compare", "years_stored", "at_least", ("number", 1), 1.0),
                    ("compare", "years_stored", "less_than", ("number", 3), 1.0),
                ),
            ),
        ),
        (
            "{years_stored: {more_than: points_to_see, times: 0.7}}",
            ("compare", "years_stored", "more_than", ("fact", "points_to_see"), 0.7),
        ),
        (
            "{oil_look: clear, layout: single_wet}",
            ("all", (("is", "oil_look", ("clear",)), ("is", "layout", ("single_wet",)))),
        ),
        ("{any: [{done: oil_drain}, {always: true}]}", ("any", (("done", "oil_drain"), ("always",)))),
        (
            '{when: {oil_at_risk: "yes"}, then: {not: {oil_look: clear}}}',
            ("when", ("is", "oil_at_risk", ("yes",)), ("not", ("is", "oil_look", ("clear",)))),
        ),
    ],
)
def test_every_form_of_condition_becomes_its_tuple(written, wanted, rules):
    page = (rules / "claims.yaml").read_text("utf-8")
    write(rules / "claims.yaml", page.replace("forbidden: {oil_look: gritty}", f"forbidden: {written}"))

    assert loaded(rules).claims["oil-clean"].forbidden == wanted


@pytest.mark.parametrize(
    ("written", "code"),
    [
        ("[]", "wrong-type"),
        ("{}", "wrong-type"),
        ("gritty", "wrong-type"),
        ("{all: {oil_look: clear}}", "wrong-type"),
        ("{all: []}", "wrong-type"),
        ("{done: [oil_drain]}", "wrong-type"),
        ("{always: false}", "wrong-type"),
        ("{oil_look: true}", "wrong-type"),
        ("{oil_look: []}", "wrong-type"),
        ("{oil_look: {times: 2}}", "mixed-condition"),
        ("{years_stored: {at_least: 1, times: 0}}", "wrong-type"),
        ("{years_stored: {at_most: [1]}}", "wrong-type"),
        ("{years_stored: {atleast: 1, at_most: 2}}", "unknown-key"),
        ("{when: {oil_look: clear}}", "mixed-condition"),
        ("{layup_done: {has: tank_full, times: 2}}", "mixed-condition"),
        ("{years_stored: 3}", "wrong-comparison"),
        ("{oil_look: {has: clear}}", "wrong-comparison"),
        ("{oil_look: dont_know}", "unknown-choice"),
        ("{storage_band: shrt}", "unknown-choice"),
        ("{oil_look: [clear, clear]}", "named-twice"),
        ("{done: oil_drian}", "unknown-task"),
    ],
)
def test_a_condition_that_is_none_is_told_at_its_line(written, code, rules):
    page = (rules / "claims.yaml").read_text("utf-8")
    write(rules / "claims.yaml", page.replace("forbidden: {oil_look: gritty}", f"forbidden: {written}"))

    assert codes(rules) == [("rules/claims.yaml", 5, code)]


def test_all_problems_of_all_files_come_at_once_in_order(rules):
    write(rules / "limits.yaml", "limits:\n  fuel_keeps_y: {value: one, unit: years, text: x, source: club-notes}\n")
    write(rules / "findings/oil/more.yaml", "about: x\nrules:\n  b:\n    when: {oil_lok: clear}\n    severity: high\n")
    write(rules / "notes.txt", "x")

    found = codes(rules)

    assert found == [
        ("rules/findings/oil/more.yaml", 3, "missing-key"),
        ("rules/findings/oil/more.yaml", 3, "missing-key"),
        ("rules/findings/oil/more.yaml", 4, "unknown-question"),
        ("rules/findings/oil/more.yaml", 5, "out-of-choices"),
        ("rules/limits.yaml", 2, "wrong-type"),
        ("rules/notes.txt", 1, "unknown-file"),
    ]


def test_a_lost_file_is_told_once_and_not_for_every_name_in_it(rules):
    write(rules / "questions/1-desk.yaml", "stage: 1\nquestions: [\n")
    write(rules / "stops.yaml", "stops: {a: b: c}\n")

    assert [code for _, _, code in codes(rules)] == ["yaml-syntax", "yaml-syntax"]


def test_a_base_without_its_gates_or_findings_is_told_so(rules):
    (rules / "gates.yaml").unlink()
    for place in rules.glob("findings/*/*.yaml"):
        place.unlink()

    assert [(line, code) for _, line, code in codes(rules)] == [(1, "missing-file"), (1, "missing-file")]


def test_a_missing_folder_and_an_unreadable_file_are_told(tmp_path, rules, monkeypatch):
    def refuse(folder):
        raise PermissionError(13, "Permission denied", os.path.join(folder, "gates.yaml"))

    assert codes(tmp_path / "nowhere") == [(str(tmp_path / "nowhere"), 1, "no-folder")]
    monkeypatch.setattr(files, "read_folder", refuse)
    assert codes(rules) == [(str(rules / "gates.yaml"), 1, "unreadable-file")]


def test_hidden_files_and_read_me_pages_are_passed_over(rules):
    write(rules / ".swap", "x")
    write(rules / "findings/README.md", "x")

    loaded(rules)


def test_the_order_in_which_files_are_handed_in_changes_nothing(rules):
    contents = files.read_folder(str(rules))
    mixed = list(contents.items())
    random.Random(4).shuffle(mixed)

    straight, shuffled = (build([("rules", dict(found))], "x")[0] for found in (contents.items(), mixed))

    assert straight is not None
    assert repr(straight) == repr(shuffled)


EXTRA_RULE = """about: A club's own
rules:
  club-oil:
    when: {oil_look: not_seen}
    finding: Nobody looked
    severity: attention
    source: common_practice
"""
REPLACED = EXTRA_RULE.replace(
    "    when", "    overrides: oil-gritty\n    approved_by: A. Member\n    reason: Ours differ\n    when"
)


def test_a_folder_laid_over_adds_rules_and_replaces_limits_by_name(rules, tmp_path):
    club = tmp_path / "club"
    write(club / "findings/oil/club.yaml", EXTRA_RULE)
    write(
        club / "limits.yaml",
        "limits:\n  fuel_keeps_y: {value: 0.5, unit: years, text: ours, source: {id: club-notes}}\n",
    )

    base = loaded(rules, club)

    assert (base.rules["club-oil"].place, base.limits["fuel_keeps_y"].value) == ("club/findings/oil/club.yaml:3", 0.5)
    assert set(base.rules) == {"oil-gritty", "fuel-stale", "club-oil"}
    assert base.overrides == ("limit fuel_keeps_y: replaced by club/limits.yaml:2, 0.5 in place of 1 years",)
    assert base.digest != loaded(rules).digest


def test_a_folder_laid_over_replaces_a_task_only_with_approval_and_reason(rules, tmp_path):
    club = tmp_path / "club"
    task = (
        "about: x\ntasks:\n  oil_drain: {title: Ours, gate: crank, who: owner, "
        "minutes: {least: 1, likely: 2, most: 3}, method: [Drain.], done_when: Dry., source: common_practice%s}\n"
    )
    write(club / "tasks/oil.yaml", task % "")
    plain = codes(rules, club)
    write(club / "tasks/oil.yaml", task % ", overrides: oil_drain")
    unexplained = codes(rules, club)
    write(club / "tasks/oil.yaml", task % ", overrides: oil_drian, approved_by: A, reason: B")
    unknown = codes(rules, club)
    write(club / "tasks/oil.yaml", task % ", overrides: oil_drain, approved_by: A. Member, reason: Our tray")

    assert plain == [("club/tasks/oil.yaml", 3, "weakens-safety")]
    assert ("club/tasks/oil.yaml", 3, "override-unexplained") in unexplained
    assert ("club/tasks/oil.yaml", 3, "unknown-override") in unknown
    base = loaded(rules, club)
    assert base.tasks["oil_drain"].title == "Ours"
    assert "approved by A. Member, because Our tray" in base.overrides[0]


def test_a_replaced_rule_is_gone_and_its_stop_must_then_be_mended_too(rules, tmp_path):
    club = tmp_path / "club"
    write(club / "findings/oil/club.yaml", REPLACED)

    assert [(file, code) for file, _, code in codes(rules, club)] == [
        ("rules/stops.yaml", "unused-stop"),
        ("rules/stops.yaml", "unknown-rule"),
    ]


def test_a_rule_that_only_a_plan_can_judge_needs_no_example_and_one_by_age_says_its_day(rules):
    facts = "facts:\n  stop_age: {from_plan: oldest_stop_days, text: x}\n  age: {age_of: years_stored, text: x}\n"
    write(rules / "derived.yaml", facts + (rules / "derived.yaml").read_text("utf-8").split("\n", 1)[1])
    page = EXTRA_RULE.replace("{oil_look: not_seen}", "{%s: {at_least: 30}}")
    examples = (
        "    examples: [{given: {years_stored: 1}, on: %s, is: certain}, {given: {years_stored: 2}, is: quiet}]\n"
    )
    found = {}
    for name, text in {
        "plan": page % "stop_age",
        "bare": page % "age",
        "dated": page % "age" + examples % "2026-11-25",
        "odd day": page % "age" + examples % "2026-13-25",
    }.items():
        write(rules / "findings/oil/more.yaml", text)
        found[name] = [code for _, _, code in codes(rules)]

    assert found == {
        "plan": [],
        "bare": ["missing-example"],
        "dated": [],
        "odd day": ["wrong-type"],
    }


def test_override_keys_mean_nothing_in_the_base_itself(rules):
    write(rules / "findings/oil/more.yaml", REPLACED)

    assert [code for _, _, code in codes(rules)] == ["unknown-key"] * 3


def test_the_shipped_rules_are_found_and_load():
    base, problems = load_rules(default_rules_folder())

    assert [str(problem) for problem in problems] == []
    assert base is not None
    assert len(base.rules) > 300


@pytest.mark.parametrize(
    ("written", "number"),
    [
        ("3", 3),
        ("-2", -2),
        ("0.30", 0.3),
        ("010", 10),
        ("1e9", None),
        ("nan", None),
        (".5", None),
        ("9" * 5000, None),
        ("٣", None),
        ("1_000", None),
        ("0x10", None),
        ("12:30", None),
        ("", None),
        ("3 l", None),
    ],
)
def test_only_plain_decimal_numbers_are_numbers(written, number):
    assert number_of(written) == number
    assert type(number_of(written)) is type(number)
