"""What a look decides: the parts and the days between its best and its worst answer, each answer tried by a whole plan."""

import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from render_machines import TODAY, rules

from revive.cli import main
from revive.commands.looks import WITH_DAYS, look_data, ranking, worth_words
from revive.engine.planner import make_plan
from revive.engine.schedule import make_schedule
from revive.engine.worth import rank_looks, worth_data
from revive.engine.worth_days import with_days
from revive.model import Answer
from revive.record import read_record

SAMPLE = Path(__file__).parents[2] / "samples" / "flat-twin" / "1-first-answers.yaml"


@cache
def looks():
    return {look.question: look for look in rank_looks(rules(), read_record(str(SAMPLE), rules()), TODAY)}


@cache
def plan_under(question: str, value):
    record = read_record(str(SAMPLE), rules())
    answers = {**record.answers, question: Answer(value, on=TODAY, how="seen")}
    return make_plan(rules(), replace(record, answers=answers), TODAY)


def items(plan, besides: set[str]) -> int:
    """Kinds of parts of all work to do but that of every answer."""
    return len(
        {
            part.item
            for task in plan.tasks
            if task.state == "to_do" and task.id not in besides
            for part in rules().tasks[task.id].parts
            if part.item not in task.left_out
        }
    )


@pytest.mark.parametrize("question", ["standing_on", "rodent_signs", "wiring_look"])
def test_parts_that_hang_on_a_look_are_those_by_which_whole_plans_differ(question: str):
    look = looks()[question]
    plans = [plan_under(question, one.value) for one in look.outcomes]
    always = set.intersection(*({task.id for task in plan.tasks if task.state == "to_do"} for plan in plans))
    counts = [items(plan, always) for plan in plans]

    assert look.parts_between == (min(counts), max(counts))
    assert max(counts) > 0
    assert (worth_data(look)["parts_least"], worth_data(look)["parts_most"]) == look.parts_between


def test_days_that_hang_on_a_look_are_those_of_whole_calendars():
    look = with_days(rules(), read_record(str(SAMPLE), rules()), TODAY, [looks()["rodent_signs"]])[0]
    days = [
        make_schedule(rules(), plan_under("rodent_signs", one.value).tasks, hours_per_day=4, start=TODAY)[
            "elapsed_days"
        ]
        for one in look.outcomes
    ]

    assert [one.days for one in look.outcomes] == days
    assert look.days_between == (min(days), max(days)) and min(days) < max(days)
    assert f"a plan of {min(days)} to {max(days)} days" in worth_words(look)


def test_a_pair_of_questions_is_laid_out_with_both_answers():
    record = read_record(str(SAMPLE), rules())
    pair = next((look for look in looks().values() if look.together_with), None)
    if pair is None:
        one = looks()["rodent_signs"]
        outcomes = tuple(replace(outcome, also="wheels") for outcome in one.outcomes[:1])
        pair = replace(one, together_with="flood_level", outcomes=outcomes)
    outcome = pair.outcomes[0]
    answers = {
        pair.question: Answer(outcome.value, TODAY, how="seen"),
        pair.together_with: Answer(outcome.also, TODAY, how="seen"),
    }
    plan = make_plan(rules(), replace(record, answers={**record.answers, **answers}), TODAY)

    first = replace(pair, outcomes=pair.outcomes[:1])
    elapsed = make_schedule(rules(), plan.tasks, hours_per_day=4, start=TODAY)["elapsed_days"]
    assert with_days(rules(), record, TODAY, [first])[0].outcomes[0].days == elapsed


def test_days_are_reckoned_for_the_first_looks_and_it_is_said_for_which(capsys):
    assert main(["looks", str(SAMPLE), "--today", TODAY, "--units", "imperial"]) == 0
    said = capsys.readouterr().out
    rows = [" ".join(row.split()) for row in re.split(r"\n\s*\d+\. ", said)[1:]]

    assert f"reckoned for the first {WITH_DAYS} (--all: for every one)" in " ".join(said.split())
    assert max(map(len, said.split("\n"))) <= 80
    assert all("days" in row or "no day more or less" in row for row in rows[:WITH_DAYS])
    assert not [row for row in rows[WITH_DAYS:] if "a plan of" in row or "no day" in row]
    assert "kinds of parts" in rows[0]


def test_the_data_names_parts_and_days_of_every_answer():
    plain, look = looks()["standing_on"], looks()["rodent_signs"]
    first = replace(look, outcomes=tuple(replace(one, days=20 + n) for n, one in enumerate(look.outcomes)))
    with_them, without = look_data(first), look_data(plain)

    assert (with_them["worth"]["days_least"], with_them["worth"]["days_most"]) == (20, 19 + len(look.outcomes))
    assert [one["days"] for one in without["answers"]] == [None] * len(plain.outcomes)
    assert (without["worth"]["days_least"], without["worth"]["days_most"]) == (None, None)
    for made in (with_them, without):
        assert made["worth"]["parts_most"] == max(len(one["parts"]) for one in made["answers"]) > 0
        assert made["worth"]["parts_least"] == min(len(one["parts"]) for one in made["answers"])


def test_figures_in_the_ranking_are_shown_in_the_readers_measure():
    asked = replace(rules().questions["rodent_signs"], ask="Droppings within 2 m of it?")
    base = replace(rules(), questions={**rules().questions, "rodent_signs": asked})
    look = looks()["rodent_signs"]

    assert "Droppings within 6.6 ft (2 m) of it?" in ranking(base, [look], units="imperial")
    assert "Pints, gallons" in ranking(base, [look], units="imperial")
    assert "within 2 m of it?" in ranking(base, [look], units="metric")
