"""How one phrase is judged: what proves it, what forbids it, and what is not evidence at all."""

from dataclasses import replace

import pytest
from render_machines import TODAY, rules

from revive.engine.claims import study_sale
from revive.engine.planner import make_plan
from revive.engine.sale_study import JudgedClaim, SaleStudy, is_old, is_said_only
from revive.model import Answer, Record, Work

DAY = "2026-11-20"
KEPT = {"evidence_kept": Answer("yes", DAY)}
TURNED = Record(
    answers={
        "layout": Answer("flat_twin_wet"),
        "hand_turn": Answer("free", DAY, "A. Member", "seen"),
        "turn_noise": Answer("quiet", DAY, "A. Member", "seen"),
        **KEPT,
    },
    done={
        task: Work(DAY, "A. Member") for task in ("photo_record", "plugs_out", "bore_scope", "bore_oil", "hand_turn")
    },
)
NEW_HOSES = Record(
    answers={
        "layout": Answer("flat_twin_wet"),
        "front_brake": Answer("disc"),
        "brake_hose_age_y": Answer(0.0, DAY, "", "measured"),
        "brake_hose_state": Answer("sound", DAY),
        **KEPT,
    },
    done={"brake_hose_replace": Work(DAY, "A. Member"), "photo_record": Work(DAY)},
)


def sale(record: Record) -> SaleStudy:
    return study_sale(rules(), record, make_plan(rules(), record, TODAY), TODAY)


def claim(record: Record, name: str) -> JudgedClaim | None:
    return next((judged for judged in sale(record).claims if judged.claim.id == name), None)


def answered(record: Record, **answers: Answer) -> Record:
    return replace(record, answers={**record.answers, **answers})


def test_evidence_that_was_seen_and_kept_proves_a_phrase():
    judged = claim(TURNED, "turned_by_hand")

    assert judged.proved
    assert {(ground.kind, ground.id, ground.on, ground.by) for ground in judged.grounds} == {
        *((("task"), task, DAY, "A. Member") for task in ("plugs_out", "bore_scope", "bore_oil", "hand_turn")),
        ("answer", "hand_turn", DAY, "A. Member"),
        ("answer", "turn_noise", DAY, "A. Member"),
    }


@pytest.mark.parametrize(
    ("answers", "why"),
    [
        ({"hand_turn": Answer("dont_know", DAY)}, "not_shown"),
        ({"hand_turn": Answer("free", DAY, "", "told")}, "not_shown"),
        ({"hand_turn": Answer("stiff_even", DAY)}, "not_shown"),
        ({"turn_noise": Answer("scrape", DAY)}, "forbidden"),
        ({"turn_noise": Answer("scrape", DAY, "", "told")}, "forbidden"),
        ({"evidence_kept": Answer("no", DAY)}, "not_kept"),
        ({"evidence_kept": Answer("dont_know", DAY)}, "not_kept"),
    ],
)
def test_what_takes_the_proof_away(answers: dict[str, Answer], why: str):
    judged = claim(answered(TURNED, **answers), "turned_by_hand")

    assert (judged.proved, judged.why) == (False, why)


def test_a_fault_that_was_not_ruled_out_keeps_a_phrase_unproved():
    dry = answered(
        TURNED,
        storage_place=Answer("dry_shed"),
        bore_look=Answer("clean", DAY),
        flood_level=Answer("none"),
        lamp_shells=Answer("complete", DAY),
        rocker_look=Answer("oiled", DAY),
    )
    choices = rules().questions["rocker_look"].choices
    clean = next(choice for choice in choices if choice not in ("rust", *rules().questions["rocker_look"].blind))
    dry = answered(dry, rocker_look=Answer(clean, DAY))

    assert claim(dry, "dry_stored").proved
    for name in ("rocker_look", "lamp_shells"):
        judged = claim(answered(dry, **{name: Answer("dont_know", DAY)}), "dry_stored")
        assert (judged.proved, judged.why) == (False, "unsure"), name


def test_a_ride_that_was_never_asked_for_speaks_against_nothing_but_a_goal_nobody_knows_does():
    felt = Record(
        answers={
            "layout": Answer("flat_twin_wet"),
            "steering_feel": Answer("smooth", DAY),
            "swingarm_feel": Answer("none_play", DAY),
            **KEPT,
        },
        done={"photo_record": Work(DAY)},
    )
    proved = {
        goal: claim(answered(felt, plan_goal=Answer(goal)), "steering_good").proved
        for goal in ("ride", "sell_as_is", "dont_know")
    }

    assert proved == {"ride": True, "sell_as_is": True, "dont_know": False}
    wobbled = answered(felt, plan_goal=Answer("ride"), shakedown_findings=Answer(("wobble",), DAY))
    assert claim(wobbled, "steering_good").why == "forbidden"


def test_a_reading_taken_by_hearsay_proves_nothing_but_a_told_history_stands_as_told():
    told = answered(TURNED, last_run_state=Answer("ran_well"), last_run_faults=Answer(("none_known",)))

    judged = claim(told, "ran_when_parked")

    assert judged.proved
    assert [ground.how for ground in judged.grounds] == ["told"]


def test_work_by_others_counts_only_with_paper():
    assert claim(NEW_HOSES, "brake_hoses_new").proved
    for work, proved in (
        (Work(DAY, "workshop"), False),
        (Work(DAY, "Previous owner"), False),
        (Work(DAY, "workshop", "invoice 14"), True),
        (Work(DAY, "workshop", details={"photo": "12"}), True),
    ):
        record = replace(NEW_HOSES, done={**NEW_HOSES.done, "brake_hose_replace": work})
        assert claim(record, "brake_hoses_new").proved is proved, work
        assert ("brake_hose_replace" in sale(record).said_only) is not proved


def test_the_owner_may_have_a_name_that_begins_like_a_workshop():
    assert not is_said_only(Work(by="Garage Smith"), owner="Garage Smith")


def test_phrases_about_parts_that_are_not_there_are_not_printed():
    drums = answered(NEW_HOSES, front_brake=Answer("drum_cable"), rear_brake=Answer("drum_rod"))
    unknown = replace(NEW_HOSES, answers={k: v for k, v in NEW_HOSES.answers.items() if k != "front_brake"})

    assert claim(drums, "brake_hoses_new") is None
    assert claim(drums, "shoes_new") is not None
    judged = claim(unknown, "brake_hoses_new")
    assert judged is not None and not judged.proved, "nobody knows whether it has hoses"


def test_words_that_are_never_used_are_proved_by_nothing():
    never = {"road_legal", "needs_only", "as_good_as_new", "unrestored"}

    for record in (TURNED, NEW_HOSES, Record()):
        found = {judged.claim.id: judged for judged in sale(record).claims if judged.why == "never"}
        assert set(found) == never
        assert not any(judged.proved for judged in found.values())


def test_an_empty_record_proves_nothing_and_leaves_the_dangers_unsaid_as_unknown():
    found = sale(Record())

    assert not [judged for judged in found.claims if judged.proved]
    known = {told.id for told in found.disclosures if told.known}
    assert {"not-for-the-road", "not-looked-at", "work-done-and-not-done"} <= known
    assert {"start-tried", "crash-or-frame"} <= {told.id for told in found.disclosures if not told.known}


def test_a_stop_is_told_though_the_goal_does_not_use_its_gate():
    record = answered(TURNED, plan_goal=Answer("sell_as_is"), drained_debris=Answer(("bright_flakes",), DAY))
    plan = make_plan(rules(), record, TODAY)

    assert "failing-parts" not in {stop.id for stop in plan.stops}
    assert "failing-parts" in {held.stop.id for held in sale(record).stops}
    assert "bearing-trouble" in {told.id for told in sale(record).disclosures if told.known}


def test_what_was_only_told_is_disclosed_all_the_same():
    record = answered(TURNED, crash_signs=Answer("bent_parts", DAY, "a neighbour", "told"))
    told = next(told for told in sale(record).disclosures if told.id == "crash-or-frame")

    assert told.known
    assert [(ground.id, ground.how, ground.by) for ground in told.grounds] == [("crash_signs", "told", "a neighbour")]


@pytest.mark.parametrize(
    ("on", "layup", "old"),
    [
        ("2026-11-20", "", False),
        ("2025-11-25", "", False),
        ("2025-11-24", "", True),
        ("", "", True),
        ("2026-11-20", "2026-11-21", True),
        ("2026-11-20", "2026-11-19", False),
    ],
)
def test_a_reading_grows_old_in_twelve_months_or_by_a_later_lay_up(on: str, layup: str, old: bool):
    done = {"preserve_again": Work(layup)} if layup else {}

    assert is_old(on, "2026-11-25", Record(done=done)) is old
