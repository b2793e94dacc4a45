"""Networks of activities with printed early and late times, and three-point times, against our own arithmetic."""

import pytest

from revive.engine.network import critical_path, three_point_mean, three_point_sd, times_of

NINE_ACTIVITIES = {
    # Worked assignment on critical path method, example 3 (MCPTC course paper, document 458251733 of a paper-sharing
    # site): name, duration, what comes before, early start and finish, late start and finish, total float as printed.
    "A": (3, "", 0, 3, 0, 3, 0),
    "B": (5, "A", 3, 8, 3, 8, 0),
    "C": (8, "A", 3, 11, 7, 15, 4),
    "D": (10, "B", 8, 18, 8, 18, 0),
    "E": (5, "B", 8, 13, 17, 22, 9),
    "F": (7, "C", 11, 18, 15, 22, 4),
    "G": (12, "D", 18, 30, 18, 30, 0),
    "H": (8, "EF", 18, 26, 22, 30, 4),
    "I": (3, "GH", 30, 33, 30, 33, 0),
}
SEVEN_ACTIVITIES = {
    # Course notes on critical path method, example 1 (document 8378728 of a paper-sharing site); times in hours.
    "A": (6, ""),
    "B": (2, "A"),
    "C": (2, "A"),
    "D": (3, "B"),
    "F": (2, "C"),
    "E": (4, "DF"),
    "G": (1, "E"),
}
SEVEN_ARROWS = {
    # B. W. Taylor, Introduction to Management Science, chapter 8, printed solutions: arrows between numbered events;
    # duration, early start and finish, late start and finish.
    "1-2": (7, 0, 7, 2, 9),
    "1-3": (10, 0, 10, 0, 10),
    "2-4": (6, 7, 13, 9, 15),
    "3-4": (5, 10, 15, 10, 15),
    "3-5": (4, 10, 14, 14, 18),
    "4-5": (3, 15, 18, 15, 18),
    "5-6": (2, 18, 20, 18, 20),
}
PAPER_MILL = {
    # J. Heizer and B. Render, Operations Management, the paper company's filter project, from memory; weeks.
    "A": (2, ""),
    "B": (3, ""),
    "C": (2, "A"),
    "D": (4, "AB"),
    "E": (4, "C"),
    "F": (3, "C"),
    "G": (5, "DE"),
    "H": (2, "FG"),
}


def split(network):
    return {name: row[0] for name, row in network.items()}, {name: tuple(row[1]) for name, row in network.items()}


def test_nine_activities_have_the_printed_times_and_path():
    durations, before = split(NINE_ACTIVITIES)

    times = times_of(durations, before)

    assert critical_path(durations, before) == ("A", "B", "D", "G", "I")
    for name, (_, _, early_start, early_finish, late_start, late_finish, total_float) in NINE_ACTIVITIES.items():
        row = times[name]
        found = (row.early_start, row.early_finish, row.late_start, row.late_finish, row.total_float)
        assert found == (early_start, early_finish, late_start, late_finish, total_float), name


def test_seven_activities_take_sixteen_hours_with_the_printed_slack():
    durations, before = split(SEVEN_ACTIVITIES)

    times = times_of(durations, before)

    assert critical_path(durations, before) == ("A", "B", "D", "E", "G")
    assert times["G"].early_finish == 16
    assert {name: row.total_float for name, row in times.items() if row.total_float} == {"C": 1, "F": 1}
    assert (times["C"].early_start, times["C"].early_finish, times["C"].late_start, times["C"].late_finish) == (
        6,
        8,
        7,
        9,
    )
    assert (times["F"].early_start, times["F"].early_finish, times["F"].late_start, times["F"].late_finish) == (
        8,
        10,
        9,
        11,
    )


def test_seven_arrows_take_twenty_days_with_the_printed_times():
    durations = {name: row[0] for name, row in SEVEN_ARROWS.items()}
    before = {name: [other for other in durations if other[-1] == name[0]] for name in durations}

    times = times_of(durations, before)

    assert critical_path(durations, before) == ("1-3", "3-4", "4-5", "5-6")
    for name, (_, *printed) in SEVEN_ARROWS.items():
        row = times[name]
        assert [row.early_start, row.early_finish, row.late_start, row.late_finish] == printed, name


def test_the_paper_mill_takes_fifteen_weeks():
    durations, before = split(PAPER_MILL)

    times = times_of(durations, before)

    assert critical_path(durations, before) == ("A", "C", "E", "G", "H")
    assert times["H"].early_finish == 15
    assert {name: row.total_float for name, row in times.items() if row.total_float} == {"B": 1, "D": 1, "F": 6}


def test_three_point_times_are_those_of_the_published_formula():
    # Malcolm, Roseboom, Clark, Fazar, Operations Research 7 (1959): (a + 4m + b) / 6 and ((b - a) / 6) squared.
    # The case 4, 6, 12 with mean 6.667 and deviation 1.333 is a printed worked example.
    assert three_point_mean(4, 6, 12) == pytest.approx(6.667, abs=0.0005)
    assert three_point_sd(4, 12) == pytest.approx(1.333, abs=0.0005)
    assert three_point_mean(5, 5, 5) == 5
    assert three_point_sd(5, 5) == 0
