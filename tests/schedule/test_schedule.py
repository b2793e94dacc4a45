"""The schedule of whole plans from the shipped rule base."""

import json
from dataclasses import replace
from datetime import date
from itertools import pairwise

import networkx
import pytest

from revive.engine.compiled import compile_base
from revive.engine.dispatch import share_out
from revive.engine.network import critical_path
from revive.engine.schedule import ANSWER_WAIT_H, OTHERS, jobs_for, make_schedule, milestone
from revive.engine.workdays import DAY, workdays
from revive.model import GATES, ReviveError
from tests.schedule.bounds import Minutes, broken_promises, soonest_end

START = "2026-11-25"
MACHINES = (
    "bare",
    "flat twin",
    "flat twin, nothing known",
    "four, desk unknown",
    "dry sump twin, nothing known",
    "two-stroke, nothing known",
    "liquid twin, run once",
    "single, begun",
    "bearing flakes",
)
every_machine = pytest.mark.parametrize("machine", MACHINES)


def work_of(plan):
    """Tasks on the calendar, and those that only a look can call for."""
    to_do = [task for task in plan.tasks if task.state == "to_do"]
    if_so = [task for task in to_do if task.certainty == "assumed" and task.who in OTHERS]
    return [task for task in to_do if task not in if_so], if_so


def test_the_machines_cover_what_the_schedule_tells_apart(plans):
    tasks = [task for plan in plans.values() for task in plan.tasks]

    assert {task.state for task in tasks} == {"to_do", "done"}
    assert {task.who for task in tasks} == {"owner", "with_helper", "skilled", "shop"}
    assert any(work_of(plan)[1] for plan in plans.values())
    assert any(task.decide_by for task in tasks)


@every_machine
@pytest.mark.parametrize("people", [1, 2])
def test_real_plans_keep_every_promise_and_are_at_most_a_tenth_too_long(base, plans, machine, people):
    to_do = [task for task in plans[machine].tasks if task.state == "to_do"]
    jobs = jobs_for(base, to_do, {task.id for task in work_of(plans[machine])[1]}, people)
    minutes = Minutes(START, (4,) * 7)

    placed = share_out(jobs, people, workdays(START, 4), "first_start")

    assert broken_promises(jobs, placed, people, minutes) == []
    end, bound = max(item.ready for item in placed.values()), soonest_end(jobs, people, minutes)
    assert bound <= end
    assert end // DAY + 1 <= 1.1 * (bound // DAY + 1)


@every_machine
@pytest.mark.parametrize("people", [1, 2])
def test_no_task_begins_before_what_comes_first(base, plans, machine, people):
    plan = plans[machine]
    schedule = make_schedule(base, plan.tasks, people, 3, start=START)
    rows = {row["task"]: row for row in schedule["tasks"]}
    work, if_so = work_of(plan)
    behind = compile_base(base).behind

    assert list(rows) == [task.id for task in work]
    place = {task.id: number for number, task in enumerate(work)}
    for task in work:
        begins = rows[task.id]["start_min"]
        for other in task.after:
            if other in rows:
                assert begins >= rows[other]["ready_min"], f"{task.id} before {other}"
        for look in task.decide_by:
            if look in rows and place[look] < place[task.id]:  # else the look itself waits for the task
                answer = "finish_min" if base.tasks[look].wait_h > ANSWER_WAIT_H else "ready_min"
                assert begins >= rows[look][answer], f"{task.id} before the look {look}"
        for gate in behind[task.id]:
            for other in work:
                due_first = GATES.index(other.gate) <= GATES.index(gate)
                if due_first and not other.optional and gate not in reach(other, work, behind):
                    assert begins >= rows[other.id]["ready_min"], f"{task.id}, behind {gate}, before {other.id}"
    assert not rows.keys() & {task.id for task in if_so}


def reach(task, work, behind):
    """Gates that a task, or anything that comes before it, is behind."""
    by_id = {other.id: other for other in work}
    todo, found = [task.id], set()
    seen = set()
    while todo:
        name = todo.pop()
        if name in seen:
            continue
        seen.add(name)
        found.update(behind[name])
        if name in by_id:
            todo.extend((*by_id[name].after, *by_id[name].decide_by))
    return found


@every_machine
def test_every_day_holds_its_hours_and_all_work_is_on_some_day(base, plans, machine):
    hours = {"wed": 2, "sat": 6, "sun": 4}
    schedule = make_schedule(base, plans[machine].tasks, 1, weekday_hours=hours, start=START)
    done: dict[str, int] = {}

    for day in schedule["days"]:
        name = day_name(day["date"])
        assert 0 < day["hands_on_h"] <= hours[name]
        assert day["tasks"] == [piece["task"] for piece in day["work"]]
        assert all(first["to"] <= then["from"] for first, then in pairwise(day["work"]))
        for piece in day["work"]:
            done[piece["task"]] = done.get(piece["task"], 0) + piece["minutes"]
    assert [day["date"] for day in schedule["days"]] == sorted({day["date"] for day in schedule["days"]})
    assert done == {row["task"]: row["minutes"] for row in schedule["tasks"]}
    for task in work_of(plans[machine])[0]:
        expected = (task.minutes["least"] + 4 * task.minutes["likely"] + task.minutes["most"]) / 6
        assert abs(done[task.id] - expected) <= 0.5


def day_name(iso):
    return date.fromisoformat(iso).strftime("%a").lower()


@every_machine
def test_totals_are_the_sums_of_the_tasks_without_what_a_look_may_spare(base, plans, machine):
    work, if_so = work_of(plans[machine])
    schedule = make_schedule(base, plans[machine].tasks, start=START)

    def hours(tasks):
        return sum(t.minutes["least"] + 4 * t.minutes["likely"] + t.minutes["most"] for t in tasks) / 360

    assert schedule["hands_on_h"]["mean"] == pytest.approx(hours(work), abs=0.006)
    assert schedule["if_so"]["tasks"] == [task.id for task in if_so]
    assert schedule["if_so"]["hands_on_h"]["mean"] == pytest.approx(hours(if_so), abs=0.006)
    assert sum(schedule["by_who_h"].values()) == pytest.approx(hours(work), abs=0.03)
    independent = sum((t.minutes["most"] - t.minutes["least"]) ** 2 for t in work) ** 0.5 / 360
    assert schedule["hands_on_h"]["sd_if_independent"] == pytest.approx(independent, abs=0.006)
    assert schedule["hands_on_h"]["sd"] >= schedule["hands_on_h"]["sd_if_independent"]


def test_two_people_and_more_hours_never_take_longer(base, plans):
    for machine in MACHINES:
        tasks = plans[machine].tasks
        alone = make_schedule(base, tasks, 1, 2, start=START)["elapsed_days"]
        longer_days = make_schedule(base, tasks, 1, 8, start=START)["elapsed_days"]
        together = make_schedule(base, tasks, 2, 2, start=START)["elapsed_days"]
        assert longer_days <= alone and together <= alone, machine


def test_the_first_run_is_on_the_day_of_its_task_and_null_without_one(base, plans):
    with_run = make_schedule(base, plans["flat twin"].tasks, start=START)
    without = make_schedule(base, [task for task in plans["flat twin"].tasks if task.id != "first_start"], start=START)

    assert [with_run["earliest_first_run"]] == [
        day["date"] for day in with_run["days"] if "first_start" in day["tasks"]
    ]
    assert without["earliest_first_run"] is None


def test_done_tasks_take_no_time_and_hold_nothing_up(base, plans):
    schedule = make_schedule(base, plans["single, begun"].tasks, start=START)

    assert not {"site_prepare", "photo_record", "secure_machine"} & {row["task"] for row in schedule["tasks"]}
    assert schedule["days"][0]["date"] == START


def test_a_plan_with_nothing_to_do_has_no_days(base):
    schedule = make_schedule(base, (), start=START)

    assert (schedule["days"], schedule["critical_path"], schedule["ends"], schedule["elapsed_days"]) == (
        [],
        [],
        None,
        0,
    )
    assert schedule["hands_on_h"] == {"mean": 0, "sd": 0, "nine_in_ten": 0, "sd_if_independent": 0}


def test_long_waits_are_shown_and_begun_before_work_that_nothing_waits_for(base, plans):
    tasks = plans["flat twin, nothing known"].tasks
    schedule = make_schedule(base, tasks, start=START)
    shown = [row["task"] for row in schedule["start_early"]]

    assert sorted(shown) == sorted(
        task.id for task in work_of(plans["flat twin, nothing known"])[0] if task.wait_h >= 24
    )
    begun = {row["task"]: row["start_min"] for row in schedule["tasks"]}
    manual = next(row for row in schedule["tasks"] if row["task"] == "manual_get")
    assert manual["start_min"] < begun["lights_check"]
    assert all(row["wait_for"] for row in schedule["start_early"])


def test_a_slow_answer_is_not_waited_for_by_work_that_only_it_could_spare(base, plans):
    tasks = plans["flat twin, nothing known"].tasks
    rows = {row["task"]: row for row in make_schedule(base, tasks, start=START)["tasks"]}
    hanging = [task for task in work_of(plans["flat twin, nothing known"])[0] if "papers_check" in task.decide_by]

    assert hanging and base.tasks["papers_check"].wait_h > ANSWER_WAIT_H
    assert any(rows[task.id]["start_min"] < rows["papers_check"]["ready_min"] for task in hanging)
    assert (
        rows["papers_check"]["ready_min"] - rows["papers_check"]["finish_min"] == base.tasks["papers_check"].wait_h * 60
    )


def test_a_task_left_out_hands_on_what_it_waits_for(base, plans):
    tasks = [task for task in plans["flat twin"].tasks if task.id in ("oil_drain", "filter_replace", "oil_fill")]
    first, middle, last = [replace(task, after=(), decide_by=()) for task in tasks]
    middle, last = replace(middle, after=(first.id,)), replace(last, after=(middle.id,))

    jobs = {job.id: job for job in jobs_for(base, [first, middle, last], {middle.id}, 1)}

    assert middle.id not in jobs
    assert first.id in jobs[last.id].before


def test_optional_work_holds_no_gate(base, plans):
    tasks = [task for task in plans["flat twin"].tasks if task.state == "to_do"]
    drain = next(task for task in tasks if task.id == "oil_drain")
    gates = {job.id: job.before for job in jobs_for(base, tasks, set(), 1)}
    optional = [replace(task, optional=True) if task is drain else task for task in tasks]
    fewer = {job.id: job.before for job in jobs_for(base, optional, set(), 1)}

    assert drain.id in gates[milestone(drain.gate)]
    assert all(drain.id not in fewer[milestone(gate)] for gate in GATES)


def test_a_helper_is_named_for_the_days_on_which_one_is_needed(base, plans):
    schedule = make_schedule(base, plans["flat twin"].tasks, start=START)
    with_helper = {task.id for task in plans["flat twin"].tasks if task.who == "with_helper"}

    assert schedule["helper_days"] == [day["date"] for day in schedule["days"] if with_helper & set(day["tasks"])]
    assert any("helper" in note for note in schedule["notes"])


@every_machine
def test_the_longest_chain_runs_one_after_another_to_the_end(base, plans, machine):
    schedule = make_schedule(base, plans[machine].tasks, 2, 24, start=START)
    rows = {row["task"]: row for row in schedule["tasks"]}
    path = [rows[name] for name in schedule["critical_path"]]

    assert len(path) > 2
    assert all(first["finish_min"] <= then["start_min"] for first, then in pairwise(path))


@every_machine
def test_the_longest_chain_is_as_long_as_networkx_finds_it(base, plans, machine):
    work, if_so = work_of(plans[machine])
    to_do = [task for task in plans[machine].tasks if task.state == "to_do"]
    jobs = jobs_for(base, to_do, {task.id for task in if_so}, 1)
    length = {job.id: job.work + job.wait for job in jobs}
    graph = networkx.DiGraph()
    for job in jobs:
        graph.add_edge(job.id, "end", weight=length[job.id])
        for other in job.before:
            graph.add_edge(other, job.id, weight=length[other])

    chain = critical_path(length, {job.id: job.before for job in jobs})
    shown = make_schedule(base, plans[machine].tasks, 1, 24, start=START)["critical_path"]

    assert sum(length[name] for name in chain) == networkx.dag_longest_path_length(graph)
    assert shown == [name for name in chain if name in {task.id for task in work}]


def test_the_same_plan_always_has_the_same_schedule_and_is_plain_data(base, plans):
    for plan in plans.values():
        first, second = (make_schedule(base, plan.tasks, 2, 4, start=START) for _ in range(2))
        assert json.dumps(first, allow_nan=False) == json.dumps(second, allow_nan=False)


@pytest.mark.parametrize("people", [0, 3])
def test_one_or_two_people_can_be_planned_for(base, people):
    with pytest.raises(ReviveError, match="1 or 2"):
        make_schedule(base, (), people, start=START)


@pytest.mark.parametrize(("people", "hands"), [(1, 1), (2, 2)])
def test_a_task_with_a_helper_takes_everybody_who_is_there(base, plans, people, hands):
    to_do = [task for task in plans["flat twin"].tasks if task.state == "to_do"]
    jobs = {job.id: job.hands for job in jobs_for(base, to_do, set(), people)}

    assert {jobs[task.id] for task in to_do if task.who == "with_helper"} == {hands}
    assert {jobs[task.id] for task in to_do if task.who != "with_helper"} == {1}
