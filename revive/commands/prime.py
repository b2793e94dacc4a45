"""Stand by while the oilways are primed on the starter or by kicks; every burst goes on record."""

import argparse
import sys
from collections.abc import Callable

from revive.commands.ask import screen_for
from revive.commands.common import Held, hold_record, moment, rule_base, today
from revive.engine.study import Study, study_case
from revive.model import ReviveError
from revive.plan import Plan
from revive.problems import one_line
from revive.wizard.clock import Clock, wall_clock

REASONS_AT_MOST = 12
NEEDED = (
    *("prime_starter", "prime_result", "prime_crank_s"),
    *("kicks_per_burst", "prime_burst_s", "prime_rest_s", "prime_budget_s"),
)
NO_TERMINAL = """revive prime counts and asks on a terminal, and there is none here.
    Put bursts on record by hand under readings: {what: prime_burst, on: 2026-11-22, seconds: 10, points_seen: 2}
    Or pipe the replies, one a line:  revive prime --plain RECORD"""


def run(arguments: argparse.Namespace, clock_from: Callable[[Callable[[], str]], Clock] = wall_clock) -> int:
    """Count, ask and log until oil runs everywhere, the budget is spent or the reader stops; 0 when done."""
    if not arguments.plain and not (sys.stdin.isatty() and sys.stdout.isatty()):
        print(NO_TERMINAL, file=sys.stderr)
        return 2
    base = rule_base(arguments)
    held = hold_record(arguments, base)
    from revive.wizard.answering import Pen
    from revive.wizard.priming import set_up
    from revive.wizard.standby import Standby

    day = today(arguments)
    clock = clock_from(lambda: moment(arguments))
    pen = Pen(screen_for(arguments), held, day, clock.moment, arguments.by or "")
    study = study_case(base, held.record, day)
    refuse(study, pen.plan(), held)
    try:
        plan = Standby(pen, clock, set_up(study)).run()
    except EOFError:
        print(f"\nStopped. Every burst is on record in {one_line(held.path)}.", file=sys.stderr)
        return 130
    pen.screen.say()
    pen.screen.say(plan.verdict.sentence)
    return 0


def refuse(study: Study, plan: Plan, held: Held) -> None:
    """ReviveError with every reason where this machine may not be cranked, or not in this way."""
    base, record = held.base, one_line(held.path)
    missing = [
        name for name in NEEDED if name not in base.tasks and name not in base.limits and name not in base.questions
    ]
    if missing:
        raise ReviveError(f"this rule base does not say how priming is done: '{missing[0]}' is not in it\n    Add it.")
    if study.judge.exists("prime_starter") is not True:
        raise ReviveError(
            f"{record}: priming on the starter is for engines with an oil pump that feeds and returns; this one is not "
            f"known to have it.\n    See the plan: revive plan {record}"
        )
    starter = study.recorded.sight.rule["starter_kind"]
    if starter not in ("electric", "kick", "both"):
        how = next((step for step in base.tasks["prime_starter"].method if step.startswith("No starter")), "")
        raise ReviveError(f"{record}: no starter and no kick lever is on record.\n    {how}")
    gate = next(gate for gate in plan.gates if gate.id == "crank")
    if gate.state == "open":
        return
    if gate.state == "not_needed":
        raise ReviveError(f"{record}: the goal of this plan does not crank the engine, so nothing is primed.")
    texts = list(dict.fromkeys(hold.text for hold in sorted(gate.held_by, key=lambda hold: not hold.shut)))
    reasons = "\n".join(f"    - {text}" for text in texts[:REASONS_AT_MOST])
    if len(texts) > REASONS_AT_MOST:
        reasons += f"\n    and {len(texts) - REASONS_AT_MOST} more"
    raise ReviveError(
        f"{record}: it may not be cranked yet. '{gate.title}' is {gate.state.replace('_', ' ')}:\n{reasons}\n"
        f"    More: revive why {record} crank"
    )
