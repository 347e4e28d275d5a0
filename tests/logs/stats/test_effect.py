"""The change of one case: done the same way, net of the others, unmoved by what should not matter."""

import numpy as np
import pandas as pd
import pytest
from scipy.stats import norm

from logs.stats import effect as figures
from logs.stats.effect import case_effect, rate_change, sightings_for_power
from tests.worlds.effects import EFFECT_WORLDS, NULL_WORLDS, sides


def of_world(world=NULL_WORLDS[1], seed: int = 5):
    before, since, case, _ = sides(world, np.random.default_rng(seed))
    return before, since, case


def test_without_a_time_on_both_sides_there_is_no_effect():
    before, since, case = of_world()
    assert case_effect(before[before["case"] != case], since, case=case) is None
    assert case_effect(before, since[since["case"] != case], case=case) is None
    untimed = since.assign(stage_ms=since["stage_ms"].where(since["case"] != case))
    assert case_effect(before, untimed, case=case) is None


def test_order_and_unit_of_times_change_nothing():
    before, since, case = of_world()
    plain = case_effect(before, since, case=case)
    turned = case_effect(before.iloc[::-1], since.iloc[::-1], case=case)
    assert plain is not None
    assert turned == plain
    scaled = case_effect(
        *(side.assign(stage_ms=1.5 * side["stage_ms"]) for side in (before, since)), case=case
    )
    assert scaled is not None
    assert scaled.ratio == pytest.approx(plain.ratio, rel=1e-6)
    assert scaled.p_faster == pytest.approx(plain.p_faster, abs=1e-6)


def test_a_sighting_without_a_time_counts_in_the_rate_alone():
    before, since, case = of_world()
    extra = pd.DataFrame({"case": [case], "is_one_look": [True], "stage_ms": [np.nan]})
    plain = case_effect(before, since, case=case)
    more = case_effect(before, pd.concat([since, extra], ignore_index=True), case=case)
    assert plain is not None
    assert more is not None
    assert (more.n_before, more.n_since) == (plain.n_before, plain.n_since)
    assert more.ratio < plain.ratio  # oftener in one look is faster on average


def test_what_all_cases_did_is_taken_off_and_asked_cases_control_nothing():
    """All log times since are a tenth lower: the control says exp(-0.1) of it, by hand."""
    before, since, case = of_world(NULL_WORLDS[0])
    plain = case_effect(before, since, case=case)
    lower = since.assign(stage_ms=since["stage_ms"] * np.exp(-0.1))
    net = case_effect(before, lower, case=case)
    assert plain is not None
    assert net is not None
    assert net.control_ratio == pytest.approx(plain.control_ratio * np.exp(-0.1))
    assert net.ratio == pytest.approx(plain.ratio, rel=0.03)
    alone = case_effect(before, lower, case=case, asked=set(before["case"]))
    assert alone is not None
    assert (alone.n_control, alone.control_ratio) == (0, 1.0)
    assert alone.ratio < net.ratio


def test_chances_are_those_of_bayes_rule_on_a_fine_grid():
    """A slow twin: the belief, a fifth on none and else normal, summed over 400,001 changes."""
    mean, sd = -0.3, 0.15
    grid = np.linspace(-3, 3, 400_001)
    density = norm.pdf(mean, grid, sd) * norm.pdf(grid, 0, figures.USUAL_CHANGE)
    slab = (1 - figures.NO_CHANGE) * density * (grid[1] - grid[0])
    total = slab.sum() + figures.NO_CHANGE * norm.pdf(mean, 0, sd)
    expected = [slab[grid < 0].sum(), slab[grid > 0].sum(), slab[grid < np.log(0.9)].sum()]
    found = figures._chances(mean, sd)
    assert found == pytest.approx(np.array(expected) / total, abs=1e-4)


def test_learning_a_case_is_its_two_looks_against_its_one():
    before, since, case = of_world(EFFECT_WORLDS[-1])
    effect = case_effect(before, since, case=case)
    assert effect is not None
    assert effect.ratio < 0.85
    assert effect.p_faster + effect.p_slower < 1
    assert effect.p_tenth_faster < effect.p_faster


def test_w4c_rate():
    found = rate_change((0, 7), (4, 5))
    assert found.p == pytest.approx(0.010, abs=0.001)
    assert found.p_larger == pytest.approx(0.999, abs=0.001)


@pytest.mark.parametrize(("share", "n"), [(0.15, 23), (0.25, 8), (0.35, 4)])
def test_sightings_that_show_a_change(share, n):
    """80 % power, one-sided 5 %, sigma 0.22; normal approximation, textbook."""
    assert sightings_for_power(share, sigma=0.22) == n


def test_bad_input_is_named():
    with pytest.raises(ValueError, match="faster_share is 1"):
        sightings_for_power(1, sigma=0.2)
    with pytest.raises(ValueError, match="3 hits of 2"):
        rate_change((3, 2), (1, 2))


def spread_times(middle_ms: float, sd: float, n: int, *, is_one_look: bool) -> pd.DataFrame:
    """Times at the quantiles of a log-normal distribution: no luck in them."""
    times = middle_ms * np.exp(sd * norm.ppf((np.arange(n) + 0.5) / n))
    return pd.DataFrame({"case": "27", "is_one_look": is_one_look, "stage_ms": times})


def test_the_ratio_is_that_of_mean_times_and_the_wider_spread_is_told():
    """A log-normal time is exp(mu + sd^2 / 2) on average (textbook); half went in one look before."""
    slow = spread_times(4000, 0.5, 400, is_one_look=False)
    fast = spread_times(2000, 0.1, 400, is_one_look=True)
    found = case_effect(pd.concat([slow, fast]), fast, case="27")
    assert found is not None
    was, now = (4000 * np.exp(0.125) + 2000 * np.exp(0.005)) / 2, 2000 * np.exp(0.005)
    assert found.ratio == pytest.approx(now / was, rel=0.02)
    assert found.sigma == pytest.approx(0.5, rel=0.05)


def test_four_times_the_sightings_halve_the_doubt():
    before = spread_times(3000, 0.3, 2_000, is_one_look=True)
    widths = []
    for n in (16, 64):
        found = case_effect(before, spread_times(2500, 0.3, n, is_one_look=True), case="27")
        assert found is not None
        widths.append(np.log(found.range.high / found.range.low))
    assert widths[0] / widths[1] == pytest.approx(2, rel=0.1)
