import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.solves.figures.frames import PARTS, SHARE_COLUMNS, split_frame, stage_shares
from tests.logs.stats.build import solves

parts = st.lists(st.integers(1, 30_000), min_size=7, max_size=7)


def solve_of(ms: list[int]) -> dict[str, object]:
    """A solve whose parts, in the order of PARTS, are ``ms``."""
    return {
        "cross_ms": ms[0],
        "f2l_ms": ms[0] + ms[1],
        "oll_recognition_ms": ms[2],
        "oll_execution_ms": ms[3],
        "pll_recognition_ms": ms[4],
        "pll_execution_ms": ms[5],
        "final_auf_ms": ms[6],
        "time_ms": sum(ms),
    }


def test_without_solves_there_are_no_shares():
    shares = stage_shares(solves())
    assert list(shares.columns) == list(SHARE_COLUMNS)
    assert shares.empty


def test_the_parts_of_one_solve_are_its_own_shares():
    shares = stage_shares(solves({}))  # 3, 10, 1, 2, 0.8, 2.2 and 0.5 of 19.5 s, by hand
    assert list(shares["part"]) == list(PARTS)
    assert list(shares["mean_ms"]) == [3_000, 10_000, 1_000, 2_000, 800, 2_200, 500]
    assert shares["share"].iloc[1] == pytest.approx(10 / 19.5)
    assert list(shares["low_ms"]) == list(shares["high_ms"]) == list(shares["mean_ms"])
    assert set(shares["n"]) == {1}


@given(st.lists(parts, min_size=1, max_size=30))
def test_shares_add_up_and_are_those_of_plain_sums(rows):
    shares = stage_shares(solves(*map(solve_of, rows)))
    total = sum(map(sum, rows))
    assert shares["share"].sum() == pytest.approx(1, abs=1e-12)
    assert shares["mean_ms"].sum() == pytest.approx(total / len(rows))
    for i, part in enumerate(PARTS):
        column = [row[i] for row in rows]
        row = shares[shares["part"] == part].iloc[0]
        assert row["share"] == pytest.approx(sum(column) / total)
        assert min(column) <= row["low_ms"] <= row["high_ms"] <= max(column)


def test_eight_solves_in_ten_lie_between_low_and_high():
    rows = [solve_of([100 * k, 1, 1, 1, 1, 1, 1]) for k in range(1, 102)]
    cross = stage_shares(solves(*rows)).iloc[0]
    assert (cross["low_ms"], cross["high_ms"]) == (1_100, 9_100)  # the 11th and 91st of 101


@pytest.mark.parametrize(
    "odd",
    [
        {"kind": "drill"},
        {"time_ms": None, "status": "dnf"},
        {"cross_ms": None},
        {"pll_execution_ms": None},
    ],
)
def test_what_does_not_count_changes_no_share(odd):
    plain = [solve_of([3, 10, 1, 2, 1, 2, 1]), solve_of([4, 9, 2, 2, 1, 3, 0])]
    without = stage_shares(solves(*plain))
    with_odd = stage_shares(solves(*plain, odd | {"cross_ms": odd.get("cross_ms", 9)}))
    assert with_odd.equals(without)
    assert len(split_frame(solves(odd))) == 0


def test_solves_of_no_length_have_no_shares():
    assert stage_shares(solves(solve_of([0] * 7))).empty
