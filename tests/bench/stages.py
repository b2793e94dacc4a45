"""One warm plan as JSON, its stages timed one after another in a process of its own; prints JSON. bench_plan.py runs it.

Run: python tests/bench/stages.py RECORD DAY
"""

import json
import sys
import time

clock = time.perf_counter
begun, took = clock(), {}


def stage(name: str) -> None:
    """What has passed since the stage before ended belongs to this one."""
    global begun
    took[name] = took.get(name, 0.0) + clock() - begun
    begun = clock()


def main(record: str, day: str) -> None:
    """The steps of `revive plan RECORD --as json`, as the command takes them."""
    from revive import cli

    stage("import the command line")
    given = ["plan", record, "--as", "json", "--today", day]
    arguments = cli._parser(given).parse_args(given)
    stage("read the arguments")
    from revive.commands import common, plan

    stage("import the planner")
    base = common.rule_base(arguments)
    stage("rule base from the cache")
    held = common.hold_record(arguments, base)
    stage("record from the cache")
    study = plan.study_case(base, held.record, day)
    stage("compile and study")
    caller = plan.Caller(study)
    made = plan.write_plan(caller, "")
    stage("gates, work, order, parts")
    from revive.engine.worth import with_worth

    made = with_worth(made, caller)
    stage("worth of the looks")
    made = plan.with_days(made, base, arguments)
    stage("days")
    made = plan.with_least(made, base, held.record)
    stage("least that opens the next gate")
    from revive.render.data import plan_json

    text = plan_json(made)
    stage("JSON text")
    assert text.startswith("{")
    print(json.dumps(took))


if __name__ == "__main__":
    main(*sys.argv[1:])
