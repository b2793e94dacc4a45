"""A folder laid over the rules may add and may be stricter; whatever is less strict is refused or printed in the plan."""

import pytest

from revive.engine.planner import make_plan
from revive.loading import load_rules
from revive.model import Record

RULE = """about: A club's own
rules:
  {name}:
    when: {{oil_look: gritty}}
    finding: Grit in the oil marks bearings
    severity: {severity}
    adds: [{adds}]
    {holds}
    {stop}
    source: common_practice
"""
APPROVED = "    overrides: {}\n    approved_by: A. Member\n    reason: Ours are roller engines\n"


def rule(name="oil-gritty", severity="stop", adds="oil_drain", holds="holds: crank", stop="stop: settled-dirt"):
    text = RULE.format(name=name, severity=severity, adds=adds, holds=holds, stop=stop)
    return "".join(f"{line}\n" for line in text.splitlines() if line.strip())


def told(rules, folder, code=None):
    base, problems = load_rules(str(rules), [str(folder)])
    assert base is None
    assert code is None or [problem.code for problem in problems] == [code]
    return "".join(f"{problem}\n" for problem in problems)


def loaded(rules, folder):
    base, problems = load_rules(str(rules), [str(folder)])
    assert [str(problem) for problem in problems] == []
    return base


LESS = "would be less strict than rules/findings/oil/look.yaml:3: "
KEEP = (
    "\n    Keep it as strict, or add: overrides: oil-gritty, approved_by: … and reason: …; every plan then prints it.\n"
)


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        (rule(severity="must_do"), "its severity falls from stop to must_do"),
        (rule(holds="holds: fire"), "it no longer holds gate crank"),
        (rule(holds="holds: {crank: []}"), "gate crank no longer waits for oil_drain"),
        (rule(adds="oil_sample"), "gate crank no longer waits for oil_drain; it no longer adds oil_drain"),
        (rule().replace("gritty}", "clear}"), "it fires on other answers"),
    ],
    ids=["severity", "gate", "hold", "task", "condition"],
)
def test_a_rule_that_says_less_than_the_shipped_one_is_refused(rules, club, changed, words):
    folder = club("findings/oil/club.yaml", changed)

    assert told(rules, folder) == (
        f"club/findings/oil/club.yaml:3: rule 'oil-gritty' {LESS}{words} [weakens-safety]{KEEP}"
    )


def test_a_rule_that_no_longer_raises_its_stop_is_refused(rules, club):
    folder = club("findings/oil/club.yaml", rule(stop="", severity="must_do"))

    assert "its severity falls from stop to must_do; it no longer raises stop settled-dirt [weakens" in told(
        rules, folder
    )


def test_a_second_rule_as_strict_as_the_first_is_still_a_second_one(rules, club):
    folder = club("findings/oil/club.yaml", rule())

    assert told(rules, folder) == (
        "club/findings/oil/club.yaml:3: rule 'oil-gritty' is defined a second time; "
        "the first is rules/findings/oil/look.yaml:3 [double-id]\n"
        "    Give it another id, or add: overrides: oil-gritty, approved_by: … and reason: …\n"
    )


def test_overrides_without_a_name_and_a_reason_is_refused_and_says_what_would_be_lost(rules, club):
    text = rule(severity="must_do").replace(
        "    when", "    overrides: oil-gritty\n    approved_by: A. Member\n    when"
    )

    assert told(rules, club("findings/oil/club.yaml", text)) == (
        "club/findings/oil/club.yaml:3: rule 'oil-gritty' overrides 'oil-gritty' without saying who approved it and why; "
        "it is less strict than rules/findings/oil/look.yaml:3: its severity falls from stop to must_do "
        "[override-unexplained]\n    Add: approved_by: … and reason: …\n"
    )


def test_overrides_of_something_unknown_is_refused_with_the_nearest_name(rules, club):
    text = rule("club-oil").replace("    when", APPROVED.format("oil-grity") + "    when")

    assert told(rules, club("findings/oil/club.yaml", text)) == (
        "club/findings/oil/club.yaml:4: rule 'club-oil' overrides 'oil-grity', which does not exist [unknown-override]\n"
        "    Did you mean 'oil-gritty'?\n"
    )


def test_what_was_approved_is_printed_by_every_plan_with_what_was_lost(rules, club):
    text = rule(severity="stop", holds="holds: crank", adds="oil_drain, oil_sample")
    text = text.replace("gritty}", "[gritty, not_seen]}").replace(
        "    when", APPROVED.format("oil-gritty") + "    when"
    )

    base = loaded(rules, club("findings/oil/club.yaml", text))

    line = (
        "rule oil-gritty: replaced by club/findings/oil/club.yaml:3, approved by A. Member, "
        "because Ours are roller engines; less strict than shipped: it fires on other answers"
    )
    assert base.overrides == (line,)
    assert make_plan(base, Record(), "2026-11-25").overrides == (line,)
    again, _ = load_rules(str(rules), [str(club("README.md", ""))])
    assert again is not None and again.overrides == (line,)  # from the cache


STOP = """stops:
  settled-dirt:
    title: Dirt in the oil
    danger: It is drawn through the bearings.
    meanwhile: Do not turn it.
    who: owner
    text: {text}
    clears: {{oil-gritty: {clears}}}
"""


def test_a_stop_with_less_clearing_evidence_is_refused(rules, club):
    text = STOP.format(
        text="Grit was felt in the oil. Nothing turns until it is out.", clears="{crank: {done: oil_drain}}"
    )

    assert told(rules, club("stops.yaml", text)) == (
        "club/stops.yaml:2: stop 'settled-dirt' would be less strict than rules/stops.yaml:2: "
        "other evidence clears it for rule oil-gritty [weakens-safety]\n"
        "    Keep it as strict, or add: overrides: settled-dirt, approved_by: … and reason: …; every plan then prints it.\n"
    )


def test_a_stop_that_shuts_words_only_or_says_something_else_is_refused(rules, club):
    text = STOP.format(text="All is well.", clears="{crank: {all: [{done: oil_drain}, {oil_look: clear}]}}")
    text += "    words_only: true\n"

    assert "it shuts words only; page one says something else [weakens-safety]" in told(rules, club("stops.yaml", text))


GATE = """gates:
  crank:
    title: Crank
    opens: cranking
    after: {after}
    first_task: prime_starter
    needs:
      - {{text: oil looked at, when: {{oil_at_risk: "yes"}}, then: {{oil_look: [clear{also}]}}, source: common_practice}}
      - {{if_planned: [{planned}]}}
    cautions: [{caution}]
    who: owner
"""


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"also": ", not_seen"}, "the need 'oil looked at' is dropped or changed"),
        ({"planned": "oil_sample"}, "the need 'planned work: oil_drain' is dropped or changed"),
        ({"after": "[]"}, "it no longer waits for gate turn"),
        ({"caution": "Be careful."}, "the caution 'Leads earthed.' is dropped"),
    ],
    ids=["need", "planned", "after", "caution"],
)
def test_a_gate_that_asks_for_less_is_refused(rules, club, changed, words):
    parts = {"after": "[turn]", "also": "", "planned": "oil_drain", "caution": "Leads earthed."}
    text = GATE.format(**{**parts, **changed})

    assert told(rules, club("gates.yaml", text)) == (
        f"club/gates.yaml:2: gate 'crank' would be less strict than rules/gates.yaml:4: {words} [weakens-safety]\n"
        "    Keep it as strict, or add: overrides: crank, approved_by: … and reason: …; every plan then prints it.\n"
    )


LIMIT = "limits:\n  fuel_keeps_y: {value: %s, unit: %s, text: ours, source: common_practice%s}\n"


def test_a_limit_that_lets_a_rule_keep_quiet_longer_is_refused(rules, club):
    assert told(rules, club("limits.yaml", LIMIT % (2, "years", ""))).startswith(
        "club/limits.yaml:2: limit 'fuel_keeps_y' would be less strict than rules/limits.yaml:2: "
        "rule fuel-stale fires less often [weakens-safety]\n"
    )


def test_a_less_strict_limit_with_approval_is_printed_with_what_it_loosens(rules, club):
    words = ", overrides: fuel_keeps_y, approved_by: A. Member, reason: Stabilised petrol"

    base = loaded(rules, club("limits.yaml", LIMIT % (2, "years", words)))

    assert base.limits["fuel_keeps_y"].value == 2
    assert base.overrides == (
        "limit fuel_keeps_y: replaced by club/limits.yaml:2, approved by A. Member, because Stabilised petrol; "
        "less strict than shipped: rule fuel-stale fires less often",
    )


def test_a_limit_keeps_its_unit(rules, club):
    assert told(rules, club("limits.yaml", LIMIT % (0.5, "months", "")), "limit-unit") == (
        "club/limits.yaml:2: limit 'fuel_keeps_y' is in 'months'; 'years' was expected (rules/limits.yaml:2) [limit-unit]\n"
        "    Write: unit: years, and its value in that unit.\n"
    )


@pytest.mark.parametrize(
    "needs",
    [
        "then: {years_stored: {at_least: fuel_keeps_y}}",
        "when: {not: {years_stored: {less_than: fuel_keeps_y}}}, then: {oil_look: clear}",
    ],
)
def test_a_limit_is_less_strict_where_a_gate_would_open_or_ask_otherwise(rules, club, needs):
    gates = rules / "gates.yaml"
    gates.write_text(
        gates.read_text("utf-8").replace(
            "opens: turning, after: [touch], first_task: hand_turn, needs: []",
            "opens: turning, after: [touch], first_task: hand_turn, "
            f"needs: [{{text: stood long, {needs}, source: common_practice}}]",
        ),
        "utf-8",
    )
    value = 0.5 if needs.startswith("then") else 2

    said = told(rules, club("limits.yaml", LIMIT % (value, "years", "")))

    assert "gate turn opens more easily (stood long)" in said


TASK = """about: Ours
tasks:
  oil_drain:
    title: Drain the oil
    gate: {gate}
    who: owner
    minutes: {{least: 20, likely: 30, most: 60}}
    after: [{after}]
    only_if: {{layout: [{layouts}]}}
    method: [Take out the plug.]
    done_when: Nothing drips.
    finds: [{finds}]
    reads: [{reads}]
    asks_again: [{again}]
    cautions: [{caution}]
    source: common_practice
"""


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"gate": "fire"}, "it is due before gate fire in place of crank"),
        ({"after": ""}, "it no longer comes after oil_sample"),
        ({"layouts": "single_wet"}, "it is left out on other machines"),
        ({"again": ""}, "it no longer asks again for oil_look"),
        ({"finds": "oil_look"}, "it pays for what it finds itself: oil_look"),
        ({"reads": "oil_look"}, "it stands whatever is read off it: oil_look"),
        ({"caution": "Mind the floor."}, "the caution 'Old oil is bad for the skin.' is dropped"),
    ],
    ids=["gate", "after", "machines", "asks-again", "finds", "reads", "caution"],
)
def test_a_task_that_is_less_careful_is_refused(rules, club, changed, words):
    parts = {
        "gate": "crank",
        "after": "oil_sample",
        "layouts": "flat_twin_wet, single_wet",
        "again": "oil_look",
        "finds": "",
        "reads": "",
        "caution": "Old oil is bad for the skin.",
    }
    text = TASK.format(**{**parts, **changed})

    said = told(rules, club("tasks/oil.yaml", text))

    assert f"task 'oil_drain' would be less strict than rules/tasks/oil.yaml:13: {words} [weakens-safety]" in said


QUESTION = """stage: 3
questions:
  oil_look:
    ask: What does the oil look like?
    kind: choice
    choices: {{clear: "see through", gritty: "sand felt between the fingers", not_seen: "nobody looked"}}
    how: Rub two drops between gloved fingers.
    why: It is the first sign of what lies below.
    worst: {worst}
    blind: [{blind}]
    lasting: [{lasting}]
    settled_by: [oil_sample]
    skip_when: {{years_stored: {{less_than: {skip}}}}}
    opens_after: photo_record
"""


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"worst": "clear"}, "its worst answer is another one"),
        ({"blind": ""}, "not_seen no longer means that nobody looked"),
        ({"skip": 50}, "it is skipped on other answers"),
        ({"lasting": "clear"}, "clear need not be looked at again after a run"),
    ],
    ids=["worst", "blind", "skip", "lasting"],
)
def test_a_question_that_lets_less_be_known_is_refused(rules, club, changed, words):
    text = QUESTION.format(**{"worst": "gritty", "blind": "not_seen", "skip": "0.1", "lasting": "", **changed})

    said = told(rules, club("questions/3-hands-on.yaml", text))

    assert f"question 'oil_look' would be less strict than rules/questions/3-hands-on.yaml:5: {words} [weakens" in said


def test_a_derived_fact_worked_out_another_way_is_refused(rules, club):
    text = "facts:\n  storage_band: {band: years_stored, up_to: [[30, short], [60, long]], above: deep}\n"

    assert "fact 'storage_band' would be less strict than rules/derived.yaml:2: it is worked out another way [" in told(
        rules, club("derived.yaml", text)
    )


def test_a_new_question_cannot_slip_under_the_name_of_a_derived_fact(rules, club):
    text = QUESTION.format(worst="gritty", blind="not_seen", skip="0.1", lasting="").replace(
        "  oil_look:", "  oil_at_risk:"
    )

    assert (
        "'oil_at_risk' is a derived fact here and a question in club/questions/3-hands-on.yaml:3 [double-id]"
        in told(rules, club("questions/3-hands-on.yaml", text))
    )


def test_a_club_adds_a_need_to_a_gate_and_a_rule_to_a_stop_without_touching_the_rest(rules, club):
    club("gates.yaml", "gates:\n  turn:\n    needs: [{text: seen, then: {oil_look: clear}, source: common_practice}]\n")
    club("findings/oil/club.yaml", rule("club-oil").replace("gritty}", "[clear, gritty]}"))
    folder = club("stops.yaml", "stops:\n  settled-dirt:\n    clears: {club-oil: {done: oil_drain}}\n")

    base = loaded(rules, folder)

    assert [need.text for need in base.gates["turn"].needs] == ["seen"]
    assert base.gates["turn"].cautions == ("Plugs out.",)
    assert set(base.stops["settled-dirt"].clears) == {"oil-gritty", "club-oil"}
    assert base.stops["settled-dirt"].text.startswith("Grit was felt")
    assert base.overrides == ()


def test_an_addition_to_a_stop_cannot_change_the_evidence_of_a_shipped_rule(rules, club):
    folder = club("stops.yaml", "stops:\n  settled-dirt:\n    clears: {oil-gritty: {always: true}}\n")

    assert told(rules, folder, "clears-twice") == (
        "club/stops.yaml:3: stop settled-dirt has its own evidence for rule oil-gritty (rules/stops.yaml:2), "
        "which an addition cannot change [clears-twice]\n"
        "    Take the line out, or write the whole stop with overrides: settled-dirt, approved_by: … and reason: …\n"
    )


def test_words_for_a_sale_that_a_club_adds_are_printed_with_every_plan(rules, club):
    words = "claims:\n  sings: {phrase: sings, evidence: {always: true}, proved: Sings., unproved: Does not., source: from_memory}\n"

    base = loaded(rules, club("claims.yaml", words))

    assert base.overrides == ("claim sings: words of the club's own, by club/claims.yaml:2",)
