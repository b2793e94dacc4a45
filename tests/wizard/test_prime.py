"""Standing by while the oilways are primed, by a clock that does not wait."""

from pathlib import Path

import pytest

from revive.commands.common import Held
from revive.commands.prime import refuse
from revive.engine.planner import make_plan
from revive.engine.study import study_case
from revive.model import ReviveError, RuleBase
from revive.record import parse_record, read_record
from revive.wizard.answering import Pen
from revive.wizard.clock import Clock
from revive.wizard.priming import TASK, _passage, _timed_steps, bursts_since_mend, mending_tasks, set_up
from revive.wizard.standby import Standby

from .ready import TODAY, record_open_to
from .scripted import ScriptedScreen, replies
from .talk import Talk


class QuickClock:
    """Time that passes only when somebody waits. breaks_at: the second at which Ctrl-C is pressed."""

    def __init__(self, breaks_at: float = float("inf")) -> None:
        self.now_s, self.breaks_at = 0.0, breaks_at

    def wait(self, seconds: float) -> None:
        self.now_s += seconds
        if self.now_s >= self.breaks_at:
            raise KeyboardInterrupt

    def moment(self) -> str:
        whole = int(self.now_s)
        return f"{TODAY}T12:{whole // 60:02d}:{whole % 60:02d}"

    def clock(self) -> Clock:
        return Clock(lambda: self.now_s, self.wait, self.moment)


def held_with(base: RuleBase, path: Path, data: bytes) -> Held:
    path.write_bytes(data)
    return Held(str(path), base, data, parse_record(data, str(path), base))


def session(held: Held, *given: str, time: QuickClock | None = None, then_leave: bool = False) -> ScriptedScreen:
    """One session with these replies; what was said. then_leave: the questions of the card are left open."""
    time = time or QuickClock()
    screen = ScriptedScreen(replies(*given, then_leave=then_leave))
    pen = Pen(screen, held, TODAY, time.moment)
    Standby(pen, time.clock(), set_up(study_case(held.base, held.record, TODAY))).run()
    return screen


def logged(held: Held) -> list[tuple[float, int | None, str]]:
    return [
        (reading["seconds"], reading.get("points_seen"), reading.get("how", ""))
        for reading in read_record(held.path, held.base).readings
    ]


def test_it_refuses_with_the_reasons_unless_the_gate_is_open(base: RuleBase, path: Path) -> None:
    text = b"record: 1\nanswers: {layout: flat_twin_wet, starter_kind: electric, plan_goal: ride, years_stored: 14}\n"
    held = held_with(base, path, text)

    with pytest.raises(ReviveError, match="may not be cranked yet") as refused:
        refuse(study_case(base, held.record, TODAY), make_plan(base, held.record, TODAY), held)

    assert "two full turns by hand" in str(refused.value)


@pytest.mark.parametrize(
    ("answers", "reason"),
    [
        ("layout: two_stroke_premix, starter_kind: kick, plan_goal: ride", "engines with an oil pump"),
        ("layout: flat_twin_wet, starter_kind: none, plan_goal: ride", "no starter and no kick lever"),
    ],
)
def test_it_refuses_engines_that_are_not_primed_this_way(base: RuleBase, path: Path, answers: str, reason: str) -> None:
    held = held_with(base, path, f"record: 1\nanswers: {{{answers}}}\n".encode())

    with pytest.raises(ReviveError, match=reason):
        refuse(study_case(base, held.record, TODAY), make_plan(base, held.record, TODAY), held)


def test_bursts_are_counted_down_and_every_rest_is_kept(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held, time = held_with(base, path, crank_open), QuickClock()
    screen = session(held, "yes", "go", "0", "go", "0", "stop", "no", time=time)

    assert "10 9 8 7 6 5 4 3 2 1 STOP" in " ".join(screen.said)
    assert "60 50 40 30 20 10 ready" in " ".join(screen.said)
    assert time.now_s == 10 + 60 + 10 + 60
    assert logged(held) == [(10, 0, "dry"), (10, 0, "dry")]


def test_oil_at_every_point_twice_is_proof_and_goes_on_record(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held = held_with(base, path, crank_open)
    bursts = ["go", "0", "go", "3", "spits", "go", "4", "runs", "go", "4", "runs"]
    screen = session(held, "yes", *bursts, "yes", then_leave=True)

    record = read_record(path, base)
    assert logged(held) == [(10, 0, "dry"), (10, 3, "spits"), (10, 4, "runs"), (10, 4, "runs")]
    assert record.answers["prime_result"].value == "all_streams"
    assert record.answers["prime_crank_s"].value == 40
    assert TASK in record.done
    assert "One last burst confirms it." in screen.text()
    study = study_case(base, record, TODAY)
    assert study.recorded.sight.rule["prime_points_seen"] == 4
    assert study.recorded.sight.rule["oil_proved"] == "yes"


def test_the_budget_ends_it_and_names_what_to_check(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held = held_with(base, path, crank_open)
    screen = session(held, "yes", *["go", "0"] * 12, "yes")

    record = read_record(path, base)
    assert sum(seconds for seconds, _, _ in logged(held)) == base.limits["prime_budget_s"].value == 120
    assert record.answers["prime_result"].value == "none" and TASK not in record.done
    assert "the budget is spent" in screen.text() and base.tasks["pump_inspect"].title in screen.text()
    with pytest.raises(ReviveError, match="may not be cranked yet"):
        refuse(study_case(base, record, TODAY), make_plan(base, record, TODAY), Held(str(path), base, None, record))


def test_the_advice_of_each_stage_is_said_when_it_is_due(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held = held_with(base, path, crank_open)
    said = session(held, "yes", *["go", "0"] * 12, "no").text()

    places = [said.index(step) for _, step in sorted(_timed_steps(base.tasks[TASK]).items())]
    assert len(places) == 4 and places == sorted(places)


def test_spits_are_early_and_stay_suspect_when_they_stay(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held, task = held_with(base, path, crank_open), base.tasks[TASK]
    said = session(held, "yes", *["go", "2", "spits"] * 4, "stop", "no").text()

    assert said.index(_passage(task.method, "Oil seen:")) < said.index(_passage(task.changes_plan_if, "spits the same"))


def test_one_point_short_is_called_a_blocked_oilway(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held = held_with(base, path, crank_open)
    said = session(held, "yes", *["go", "3", "runs"] * 4, "stop", "no").text()

    assert _passage(base.tasks[TASK].changes_plan_if, "run at some") in said


def test_a_burst_that_is_broken_off_is_logged_with_its_seconds(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held = held_with(base, path, crank_open)
    with pytest.raises(KeyboardInterrupt):
        session(held, "yes", "go", time=QuickClock(breaks_at=4))

    assert logged(held) == [(4, None, "")]


class Killed(BaseException):
    pass


def test_a_kill_during_the_count_leaves_the_whole_burst_counted(
    base: RuleBase, path: Path, crank_open: bytes, monkeypatch: pytest.MonkeyPatch
) -> None:
    held, time = held_with(base, path, crank_open), QuickClock()

    def wait(seconds: float) -> None:
        time.now_s += seconds
        if time.now_s >= 3:
            raise Killed

    monkeypatch.setattr(time, "wait", wait)
    with pytest.raises(Killed):
        session(held, "yes", "go", time=time)

    assert logged(held) == [(10, None, "")]


def test_a_kill_during_the_question_loses_no_burst(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held = held_with(base, path, crank_open)
    with pytest.raises(StopIteration):
        session(held, "yes", "go")

    assert logged(held) == [(10, None, "")]


def test_less_cranking_and_the_turning_speed_can_be_said(base: RuleBase, path: Path, crank_open: bytes) -> None:
    held = held_with(base, path, crank_open)
    said = session(held, "yes", "go", "v", "12", "c", "6", "0", "stop", "no").text()

    assert logged(held) == [(6, 0, "dry")]
    assert "about 144 rpm" in said and "charge the battery" in said


def test_the_budget_runs_on_another_day_and_anew_after_a_mend(base: RuleBase, path: Path, crank_open: bytes) -> None:
    earlier = b"\nreadings:\n  - {what: prime_burst, on: 2026-11-22T10:00, seconds: 10, points_seen: 0, how: dry}\n" * 1
    held = held_with(base, path, crank_open + earlier)
    said = session(held, "no").text()
    assert "Cranking since the last mend: 10 s of 120 s" in said

    mended = crank_open.replace(b"\ndone:\n", b"\ndone:\n  pump_inspect: {on: 2026-11-23T10:00}\n") + earlier
    assert "pump_inspect" in mending_tasks(base)
    assert bursts_since_mend(base, parse_record(mended, "x", base)) == []


@pytest.fixture(scope="session")
def kick_open(base: RuleBase) -> bytes:
    return record_open_to(base, "crank", layout="single_wet", starter_kind="kick", cylinders=1.0)


def test_kicks_are_counted_as_seconds(base: RuleBase, path: Path, kick_open: bytes) -> None:
    held, time = held_with(base, path, kick_open), QuickClock()
    said = session(held, "yes", "go", "", "0", "go", "10", "0", "stop", "no", time=time).text()

    assert logged(held) == [(10, 0, "dry"), (5, 0, "dry")]
    assert "20 kicks" in said and "then 120 s of rest" in said


def test_the_command_stands_by_on_a_narrow_terminal(base: RuleBase, path: Path, crank_open: bytes) -> None:
    path.write_bytes(crank_open)
    talk = Talk("prime", str(path), "--today", TODAY, columns=60, NO_COLOR="1")
    talk.until("Oil must be seen to run at 4 points", "NEVER fire it", "all of this is so", "help")
    talk.press("1")
    talk.until("Burst 1: 10 s. 120 s of the budget are left.", "help")
    talk.press("1")
    talk.until("10 9")
    talk.press("ctrl-c")

    assert talk.ends() == 130
    reading = read_record(path, base).readings[-1]
    assert reading["what"] == "prime_burst" and 1 <= reading["seconds"] <= 10


def test_the_command_says_why_it_refuses(path: Path) -> None:
    path.write_text("record: 1\nanswers: {layout: flat_twin_wet, starter_kind: electric, plan_goal: ride}\n")
    talk = Talk("prime", str(path), "--today", TODAY)

    assert talk.ends() == 1
    assert "it may not be cranked yet" in talk.heard
