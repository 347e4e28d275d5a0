import numpy as np
import pandas as pd
import pytest
from scipy.stats import ttest_ind

from logs.solves.figures.mistakes import (
    MIX_UP_COLUMNS,
    mix_up_cost,
    mix_up_cost_ms,
    mix_up_rates,
    mix_up_table,
)
from logs.stats.rates import probability_larger_rate
from tests.logs.stats.build import sightings


def met(case: str, n: int, **changes: str) -> list[dict[str, object]]:
    return [{"case": case, **changes} for _ in range(n)]


W6B_SIGHTINGS = sightings(
    *met("33", 15),
    *met("33", 3, misfire_kind="other_case", misfire_case="45"),
    *met("45", 20),
)


def test_w6b_both_cells():
    """Worked example W6b; Beta(1/2, 1/2)."""
    rates = mix_up_rates(pd.Series([3, 0]), pd.Series([18, 20]))
    assert list(100 * rates["rate"]) == pytest.approx([17.3, 1.1], abs=0.1)
    assert list(100 * rates["low"]) == pytest.approx([8.1, 0], abs=0.1)
    assert list(100 * rates["high"]) == pytest.approx([30.2, 6.5], abs=0.1)
    assert list(rates["is_printed"]) == [True, False]


def test_w6b_the_lean_and_the_cost():
    assert probability_larger_rate((3, 18), (0, 20)) == pytest.approx(0.978, abs=0.001)
    cost = mix_up_cost_ms(chance=4 / 216, n_events=3, n=18, lost_ms=4200)
    assert cost == pytest.approx(14.3, abs=0.1)


def test_the_table_counts_cells_from_sightings():
    table = mix_up_table(W6B_SIGHTINGS)
    assert list(table.columns) == list(MIX_UP_COLUMNS)
    assert len(table) == 1
    row = table.iloc[0]
    assert (row["shown"], row["kind"], row["executed"]) == ("33", "other_case", "45")
    assert (row["n_events"], row["n"]) == (3, 18)
    assert row["is_printed"]


def test_a_wrong_hold_is_a_cell_of_its_own():
    frame = sightings(
        *met("33", 2, misfire_kind="wrong_hold", misfire_case="33"),
        *met("33", 1, misfire_kind="other_case", misfire_case="45"),
        *met("33", 1),
    )
    table = mix_up_table(frame)
    assert list(table["kind"]) == ["wrong_hold", "other_case"]
    assert list(table["n"]) == [4, 4]


def test_one_event_is_never_a_finding():
    table = mix_up_table(sightings(*met("33", 1, misfire_kind="other_case", misfire_case="45")))
    assert not table["is_printed"].any()


def test_order_changes_nothing():
    pd.testing.assert_frame_equal(mix_up_table(W6B_SIGHTINGS), mix_up_table(W6B_SIGHTINGS[::-1]))


def test_no_misfire_no_row():
    for frame in (sightings(), sightings(*met("33", 4))):
        table = mix_up_table(frame)
        assert table.empty
        assert list(table.columns) == list(MIX_UP_COLUMNS)


def test_the_cost_has_the_doubt_of_the_rate_and_of_the_loss():
    """The mean is W6b's; the band is that of a rate times a Student's t, by another generator."""
    slipped = pd.Series([6000.0, 6400, 5900, np.nan])
    clean = pd.Series([1900.0, 2000, 1700, 2100, 1800])
    cost = mix_up_cost(slipped, clean, chance=4 / 216, n_events=3, n=18)
    assert cost is not None
    assert cost.n_timed == 3
    assert cost.mean_ms == pytest.approx(
        mix_up_cost_ms(chance=4 / 216, n_events=3, n=18, lost_ms=6100 - 1900)
    )
    random = np.random.RandomState(4)
    error = ttest_ind(slipped.dropna(), clean).statistic
    error = (6100 - 1900) / error
    draws = 4 / 216 * random.beta(3.5, 15.5, 200_000)
    draws *= 4200 + error * random.standard_t(6, 200_000)
    assert cost.low_ms == pytest.approx(np.quantile(draws, 0.1), rel=0.03)
    assert cost.high_ms == pytest.approx(np.quantile(draws, 0.9), rel=0.03)


def test_one_timed_mix_up_tells_no_cost():
    assert (
        mix_up_cost(pd.Series([6000.0]), pd.Series([1900.0, 2000]), chance=0.02, n_events=2, n=9)
        is None
    )
