"""The words of a case page."""

import pytest

from logs.progress.report.case import misfire_words


@pytest.mark.parametrize(
    ("kind", "case", "said"),
    [
        ("", "", ""),
        ("wrong_hold", "27", "the right algorithm from a wrong hold"),
        ("other_case", "37", "the algorithm of OLL 37 Fish"),
        ("other_case", "Ga", "the algorithm of PLL Ga"),
    ],
)
def test_a_misfire_names_the_case_in_its_own_stage(kind, case, said):
    assert misfire_words(kind, case) == said
