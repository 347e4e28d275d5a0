import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logs.homework.due_dates import (
    Need,
    chance_met,
    days_needed,
    due_date,
    mean_solves,
    sd_solves,
    solves_needed,
    weekly_pace,
)

# Worked example W4a: chance -> for k = 1, 3, 5 the mean, P80 and P90 of solves until the k-th
# sighting; negative binomial, textbook.
W4A = {
    4 / 216: ((54, 87, 124), (162, 230, 286), (270, 362, 430)),
    2 / 216: ((108, 174, 248), (324, 461, 574), (540, 725, 862)),
    1 / 216: ((216, 347, 497), (648, 924, 1148), (1080, 1451, 1725)),
    4 / 72: ((18, 29, 41), (54, 76, 95), (90, 120, 142)),
    2 / 72: ((36, 58, 82), (108, 153, 190), (180, 241, 286)),
    1 / 72: ((72, 116, 165), (216, 307, 382), (360, 483, 574)),
}
WEEKS = (60, 110, 85, 0, 140, 95, 70, 120)


@pytest.mark.parametrize("chance", list(W4A))
@pytest.mark.parametrize(("place", "k"), [(0, 1), (1, 3), (2, 5)])
def test_w4a_solves_until_the_kth_sighting(chance, place, k):
    need = Need(chance, k)
    found = (round(mean_solves(need)), solves_needed([need]), solves_needed([need], sure=0.9))
    assert found == W4A[chance][place]


@pytest.mark.parametrize(
    ("n_cases", "p80", "p90"), [(1, 230, 286), (2, 282, 337), (3, 312, 365), (4, 333, 385)]
)
def test_w4a_three_sightings_of_each_of_several_cases(n_cases, p80, p90):
    needs = [Need(4 / 216, 3)] * n_cases
    assert solves_needed(needs) == p80
    assert solves_needed(needs, sure=0.9) == p90


def test_w4a_weeks_at_the_members_pace():
    assert weekly_pace(WEEKS) == 67.5
    assert weekly_pace([1000, *WEEKS]) == 67.5  # the last eight alone
    found = due_date([Need(4 / 216, 3)], weekly_counts=WEEKS, days=28)
    assert found.weeks == pytest.approx(3.4, abs=0.05)
    three = due_date([Need(4 / 216, 3)] * 3, weekly_counts=WEEKS, days=28)
    assert three.weeks == pytest.approx(4.6, abs=0.05)


def test_a_date_that_chance_breaks_too_often_is_refused_with_what_it_needs():
    early = due_date([Need(4 / 216, 3)], weekly_counts=WEEKS, days=23)
    assert not early.is_fair
    assert early.n_solves == 230
    assert days_needed(early) == 24
    assert due_date([Need(4 / 216, 3)], weekly_counts=WEEKS, days=24).is_fair


def test_mean_and_sd_are_those_of_simulated_waits():
    random = np.random.default_rng(2)
    waits = random.negative_binomial(3, 1 / 20, 400_000) + 3
    assert mean_solves(Need(1 / 20, 3)) == pytest.approx(waits.mean(), rel=0.005)
    assert sd_solves(Need(1 / 20, 3)) == pytest.approx(waits.std(), rel=0.01)


@settings(deadline=None, max_examples=25)
@given(
    st.lists(
        st.tuples(st.sampled_from([0.05, 0.1, 0.2]), st.integers(1, 3)), min_size=2, max_size=3
    ),
    st.integers(0, 12),
)
def test_several_cases_equal_a_count_of_all_outcomes(pairs, n_solves):
    """A slow twin: the multinomial carried forward solve by solve."""
    needs = [Need(chance, k) for chance, k in pairs]
    states = {tuple(0 for _ in needs): 1.0}
    for _ in range(n_solves):
        stepped: dict[tuple[int, ...], float] = {}
        for state, chance in states.items():
            nothing = 1 - sum(need.chance for need in needs)
            stepped[state] = stepped.get(state, 0) + chance * nothing
            for i, need in enumerate(needs):
                after = (*state[:i], min(state[i] + 1, need.sightings), *state[i + 1 :])
                stepped[after] = stepped.get(after, 0) + chance * need.chance
        states = stepped
    expected = states.get(tuple(need.sightings for need in needs), 0.0)
    assert chance_met(needs, n_solves=n_solves) == pytest.approx(expected, abs=1e-9)


def test_an_oll_and_a_pll_come_in_the_same_solve():
    oll, pll = Need(4 / 216, 3), Need(4 / 72, 3, stage="pll")
    both = chance_met([oll, pll], n_solves=200)
    apart = chance_met([oll], n_solves=200) * chance_met([pll], n_solves=200)
    assert both == pytest.approx(apart)


def test_nothing_wanted_is_met_at_once():
    assert chance_met([], n_solves=0) == 1
    assert solves_needed([]) == 0


def test_a_member_who_does_not_solve_has_no_date():
    found = due_date([Need(4 / 216, 1)], weekly_counts=[], days=365)
    assert found.weeks is None
    assert days_needed(found) is None
    assert not found.is_fair


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="chance is 0"):
        Need(0, 1)
    with pytest.raises(ValueError, match="sightings is 0"):
        Need(0.1, 0)
    with pytest.raises(ValueError, match="sure is 1"):
        solves_needed([Need(0.1, 1)], sure=1)
    with pytest.raises(ValueError, match="days is -1"):
        due_date([Need(0.1, 1)], weekly_counts=[1], days=-1)
    with pytest.raises(ValueError, match=r"the chances of stage 'oll' add up to 1\.2"):
        chance_met([Need(0.6, 1), Need(0.6, 1)], n_solves=5)
