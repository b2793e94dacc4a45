"""Ticked choices, and which of two dated entries is the older. Shares no code with the engine."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Ticks:
    """Choices that hold for certain, and the others that stand in for what is not known; None: could be any."""

    held: frozenset[str]
    others: frozenset[str] | None = frozenset()


def older(first: str, second: str) -> bool:
    """Whether an entry dated `first` is certainly older than one dated `second`. Undated entries are the newest.

    Within one day only two times of the day can tell; otherwise neither is older.
    """
    if not first:
        return False
    if not second:
        return True
    if len(first) > 10 and len(second) > 10:
        return _to_the_second(first) < _to_the_second(second)
    return first[:10] < second[:10]


def _to_the_second(moment: str) -> str:
    return moment if len(moment) > 16 else moment + ":00"
