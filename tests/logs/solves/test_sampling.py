"""Draws of solves to write down: their design, and what drawn and picked rows tell of a member."""

import numpy as np
import pytest
from scipy.stats import binomtest, chisquare

from logs.solves.figures.sampling import AskedPlace, Basis, draw_places, rate_rows
from logs.stats.design import weighted_share
from logs.stats.rates import rate

DRAWS = 1_000


def test_a_round_takes_one_of_each_part_and_the_parts_run_over_the_days():
    places = draw_places(range(100, 203), n_parts=5, n_rounds=3, seed=7)
    assert [(place.round, place.part) for place in places] == [
        (n, part) for n in (1, 2, 3) for part in (1, 2, 3, 4, 5)
    ]
    assert len({place.number for place in places}) == 15
    # 103 solves in five parts: by hand they end after 20, 41, 61, 82 and 103.
    ends = [100, 120, 141, 161, 182, 203]
    for place in places:
        assert ends[place.part - 1] <= place.number < ends[place.part]
        assert place.n_in_part == ends[place.part] - ends[place.part - 1]


def test_the_same_seed_draws_the_same_and_more_rounds_change_no_earlier_one():
    once = draw_places(range(50), n_parts=4, n_rounds=2, seed=11)
    assert draw_places(range(50), n_parts=4, n_rounds=2, seed=11) == once
    assert draw_places(range(50), n_parts=4, n_rounds=5, seed=11)[:8] == once
    assert draw_places(range(50), n_parts=4, n_rounds=2, seed=12) != once


def test_each_solve_of_a_part_is_drawn_as_often_as_the_next():
    counts = np.zeros(20)
    for seed in range(2_000):
        for place in draw_places(range(20), n_parts=2, n_rounds=2, seed=seed):
            counts[place.number] += 1
    assert counts.sum() == 8_000
    assert chisquare(counts).pvalue > 0.001


def test_a_part_that_has_none_left_gives_none_and_too_many_parts_are_refused():
    assert len(draw_places([1, 2, 3], n_parts=2, n_rounds=9, seed=1)) == 3
    with pytest.raises(ValueError, match="n_parts is 4"):
        draw_places([1, 2, 3], n_parts=4, n_rounds=1, seed=1)


def asked(n: int, n_missing: int = 0) -> list[AskedPlace]:
    return [AskedPlace(number, 20.0, number > n_missing) for number in range(1, n + 1)]


def test_one_in_five_may_be_missing_and_no_more():
    drawn = rate_rows(written=(), asked=asked(5, 1), has_logged=False)
    assert (drawn.basis, drawn.n_missing, drawn.n_stands_for) == (Basis.DRAWN, 1, 100)
    assert drawn.weights == {2: 20.0, 3: 20.0, 4: 20.0, 5: 20.0}
    fallen = rate_rows(written=(2, 3), asked=asked(5, 2), has_logged=False)
    assert (fallen.basis, fallen.weights, fallen.left_out) == (Basis.CHOSEN, None, frozenset())


def test_picked_rows_are_left_out_as_soon_as_there_are_others():
    alone = rate_rows(written=(8, 9), asked=(), has_logged=False)
    assert (alone.basis, alone.left_out, len(alone.chosen)) == (Basis.CHOSEN, frozenset(), 2)
    logged = rate_rows(written=(8, 9), asked=(), has_logged=True)
    assert (logged.basis, logged.left_out) == (Basis.LOGGED, frozenset({8, 9}))
    drawn = rate_rows(written=(1, 8, 9), asked=asked(5), has_logged=True)
    assert (drawn.basis, drawn.left_out, len(drawn.chosen)) == (Basis.DRAWN, frozenset({8, 9}), 2)
    fallen = rate_rows(written=(3, 8), asked=asked(5, 2), has_logged=True)
    assert (fallen.basis, fallen.left_out) == (Basis.LOGGED, frozenset({3, 4, 5, 8}))
    assert rate_rows(written=(), asked=asked(5, 5), has_logged=False).basis is Basis.LOGGED


N_SOLVES, N_WRITTEN, N_PARTS = 420, 40, 5


def a_member(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Whether each solve of a log went in one look, and its time in s: two looks take longer.

    How often it does differs from member to member, and rises by the weeks.
    """
    start = rng.uniform(0.25, 0.75)
    chances = start + np.linspace(-0.05, 0.05, N_SOLVES)
    is_hit = rng.random(N_SOLVES) < chances
    return is_hit, rng.normal(18, 2, N_SOLVES) + np.where(is_hit, 0, 4)


def test_picked_rows_mislead_as_the_page_warns_and_drawn_rows_cover_the_truth():
    """The slow solves are rarer to be written by choice: a fifth as often as the quick ones."""
    rng = np.random.default_rng(20260301)
    covered = {"drawn": 0, "picked": 0}
    leans = []
    for seed in range(DRAWS):
        is_hit, time_s = a_member(rng)
        truth = is_hit.mean()
        places = draw_places(
            range(N_SOLVES), n_parts=N_PARTS, n_rounds=N_WRITTEN // N_PARTS, seed=seed
        )
        numbers = [place.number for place in places]
        weights = [place.n_in_part / (N_WRITTEN // N_PARTS) for place in places]
        _, span = weighted_share(is_hit[numbers], weights)
        covered["drawn"] += span.low <= truth <= span.high
        liking = np.where(time_s > np.median(time_s), 0.2, 1.0)
        picked = rng.choice(N_SOLVES, N_WRITTEN, replace=False, p=liking / liking.sum())
        plain = rate(int(is_hit[picked].sum()), N_WRITTEN)
        covered["picked"] += plain.range.low <= truth <= plain.range.high
        leans.append(plain.share - truth)
    assert 0.77 * DRAWS <= covered["drawn"] <= 0.83 * DRAWS, covered
    assert covered["picked"] < 0.4 * DRAWS, covered
    assert np.mean(leans) > 0.1  # more one looks than there are: the awful ones are missing


def test_no_more_than_chance_of_the_draws_lies_on_one_side():
    rng = np.random.default_rng(7)
    n_above = 0
    for seed in range(DRAWS):
        is_hit, _ = a_member(rng)
        places = draw_places(range(N_SOLVES), n_parts=N_PARTS, n_rounds=2, seed=seed)
        weights = [place.n_in_part / 2 for place in places]
        share, _ = weighted_share(is_hit[[place.number for place in places]], weights)
        n_above += share > is_hit.mean()
    assert binomtest(n_above, DRAWS).pvalue > 0.001
