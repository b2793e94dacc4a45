"""The engine's own judging of every rule, apart from the rest of a plan: what other engines are compared with."""

from collections.abc import Callable

from revive.engine.compiled import compile_base
from revive.engine.facts import Case, Reading, open_case, recorded_values
from revive.model import Record, RuleBase

STATE = {True: "certain", None: "possible", False: "quiet"}


def opened(base: RuleBase, record: Record, today: str) -> Case:
    """A record ready to be judged; the facts that only a whole plan can tell stand at nought."""
    case = open_case(compile_base(base), record, today)
    case.from_plan.update(dict.fromkeys(("oldest_stop_days", "gates_open", "stops_standing", "undone_must"), 0.0))
    return case


def rule_pass(base: RuleBase, record: Record, today: str) -> Callable[[], dict[str, bool | None]]:
    """A call that judges every rule on the recorded answers, derived facts reckoned anew each time."""
    case = opened(base, record, today)
    given = recorded_values(case)
    rules = case.compiled.rules

    def judge() -> dict[str, bool | None]:
        sight = Reading(case, given).sight
        return {name: test(sight) for name, test in rules.items()}

    return judge
