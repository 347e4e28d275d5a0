"""Algorithms in words."""

import pytest

from logs.algorithms.words import hold_name


@pytest.mark.parametrize(
    ("away", "words"),
    [
        (0, "the taught hold"),
        (1, "a quarter turn (U) off the taught hold"),
        (2, "half a turn (U2) off the taught hold"),
        (3, "a quarter turn (U') off the taught hold"),
        (None, "not told"),
    ],
)
def test_a_hold_is_named_by_its_way_to_the_taught_one(away: int | None, words: str):
    assert hold_name(away) == words
