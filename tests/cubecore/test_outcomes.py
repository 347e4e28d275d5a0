"""What a look did, asked of its two last layers alone."""

import pytest

from cubecore.cases import CASES, SOLVED_KEY, CaseId, Stage, label_key
from cubecore.outcomes import Done, Outcome, read_outcome

SUNE, ANTISUNE = CaseId(Stage.OLL, 27), CaseId(Stage.OLL, 26)


@pytest.mark.parametrize(
    ("done", "outcome"),
    [
        (Done(SUNE, 0), Outcome.REPAIR),
        (Done(SUNE, 1), Outcome.STEP),
        (Done(ANTISUNE, None), Outcome.STEP),
        (None, Outcome.STEP),
    ],
)
def test_an_orientation_is_made_again_by_the_algorithm_of_the_case_that_shows(done, outcome):
    shown = label_key(CASES[SUNE].key)
    assert read_outcome(Stage.PLL, shown, label_key(SOLVED_KEY), done) is outcome
