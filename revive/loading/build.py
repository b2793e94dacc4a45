"""Contents of rules folders -> RuleBase: read every file, check how they hang together."""

from collections.abc import Sequence

from revive.loading import crosscheck, crosscheck_rules, order
from revive.loading.gathered import Gathered
from revive.loading.schema import gather
from revive.model import RuleBase
from revive.problems import Problem


def build(folders: Sequence[tuple[str, dict[str, bytes]]], digest: str) -> tuple[RuleBase | None, list[Problem]]:
    """folders: shown name and files (path -> content), the base first. Returns None beside any problem."""
    gathered = Gathered()
    for place, (shown, files) in enumerate(folders):
        gather(gathered, shown, files, overlay=place > 0)
    crosscheck.check(gathered)
    crosscheck_rules.check(gathered)
    order.check(gathered)
    return (None if gathered.problems else _base(gathered, digest)), gathered.problems


def _base(gathered: Gathered, digest: str) -> RuleBase:
    return RuleBase(
        stages={stage.number: stage for stage in gathered.table("stage").values()},
        questions=gathered.table("question"),
        facts=gathered.table("fact"),
        layouts=gathered.table("layout"),
        limits=gathered.table("limit"),
        sources=gathered.table("source"),
        rules=gathered.table("rule"),
        gates=gathered.table("gate"),
        stops=gathered.table("stop"),
        tasks=gathered.table("task"),
        claims=gathered.table("claim"),
        disclosures=gathered.table("disclosure"),
        contradictions=gathered.table("contradiction"),
        oddities=gathered.table("oddity"),
        digest=digest,
        overrides=tuple(gathered.overrides),
        shipped_limits=dict(gathered.shipped_limits),
    )
