"""Three-point times and the critical path of a network of work. Pure arithmetic; it knows no calendar and no hands.

Source of the three-point mean and variance, and of the critical path through events:
D. G. Malcolm, J. H. Roseboom, C. E. Clark, W. Fazar, "Application of a Technique for Research and Development
Program Evaluation", Operations Research 7 (1959), pages 646 to 669.
Source of early and late times and float: J. E. Kelley, "Critical-Path Planning and Scheduling: Mathematical Basis",
Operations Research 9 (1961), pages 296 to 320 (cited from memory).
"""

from collections.abc import Collection, Iterable, Mapping
from graphlib import TopologicalSorter

from revive.frozen import Frozen

NINE_IN_TEN_SD = 1.2815515655446004
"""Standard deviations above the mean that nine in ten outcomes stay under, if they spread normally."""


class Spread(Frozen):
    """A sum of three-point times, in the unit of the times.

    sd: within one group the deviations are added straight, between groups as squares.
    sd_if_independent: as squares throughout, which is right only if no two tasks run late for the same reason.
    """

    mean: float
    sd: float
    nine_in_ten: float
    sd_if_independent: float


class Times(Frozen):
    """When one activity can and must run, counted from the start of the whole.

    total_float: how far it can slip without the end slipping; free_float: without any other activity slipping.
    """

    early_start: float
    early_finish: float
    late_start: float
    late_finish: float
    total_float: float
    free_float: float


def three_point_mean(least: float, likely: float, most: float) -> float:
    """Expected time from a least, a most likely and a most.

    >>> round(three_point_mean(4, 6, 12), 3)
    6.667
    """
    return (least + 4 * likely + most) / 6


def three_point_sd(least: float, most: float) -> float:
    """Standard deviation that goes with three_point_mean: a sixth of the range.

    >>> round(three_point_sd(4, 12), 3)
    1.333
    """
    return (most - least) / 6


def spread_of_sum(estimates: Iterable[tuple[str, tuple[float, float, float]]]) -> Spread:
    """The sum of (group, (least, likely, most)).

    Independence is assumed between groups only. Tasks of one group meet the same rust and the same missing papers,
    so they may all run late together; their deviations are added straight, the most that they can come to.
    Nine in ten rests on the normal curve, fair for a sum of many groups and rough for one or two.
    """
    mean, squares = 0.0, 0.0
    by_group: dict[str, float] = {}
    for group, (least, likely, most) in estimates:
        mean += three_point_mean(least, likely, most)
        deviation = three_point_sd(least, most)
        squares += deviation**2
        by_group[group] = by_group.get(group, 0.0) + deviation
    sd = sum(deviation**2 for deviation in by_group.values()) ** 0.5
    return Spread(mean, sd, mean + NINE_IN_TEN_SD * sd, squares**0.5)


def times_of(durations: Mapping[str, float], before: Mapping[str, Collection[str]]) -> dict[str, Times]:
    """Early and late times and float of every activity. before: activity -> what must be finished first.

    Names in `before` that have no duration are left out. Raises ValueError where activities wait for each other.
    """
    order, before = _ordered(durations, before)
    after: dict[str, list[str]] = {name: [] for name in order}
    early: dict[str, float] = {}
    for name in order:
        early[name] = max((early[other] + durations[other] for other in before[name]), default=0.0)
        for other in before[name]:
            after[other].append(name)
    end = max((early[name] + durations[name] for name in order), default=0.0)
    late: dict[str, float] = {}
    for name in reversed(order):
        late[name] = min((late[other] for other in after[name]), default=end) - durations[name]
    result = {}
    for name in durations:
        finish = early[name] + durations[name]
        free = min((early[other] for other in after[name]), default=end) - finish
        slack = late[name] - early[name]
        result[name] = Times(early[name], finish, late[name], late[name] + durations[name], slack, free)
    return result


def longest_after(durations: Mapping[str, float], before: Mapping[str, Collection[str]]) -> dict[str, float]:
    """For every activity, the longest chain of durations from its start to the end of the whole."""
    order, before = _ordered(durations, before)
    rest = dict.fromkeys(order, 0.0)
    for name in reversed(order):
        rest[name] += durations[name]
        for other in before[name]:
            rest[other] = max(rest[other], rest[name])
    return rest


def critical_path(durations: Mapping[str, float], before: Mapping[str, Collection[str]]) -> tuple[str, ...]:
    """The longest chain, first to last; of equal chains the one whose activities come first in `durations`."""
    rest = longest_after(durations, before)
    chain: list[str] = []
    ready = [name for name in durations if not any(other in durations for other in before.get(name, ()))]
    while ready:
        chosen = max(ready, key=lambda name: rest[name])
        chain.append(chosen)
        ready = [name for name in durations if chosen in before.get(name, ())]
    return tuple(chain)


def _ordered(
    durations: Mapping[str, float], before: Mapping[str, Collection[str]]
) -> tuple[list[str], dict[str, list[str]]]:
    """Names in an order that can be worked, and what is before each, both settled by the order of `durations`."""
    place = {name: number for number, name in enumerate(durations)}
    kept = {
        name: sorted({other for other in before.get(name, ()) if other in place}, key=place.__getitem__)
        for name in durations
    }
    return list(TopologicalSorter(kept).static_order()), kept
