"""A club's own folder over the shipped rules: its question, rule, task, need and limit all reach the plan."""

from functools import cache
from pathlib import Path

from revive.cli import main
from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules, proof_examples
from revive.model import Answer, Record, RuleBase, Work

GOOD = Path(__file__).parents[1] / "extra" / "good"
DAY = "2026-11-25"


@cache
def laid_over() -> RuleBase:
    base, problems = load_rules(default_rules_folder(), [GOOD], use_cache=False)
    assert base is not None, "\n".join(map(str, problems))
    return base


def plan_of(**answers):
    return make_plan(laid_over(), Record(answers={name: Answer(value) for name, value in answers.items()}), DAY)


def holders(plan, gate):
    found = next(one for one in plan.gates if one.id == gate)
    return {hold.rule or hold.id for hold in found.held_by if hold.shut}


def test_the_rule_of_the_club_calls_for_its_work_and_holds_the_gate():
    plan = plan_of(layout="flat_twin_wet", plan_goal="ride", sidecar_fitted="yes")

    assert "sidecar_joints_check" in {task.id for task in plan.tasks}
    assert "sidecar-joints-due" in holders(plan, "roll")


def test_without_a_sidecar_nothing_of_it_is_asked_or_done():
    plan = plan_of(layout="flat_twin_wet", plan_goal="ride", sidecar_fitted="no")

    assert "sidecar_joints_check" not in {task.id for task in plan.tasks}
    assert "sidecar_joint_play" not in plan.to_ask


def test_a_shipped_stop_stands_for_the_rule_of_the_club_and_clears_by_the_evidence_it_added():
    moves = {"layout": "flat_twin_wet", "plan_goal": "ride", "sidecar_fitted": "yes", "sidecar_joint_play": "moves"}
    standing = next(stop for stop in plan_of(**moves).stops if stop.id == "not-safe-to-roll")
    answers = {name: Answer(value, "2026-11-20") for name, value in moves.items()}
    answers["sidecar_joint_play"] = Answer("tight", "2026-11-22")
    mended = Record(answers=answers, done={"sidecar_joints_check": Work("2026-11-21")})

    assert "sidecar-joint-moves" in standing.raised_by
    assert not any("sidecar-joint-moves" in stop.raised_by for stop in make_plan(laid_over(), mended, DAY).stops)


def test_a_stricter_limit_is_taken_without_words_and_still_printed():
    hoses = {task.id for task in plan_of(layout="flat_twin_wet", years_stored=4.0, fuel_hose_state="supple").tasks}

    assert "fuel_hose_replace" in hoses
    assert laid_over().overrides == ("limit fuel_hose_keeps_y: replaced by good/limits.yaml:3, 4 in place of 5 years",)


def test_every_printed_plan_says_what_was_replaced(tmp_path, capsys):
    record = tmp_path / "mine.yaml"
    record.write_text("record: 1\nanswers: {layout: flat_twin_wet, years_stored: 14}\n", "utf-8")

    ways = [("terminal", "owner"), ("terminal", "seller"), ("markdown", "club_officer"), ("json", "owner")]
    for form, reader in ways:
        assert main(["plan", str(record), "--extra", str(GOOD), "--as", form, "--for", reader, "--today", DAY]) == 0
        said = " ".join(capsys.readouterr().out.replace("\\", "").split())
        assert "limit fuel_hose_keeps_y: replaced by good/limits.yaml:3, 4 in place of 5 years" in said


def test_examples_of_shipped_rules_still_hold_beside_a_replaced_limit():
    assert laid_over().shipped_limits == {"fuel_hose_keeps_y": 5.0}
    assert [str(problem) for problem in proof_examples.check(laid_over(), DAY)] == []
