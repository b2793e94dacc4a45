"""Readings of gauges and bursts as answers: which of them count."""

from typing import Any

from revive.engine.compiled import compile_base
from revive.engine.facts import open_case
from revive.engine.planner import make_plan
from revive.loading import default_rules_folder, load_rules
from revive.model import Answer, Record, Work

DAY = "2026-11-25"
BASE, _ = load_rules(default_rules_folder())
TWIN = {"layout": "parallel_twin_dry", "start_tried": "none", "starter_kind": "electric", "prime_result": "all_streams"}


def record(seconds: dict[str, float], done: dict[str, str]) -> Record:
    readings: tuple[dict[str, Any], ...] = tuple(
        {"what": "prime_burst", "on": on, "seconds": length} for on, length in seconds.items()
    )
    answers = {name: Answer(value, "2026-11-24T18:00") for name, value in TWIN.items()}
    return Record(answers=answers, readings=readings, done={task: Work(on) for task, on in done.items()})


def cranked_s(of: Record) -> object:
    assert BASE is not None
    answer = open_case(compile_base(BASE), of, DAY).answers.get("prime_crank_s")
    return answer.value if answer else None


BURSTS = {"2026-11-22T10:00": 10.0, "2026-11-22T10:02": 10.0, "2026-11-24T17:00": 10.0}


def test_cranking_is_summed() -> None:
    assert cranked_s(record(BURSTS, {})) == 30
    assert cranked_s(record({}, {})) is None


def test_cranking_counts_since_the_last_mend() -> None:
    assert cranked_s(record(BURSTS, {"pump_inspect": "2026-11-23T12:00"})) == 10
    assert cranked_s(record(BURSTS, {"pump_inspect": "2026-11-22T10:01", "relief_valve_check": "2026-11-23"})) == 10
    assert cranked_s(record(BURSTS, {"spark_test": "2026-11-23T12:00"})) == 30, "a spark test mends no oil supply"


def test_priming_again_after_a_mend_is_not_slow_priming() -> None:
    assert BASE is not None
    long = {f"2026-11-22T10:0{minute}": 10.0 for minute in range(7)} | {"2026-11-24T17:00": 20.0}
    assert make_plan(BASE, record(long, {}), DAY).rule_states["slow-prime"] == "certain"
    mended = record(long, {"pump_inspect": "2026-11-23T12:00"})
    assert make_plan(BASE, mended, DAY).rule_states["slow-prime"] == "quiet"
