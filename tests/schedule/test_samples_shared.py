"""The work of every shipped sample shared out: no plan is more than a tenth longer than anybody could make it."""

from pathlib import Path

import pytest

from revive.engine.dispatch import share_out
from revive.engine.planner import make_plan
from revive.engine.workdays import workdays
from revive.record import read_record
from tests.schedule.bounds import DAY, Minutes, broken_promises, soonest_end
from tests.schedule.test_schedule import START, jobs_for, work_of

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*/*.yaml"))


def test_there_are_samples():
    assert len(SAMPLES) >= 9


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: f"{path.parent.name}-{path.stem}")
def test_samples_keep_every_promise_and_are_at_most_a_tenth_too_long(base, sample):
    plan = make_plan(base, read_record(str(sample), base), START)
    to_do = [task for task in plan.tasks if task.state == "to_do"]
    minutes = Minutes(START, (4,) * 7)
    for people in (1, 2):
        jobs = jobs_for(base, to_do, {task.id for task in work_of(plan)[1]}, people)
        placed = share_out(jobs, people, workdays(START, 4), "first_start")

        assert broken_promises(jobs, placed, people, minutes) == []
        end, bound = max(item.ready for item in placed.values()), soonest_end(jobs, people, minutes)
        assert bound <= end
        assert (end // DAY + 1) <= 1.1 * (bound // DAY + 1)
