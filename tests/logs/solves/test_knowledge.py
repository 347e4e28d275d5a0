import pytest

from logs.solves.figures.standing import knowing

# Worked example W2b; knowledge tracing, Corbett and Anderson 1995.


def test_w2b_sightings_in_a_row():
    after = knowing([False, False, True, True, True])
    assert after == pytest.approx((0.0112, 0.0190, 0.8997, 0.9979, 1.0000), abs=1e-4)


@pytest.mark.parametrize(
    ("hits", "knows"), [("1", 0.978), ("0", 0.093), ("10000", 0.005), ("00010", 0.005)]
)
def test_w2b_without_learning_it_is_bayes_rule(hits, knows):
    after = knowing([hit == "1" for hit in hits], start=0.5, learn=0)
    assert after[-1] == pytest.approx(knows, abs=0.001)


def test_what_may_be_forgotten_is_never_certain():
    """By hand: one step of the two-state chain between two hits."""
    after = knowing([True, True], start=0.5, learn=0.0, forget=0.1)
    first = 0.9 / (0.9 + 0.02)
    knows = 0.9 * first
    assert after == pytest.approx((first, 0.9 * knows / (0.9 * knows + 0.02 * (1 - knows))))


def test_nothing_seen_nothing_said():
    assert knowing([]) == ()


def test_what_cannot_happen_teaches_nothing():
    assert knowing([True], start=0.0, learn=0.0, guess=0.0) == (0.0,)


def test_a_chance_above_one_is_named():
    with pytest.raises(ValueError, match=r"slip is 1\.2"):
        knowing([True], slip=1.2)
