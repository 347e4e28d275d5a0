"""Lessons in words."""

import pytest

from cubecore.cases import CASES
from logs.algorithms.report import taught
from logs.homework.report.data import CaseState
from logs.lessons.report import LessonCaseLine
from logs.lessons.took import TookCell
from logs.lessons.words import need, took
from tests.desk import CASE_27


@pytest.mark.parametrize(
    ("needed_by", "n_unmet", "words"),
    [
        ((), 0, ""),
        (("Ash", "Elm"), 0, "Needed by Ash, Elm"),
        (("Ash",), 2, "Needed by Ash; 2 more have not met it"),
        ((), 1, "1 has not met it"),
    ],
)
def test_who_needs_a_case(needed_by: tuple[str, ...], n_unmet: int, words: str):
    case = taught(CASES[CASE_27])
    line = LessonCaseLine(case=case, place=1, reason="", needed_by=needed_by, n_unmet=n_unmet)
    assert need(line) == words


@pytest.mark.parametrize(
    ("n_met", "state", "words"),
    [
        (3, CaseState.READY, "2 of 3, ready"),
        (3, None, "2 of 3"),
        (0, CaseState.OPEN, "open"),
        (0, None, "\N{EN DASH}"),
    ],
)
def test_what_a_lesson_took(n_met: int, state: CaseState | None, words: str):
    assert took(TookCell(code="oll-27", n_met=n_met, n_one_look=2, state=state)) == words
