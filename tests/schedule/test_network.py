"""Critical path against networkx on random networks; spreads against drawn times."""

import random
from itertools import pairwise
from statistics import NormalDist, fmean, pstdev

import networkx
import pytest

from revive.engine.network import (
    NINE_IN_TEN_SD,
    critical_path,
    longest_after,
    spread_of_sum,
    times_of,
)


def random_network(seed: int, size: int) -> tuple[dict[str, float], dict[str, list[str]]]:
    draw = random.Random(seed)
    names = [f"t{number}" for number in range(size)]
    durations = {name: float(draw.randint(0, 40)) for name in names}
    before = {
        name: draw.sample(names[:place], min(place, draw.choice((0, 1, 1, 2, 4)))) for place, name in enumerate(names)
    }
    shuffled = names[:]
    draw.shuffle(shuffled)
    return {name: durations[name] for name in shuffled}, before


@pytest.mark.parametrize("seed", range(40))
def test_the_longest_chain_is_as_long_as_networkx_finds_it(seed):
    durations, before = random_network(seed, 5 + seed * 3)
    graph = networkx.DiGraph()
    for name, others in before.items():
        graph.add_edge("start", name, weight=0.0)
        graph.add_edge(name, "end", weight=durations[name])
        for other in others:
            graph.add_edge(other, name, weight=durations[other])
    longest = networkx.dag_longest_path_length(graph)

    path = critical_path(durations, before)
    times = times_of(durations, before)

    assert sum(durations[name] for name in path) == longest
    assert all(first in before[then] for first, then in pairwise(path))
    assert max(row.early_finish for row in times.values()) == longest
    assert max(longest_after(durations, before).values()) == longest
    assert all(times[name].total_float == 0 for name in path)


@pytest.mark.parametrize("seed", range(10))
def test_float_is_what_an_activity_can_slip(seed):
    durations, before = random_network(seed, 30)
    times = times_of(durations, before)
    end = max(row.early_finish for row in times.values())

    for name, row in times.items():
        slipped = times_of({**durations, name: durations[name] + row.total_float}, before)
        too_far = times_of({**durations, name: durations[name] + row.total_float + 1}, before)
        freely = times_of({**durations, name: durations[name] + row.free_float}, before)
        assert max(other.early_finish for other in slipped.values()) == end
        assert max(other.early_finish for other in too_far.values()) == end + 1
        assert all(freely[other].early_start == times[other].early_start for other in durations)


def test_activities_that_wait_for_each_other_are_refused():
    with pytest.raises(ValueError):
        times_of({"a": 1, "b": 1}, {"a": ["b"], "b": ["a"]})


def test_nine_in_ten_is_the_quantile_of_the_normal_curve():
    assert pytest.approx(NormalDist().inv_cdf(0.9), abs=1e-12) == NINE_IN_TEN_SD


def drawn_sums(estimates, grouped: bool, runs: int = 20_000) -> list[float]:
    """Sums of times drawn from the beta curve of the three-point method; in one group all are late together, or none."""
    draw = random.Random(20261125)
    sums = [0.0] * runs
    orders: dict[str, list[int]] = {}
    for number, (group, (least, likely, most)) in enumerate(estimates):
        reach = most - least
        first, second = 1 + 4 * (likely - least) / reach, 1 + 4 * (most - likely) / reach
        times = sorted(least + reach * draw.betavariate(first, second) for _ in range(runs))
        order = orders.setdefault(group if grouped else str(number), draw.sample(range(runs), runs))
        for place, time in zip(order, times, strict=True):
            sums[place] += time
    return sums


ESTIMATES = [
    (f"part {number % 9}", estimate)
    for number, estimate in enumerate(
        [(20, 45, 90), (60, 120, 240), (15, 25, 45), (30, 90, 240), (10, 15, 30), (45, 60, 150), (20, 30, 120)] * 5
    )
]


@pytest.mark.parametrize("grouped", [True, False])
def test_nine_in_ten_agrees_with_twenty_thousand_drawn_runs(grouped):
    spread = spread_of_sum(ESTIMATES)
    sd = spread.sd if grouped else spread.sd_if_independent
    drawn = drawn_sums(ESTIMATES, grouped)

    assert fmean(drawn) == pytest.approx(spread.mean, rel=0.005)
    # A sixth of the range is the method's own approximation of the curve's deviation: within an eighth of it here.
    assert pstdev(drawn) == pytest.approx(sd, rel=0.125)
    assert sorted(drawn)[len(drawn) * 9 // 10] == pytest.approx(spread.mean + NINE_IN_TEN_SD * sd, rel=0.015)


def test_tasks_of_one_group_are_not_taken_as_independent():
    apart = spread_of_sum([("a", (0, 30, 60)), ("b", (0, 30, 60))])
    together = spread_of_sum([("a", (0, 30, 60)), ("a", (0, 30, 60))])

    assert apart.sd == pytest.approx(10 * 2**0.5)
    assert together.sd == pytest.approx(20)
    assert together.sd_if_independent == pytest.approx(10 * 2**0.5)
    assert together.mean == apart.mean == 60
