import pytest

from logs.stats.grid import Likelihood, decimals_shown, likelihood


@pytest.mark.parametrize(
    ("probability", "word"),
    [
        # IPCC calibrated language (Mastrandrea et al. 2010, table 1), thirds written 0.33 and 0.66.
        (1.0, Likelihood.VERY_LIKELY),
        (0.90, Likelihood.VERY_LIKELY),
        (0.899, Likelihood.LIKELY),
        (0.66, Likelihood.LIKELY),
        (0.659, Likelihood.ABOUT_AS_LIKELY_AS_NOT),
        (0.33, Likelihood.ABOUT_AS_LIKELY_AS_NOT),
        (0.329, Likelihood.UNLIKELY),
        (0.10, Likelihood.VERY_UNLIKELY),
        (0.0, Likelihood.VERY_UNLIKELY),
    ],
)
def test_each_word_begins_where_the_scale_has_it(probability, word):
    assert likelihood(probability) is word


def test_a_single_slow_sighting_is_likely_and_no_more():
    assert likelihood(0.894) is Likelihood.LIKELY  # W1: P(G slower than D)


@pytest.mark.parametrize("probability", [-0.01, 1.01, float("nan")])
def test_what_is_no_probability_is_named(probability):
    with pytest.raises(ValueError, match=f"probability is {probability}: it must lie"):
        likelihood(probability)


@pytest.mark.parametrize(
    ("half_width", "decimals"),
    # JCGM 100:2008, 7.2.6: two significant digits. The first is W1's G: 3.7 s, not 3.670.
    [(1.187, 1), (0.18, 2), (0.018, 2), (12.0, 0), (9.9, 1), (120.0, 0), (0.0, 2)],
)
def test_a_figure_has_the_digits_its_band_allows(half_width, decimals):
    assert decimals_shown(half_width) == decimals


@pytest.mark.parametrize("half_width", [-1.0, float("inf"), float("nan")])
def test_no_band_no_digits(half_width):
    with pytest.raises(ValueError, match="half_width is"):
        decimals_shown(half_width)
