import numpy as np
import pandas as pd
import pytest

from logs.club.figures import (
    Estimate,
    TwoWayFit,
    is_faster,
    probability_faster,
    shape_index,
    teachers,
    two_way_fit,
)

W7A = 1000 * pd.DataFrame(
    [[1.80, 2.40, 2.10, 3.30], [3.10, 4.05, 3.70, 4.20], [2.45, 3.30, 2.80, 3.75]],
    index=["one", "two", "three"],
    columns=["1", "2", "3", "4"],
)


def fitted(times: pd.DataFrame) -> TwoWayFit:
    found = two_way_fit(times)
    assert found is not None
    return found


def test_w7a_factors():
    """Worked example W7a; median polish, Tukey 1977."""
    found = fitted(W7A)
    assert found.overall_ms == pytest.approx(3048, abs=1)
    assert list(found.members) == pytest.approx([0.737, 1.254, 1.0], abs=0.001)
    assert list(found.cases) == pytest.approx([0.804, 1.069, 0.935, 1.230], abs=0.001)


def test_w7a_what_is_slow_for_their_own_speed():
    residuals = fitted(W7A).residuals
    assert residuals.loc["one", "4"] == pytest.approx(1.195, abs=0.001)
    assert residuals.loc["two", "4"] == pytest.approx(0.893, abs=0.001)
    away = np.abs(np.log(residuals.to_numpy()))
    assert sorted(away.ravel())[-2:] == pytest.approx(
        [abs(np.log(0.893)), np.log(1.195)], abs=0.001
    )


def test_the_parts_multiply_to_the_times():
    found = fitted(W7A)
    factors = found.overall_ms * np.outer(found.members, found.cases)
    assert factors * found.residuals.to_numpy() == pytest.approx(W7A.to_numpy())


def test_every_row_and_column_is_left_with_a_median_of_one():
    rng = np.random.default_rng(4)
    times = pd.DataFrame(np.exp(rng.normal(7.5, 0.3, (5, 7))))
    residuals = fitted(times).residuals
    assert residuals.median(axis=1).to_numpy() == pytest.approx(1, abs=1e-6)
    assert residuals.median(axis=0).to_numpy() == pytest.approx(1, abs=1e-6)


def test_a_fast_and_a_slow_member_of_one_shape_differ_in_nothing():
    shape = [1000.0, 1500.0, 2000.0]
    found = fitted(pd.DataFrame([shape, [2 * ms for ms in shape]], index=["fast", "slow"]))
    assert found.residuals.to_numpy() == pytest.approx(1)
    assert found.members["slow"] / found.members["fast"] == pytest.approx(2)


def test_it_may_be_stopped_before_it_rests():
    once, rested = two_way_fit(W7A, sweeps=1), fitted(W7A)
    assert once is not None
    factors = once.overall_ms * np.outer(once.members, once.cases)
    assert factors * once.residuals.to_numpy() == pytest.approx(W7A.to_numpy())
    assert not np.allclose(once.residuals, rested.residuals)


def test_gaps_stay_gaps():
    with_gap = W7A.copy()
    with_gap.loc["one", "2"] = np.nan
    with_gap["5"] = np.nan
    found = fitted(with_gap)
    assert found.residuals["2"].isna().to_list() == [True, False, False]
    assert found.residuals.notna().to_numpy().sum() == 11
    assert list(found.cases.index) == ["1", "2", "3", "4"]


def test_no_time_no_fit():
    assert two_way_fit(pd.DataFrame()) is None
    assert two_way_fit(pd.DataFrame([[np.nan]])) is None
    assert fitted(pd.DataFrame([[1500.0]])).residuals.iloc[0, 0] == pytest.approx(1)


def test_the_index_is_a_matter_of_own_speed():
    centres = pd.Series({"a": 1200.0, "b": 900.0})
    own = pd.Series([1000.0, 900.0, 1100.0, np.nan])
    assert shape_index(centres, own_times_ms=own).to_dict() == pytest.approx({"a": 1.2, "b": 0.9})
    faster = shape_index(centres / 3, own_times_ms=own / 3)
    assert faster.to_dict() == pytest.approx({"a": 1.2, "b": 0.9})
    assert shape_index(centres, own_times_ms=pd.Series(dtype=float)).empty


def test_w7_a_against_c_is_likely_and_not_to_be_called_faster():
    """W1a's A and C: centres 2.039 and 2.259 s, bands of 80 %; P = 0.803."""
    a = Estimate(np.log(2.039), (np.log(2.207 / 1.884) / 2 / 1.28155) ** 2)
    c = Estimate(np.log(2.259), (np.log(2.576 / 1.980) / 2 / 1.28155) ** 2)
    assert probability_faster(a, c) == pytest.approx(0.803, abs=0.002)
    assert probability_faster(a, c) + probability_faster(c, a) == pytest.approx(1)
    assert not is_faster(a, c)
    assert is_faster(Estimate(0.0, 0.01), Estimate(1.0, 0.01))


def test_without_doubt_the_smaller_is_faster():
    assert probability_faster(Estimate(0.0, 0.0), Estimate(1.0, 0.0)) == 1
    assert probability_faster(Estimate(1.0, 0.0), Estimate(1.0, 0.0)) == 0.5


def test_who_could_teach_whom():
    rates = pd.DataFrame(
        [("ann", "27", 0.95), ("bo", "27", 0.05), ("cy", "27", 0.5), ("bo", "33", 0.99)],
        columns=["member", "case", "p_one_look"],
    )
    assert teachers(rates).to_numpy().tolist() == [["27", "ann", "bo"]]
    assert teachers(rates[:0]).empty
