"""The book in words."""

import pytest

from logs.book.report import UseLine
from logs.book.words import hold_name


@pytest.mark.parametrize(
    ("away", "words"),
    [
        (0, "the taught hold"),
        (1, "U away from the taught hold"),
        (2, "U2 away from the taught hold"),
        (3, "U' away from the taught hold"),
        (None, "not told"),
    ],
)
def test_a_hold_is_named_by_its_way_to_the_taught_one(away: int | None, words: str):
    use = UseLine(
        text="R U R'",
        angle=None,
        n_quarter_turns_away=away,
        is_in_book=False,
        n=1,
        n_members=1,
        n_timed=0,
        recognition_ms=None,
        recognition_range=None,
        execution_ms=None,
        execution_range=None,
    )
    assert hold_name(use) == words
