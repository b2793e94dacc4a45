"""`rules show` says an entry in plain words: wordings for ids, values with units, sources, users and firing samples."""

import pytest

from revive.cli import main
from revive.describing import KINDS, describe, kinds_of
from revive.loading import default_rules_folder, load_rules

OIL_GRITTY = """\
Rule oil-gritty, a stop (rules/findings/oil/look.yaml:3)
It fires where:
  "What does the oil look like?": "sand felt between the fingers" (oil_look: gritty)
It says: Grit in the oil marks bearings
Because: Bearings are soft.
It calls for:
  Drain the oil (oil_drain)
It holds the gate "Crank" (crank), by the stop below.
It raises the stop "Dirt in the oil" (settled-dirt): Grit was felt in the oil. Nothing turns until
  it is out.
What clears the stop for this rule at the gate crank:
  all of these:
    the work "Drain the oil" is on record as done (oil_drain)
    "What does the oil look like?": "see through" (oil_look: clear)
It rests on:
  common practice of the trade
Where nobody knows:
  oil_look: "don't know" stands for "sand felt between the fingers"
Who else reads the same answers:
  need of gate crank: oil looked at
  stop settled-dirt: cleared for rule oil-gritty
  contradiction fresh-and-gritty: The oil was changed and is gritty.
  claim oil-clean: Clean oil
"""


@pytest.fixture(scope="module")
def shipped():
    base, problems = load_rules(default_rules_folder())
    assert base is not None, "\n".join(map(str, problems))
    return base


def shown(capsys, rules, *names):
    code = main(["rules", "show", *names, "--rules", str(rules), "--today", "2026-11-25"])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_rule_is_said_in_the_words_of_its_questions(rules, capsys):
    code, out, _ = shown(capsys, rules, "oil-gritty")

    assert code == 0
    assert out == OIL_GRITTY + ("Samples that fire it: there is no folder of samples here; name one with --samples.\n")


def test_samples_that_fire_the_rule_are_named_with_how_sure_it_is(rules, tmp_path, capsys):
    samples = tmp_path / "samples"
    samples.mkdir()
    head = "record: 1\ndone: {photo_record: 2026-11-20}\nanswers: {oil_look: "
    for name, answer in {"grit": "gritty}", "clean": "clear}", "unsure": "dont_know}"}.items():
        (samples / f"{name}.yaml").write_text(head + answer + "\n", "utf-8")
    (samples / "notes.yaml").write_text("not: a record\n", "utf-8")

    _, out, _ = shown(capsys, rules, "oil-gritty")

    assert out.endswith("Samples that fire it, of 3:\n  samples/grit.yaml (certain)\n  samples/unsure.yaml (assumed)\n")


def test_a_limit_is_said_with_value_and_unit_and_a_rule_says_what_releases_the_gate(rules, capsys):
    _, out, _ = shown(capsys, rules, "fuel-stale")

    assert '"How many years has it stood?": at least 1 year (years_stored: {at_least: fuel_keeps_y})' in out
    assert 'It holds the gate "Fire" (fire) until this is done:\n  Take a drop of oil (oil_sample)\n' in out
    assert "It rests on:\n  An invented club, Notes on parked engines, 2nd: page 2\n" in out


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("oil_drain", "Drain the oil. By the owner; hands-on 30 min (20 min to 1 h).\n"),
        ("oil_drain", "Who uses it:\n  rule oil-gritty: Grit in the oil marks bearings\n"),
        ("oil_look", '"Don\'t know" stands for: "sand felt between the fingers"\n'),
        ("oil_look", 'Means that nobody looked: "nobody looked"\n'),
        ("crank", "It waits for these where they are planned:\n  Drain the oil (oil_drain)\n"),
        ("crank", "Caution:\n  Leads earthed.\n"),
        ("settled-dirt", "Raised by rule oil-gritty, shuts crank: Grit in the oil marks bearings\n"),
        ("fuel_keeps_y", "Who compares with it:\n  rule fuel-stale: Petrol this old leaves gum\n"),
        ("storage_band", 'by "How many years has it stood?": up to 1: short, up to 7: long, above: deep\n'),
        ("club-notes", "rule fuel-stale: Petrol this old leaves gum\n"),
    ],
)
def test_each_kind_of_entry_says_what_an_editor_asks_of_it(rules, capsys, name, words):
    code, out, _ = shown(capsys, rules, name)

    assert code == 0
    assert words in out


def test_an_unknown_name_gets_the_nearest_known_one(rules, capsys):
    assert shown(capsys, rules, "oil-grity") == (
        1,
        "",
        "nothing in the rule base is called 'oil-grity'\n    Did you mean 'oil-gritty'?\n",
    )


def test_every_entry_of_the_shipped_base_can_be_shown_and_names_its_source(shipped):
    for kind, (table, _) in KINDS.items():
        for name, entry in table(shipped).items():
            page = "\n".join(describe(shipped, kind, name))
            assert name in page.split("\n")[0]
            assert kind in kinds_of(shipped, name)
            for ref in getattr(entry, "sources", ()) if kind in ("rule", "task", "limit") else ():
                title = shipped.sources[ref.id].title if ref.id in shipped.sources else "practice|memory"
                assert any(word in page for word in title.split("|")), (kind, name, ref.id)


def test_a_caution_of_a_task_is_never_left_out_of_its_page(shipped):
    for task in shipped.tasks.values():
        page = "\n".join(describe(shipped, "task", task.id))
        assert all(caution in page for caution in task.cautions), task.id
