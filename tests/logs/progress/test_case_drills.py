"""What the Case page says of drills and of the gap to solves."""

import pandas as pd

from logs.progress.report.case import gap_words
from logs.stats.transfer import transfer

# ANALYTICS.md, W4d: ratio 1.385 (last digit ±1; 1.3845 by scipy, so 1.38 here), Welch 90 % 1.29 to 1.49.
DRILLS = pd.Series([2100, 1950, 2300, 2050, 1880, 2200, 2020, 1970], dtype=float)
SOLVES = pd.Series([2750, 3100, 2600, 2950, 2850], dtype=float)


def test_w4d_in_words():
    assert gap_words(transfer(DRILLS, SOLVES)) == (
        "In solves it takes 1.38 times as long as in drills, from 8 drills and 5 solves in one"
        " look; 90 times in 100 such a range, 1.29 to 1.49, holds the truth."
    )


def test_too_few_are_called_too_few():
    assert gap_words(transfer(DRILLS[:1], SOLVES)) == (
        "Too few yet to say how drills and solves differ: from 1 drill and 5 solves in one look."
    )


def test_without_either_nothing_is_said():
    assert gap_words(transfer(DRILLS, SOLVES[:0])) == ""
