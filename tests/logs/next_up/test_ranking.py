"""The ranking on logs made for it: what it values, what it leaves unsaid, what changes nothing."""

import numpy as np
import pandas as pd
import pytest

from logs.next_up.gains import Ranking, gains, ranked
from logs.next_up.selectors import NEXT_COLUMNS, TWO_LOOK_COLUMNS
from logs.solves.figures.frames import build_frame

MEMBER = 1
ONE_LOOK_TIMES = {"21": 1.6, "22": 1.7, "26": 1.1, "27": 1.0, "33": 1.3, "45": 0.9}
SECOND = {"23": "R2 D' R U2 R' D R U2 R", "27": "R U R' U R U2 R'"}


def ranking(sightings: pd.DataFrame, two_looks: pd.DataFrame) -> Ranking:
    """The ranking of a member who learns the standard book."""
    return ranked(gains(sightings, two_looks))


def one_looks(times: dict[str, float], n: int = 8) -> list[tuple[object, ...]]:
    return [
        (MEMBER, "oll", case, True, 700.0 + 20 * i, 1000 * seconds * (0.95 + 0.01 * i))
        for case, seconds in times.items()
        for i in range(n)
    ]


def misses(case: str, n: int) -> list[tuple[object, ...]]:
    return [(MEMBER, "oll", case, False, 2000.0, 3000.0) for _ in range(n)]


def two_looks(case: str, edge: str, second: str, n: int, seconds: float = 2.0):
    return [
        (MEMBER, "oll", case, edge, "none", SECOND[second], 1000 * seconds, 2000.0 + 10 * i)
        for i in range(n)
    ]


def frames(sightings, looks) -> tuple[pd.DataFrame, pd.DataFrame]:
    return build_frame(NEXT_COLUMNS, sightings), build_frame(TWO_LOOK_COLUMNS, looks)


@pytest.fixture
def log() -> tuple[pd.DataFrame, pd.DataFrame]:
    """Six cases in one look, OLL 35 and 57 in two: angle or bar first, then OLL 27 or 23."""
    return frames(
        one_looks(ONE_LOOK_TIMES) + misses("35", 8) + misses("57", 8),
        two_looks("35", "angle", "27", 8) + two_looks("57", "bar", "23", 8),
    )


def test_cases_in_one_look_are_not_on_the_list(log):
    found = ranking(*log)
    assert found.one_look == {f"oll-{case}" for case in ONE_LOOK_TIMES}
    assert not found.one_look & set(found.table.index)
    assert len(found.table) == 78 - len(ONE_LOOK_TIMES)


def test_the_value_is_chance_times_what_is_missed_times_what_is_saved(log):
    table = ranking(*log).table
    row = table.to_dict("index")["oll-35"]
    gap = row["now_ms"] - row["then_ms"]
    assert 0.85 < row["learnt_rate"] < 1
    won = row["learnt_rate"] - row["rate"]  # hardly any of the belief is above what is learnt
    assert row["value_ms"] == pytest.approx(4 / 216 * won * gap, rel=0.02)
    assert row["now_ms"] == pytest.approx(4000, rel=0.05)  # two looks of 2 s each
    assert 0 < row["rate"] < 0.2


def test_a_case_that_comes_half_as_often_is_worth_less(log):
    table = ranking(*log).table
    values = table["value_ms"].to_dict()
    assert values["oll-57"] < 0.6 * values["oll-35"]
    place = list(table.index)
    assert place.index("oll-35") < place.index("oll-57")


def test_a_case_whose_steps_were_never_timed_has_no_value_and_stands_below(log):
    table = ranking(*log).table
    dot = table.loc["oll-1"]  # no dot was ever timed
    assert np.isnan(dot["value_ms"])
    valued = table["value_ms"].notna()
    assert valued.any()
    assert list(valued) == sorted(valued, reverse=True)
    assert table["tie_group"].is_monotonic_increasing
    assert table["tie_group"].notna().all()


def test_cases_without_a_value_are_tied_with_nobody(log):
    table = ranking(*log).table
    has_none = table["value_ms"].isna()
    assert table.loc[has_none, "tie_group"].is_unique
    assert table.loc[has_none, "tie_group"].min() > table.loc[~has_none, "tie_group"].max()


def test_without_times_the_list_goes_by_chance_and_by_what_is_missed():
    untimed = [
        (MEMBER, "oll", case, hit, None, None)
        for case, hits in {"20": [False] * 3, "1": [False] * 3, "35": [False] * 3}.items()
        for hit in hits
    ]
    found = ranking(*frames(untimed, []))
    assert not found.has_times
    place = list(found.table.index)
    # 4, 2 and 1 in 216 with the same record (orbit sizes).
    assert place.index("oll-35") < place.index("oll-1") < place.index("oll-20")


def test_without_times_a_case_half_known_waits_behind_one_not_known():
    untimed = [
        (MEMBER, "oll", case, hit, None, None)
        for case, hits in {"33": [True] * 4 + [False] * 4, "35": [False] * 8}.items()
        for hit in hits
    ]
    place = list(ranking(*frames(untimed, [])).table.index)
    assert place.index("oll-35") < place.index("oll-33")


@pytest.mark.parametrize("n", [0, 1, 2])
def test_few_sightings_make_an_honest_list(n):
    sightings = [(MEMBER, "pll", "T", True, 700.0, 1400.0)] * n
    found = ranking(*frames(sightings, []))
    assert len(found.table) in {77, 78}
    assert not found.has_times


def test_all_hits_or_all_misses_make_no_fault():
    every = [(MEMBER, "oll", str(n), True, 700.0, 1000.0) for n in range(1, 58)] * 3
    assert ranking(*frames(every, [])).table["rate"].between(0, 1).all()
    none = [(MEMBER, "oll", str(n), False, 700.0, 1000.0) for n in range(1, 58)] * 3
    assert ranking(*frames(none, [])).table["rate"].between(0, 1).all()


def test_the_same_log_gives_the_same_list(log):
    pd.testing.assert_frame_equal(ranking(*log).table, ranking(*log).table)


def test_times_three_times_as_long_gain_three_times_as_much(log):
    sightings, looks = log
    slow = sightings.assign(
        recognition_ms=3 * sightings["recognition_ms"], execution_ms=3 * sightings["execution_ms"]
    )
    slow_looks = looks.assign(first_ms=3 * looks["first_ms"], second_ms=3 * looks["second_ms"])
    once = {one.case: one.value_ms for one in gains(sightings, looks).candidates}
    thrice = {one.case: one.value_ms for one in gains(slow, slow_looks).candidates}
    assert thrice == {case: pytest.approx(3 * value, rel=1e-6) for case, value in once.items()}


@pytest.mark.parametrize(("n_cases", "has_times"), [(3, False), (4, True)])
def test_four_timed_cases_tell_what_another_would_take(n_cases, has_times):
    times = dict(list(ONE_LOOK_TIMES.items())[:n_cases])
    looks = two_looks("35", "angle", "27", 8)
    found = ranking(*frames(one_looks(times) + misses("35", 8), looks))
    assert found.has_times == has_times
