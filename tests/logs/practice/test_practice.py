"""Practice answers counted. Rates by scipy's beta distribution, medians by the standard library."""

from statistics import median

import pandas as pd
import pytest

from logs.practice.figures import PRACTICE_COLUMNS, practice_by_case, practice_mix_ups
from logs.practice.models import PracticeAnswer
from logs.practice.report.practice import Choice, practice_start
from logs.solves.figures.frames import build_frame
from logs.solves.figures.mistakes import cell_prior, mix_up_rates
from logs.stats import Range
from tests.factories import NOW, make_user

AT = pd.Timestamp("2026-03-01T12:00:00Z")


def frame(*rows: tuple[str, str, str, float | None]) -> pd.DataFrame:
    """Of rows of task, case, answered and time; all OLLs."""
    return build_frame(
        PRACTICE_COLUMNS,
        [(1, AT, task, "oll", case, said, case == said, ms) for task, case, said, ms in rows],
    )


def test_each_case_has_its_counts_and_the_median_of_its_right_answers():
    times = [900.0, 1100.0, 1000.0, 4000.0]
    answers = frame(
        *(("case", "27", "27", ms) for ms in times),
        ("case", "27", "26", 300.0),
        ("case", "27", "27", None),
        ("case", "26", "26", 700.0),
    )
    table = practice_by_case(answers)
    assert list(table["case"]) == ["27", "26"]
    first = table.iloc[0]
    assert (first["n"], first["n_right"], first["n_timed"]) == (6, 5, 4)
    assert first["median_ms"] == median(times)


def test_a_mix_up_has_its_rate_of_all_times_the_case_was_asked():
    answers = frame(*[("case", "27", "27", None)] * 15, *[("case", "27", "26", None)] * 3)
    (cell,) = practice_mix_ups(answers).to_dict("records")
    assert (cell["case"], cell["answered"], cell["n_events"], cell["n"]) == ("27", "26", 3, 18)
    # 3 of 18: the median of Beta(3.5, 15.5) is 17.3 % by itself, less among many pairs.
    assert 0.10 < cell["rate"] < 0.173
    assert cell["low"] < 0.081
    assert cell["high"] < 0.302
    assert cell["is_printed"]


def test_once_is_no_finding():
    answers = frame(("case", "27", "26", None), ("case", "27", "27", None))
    assert not practice_mix_ups(answers)["is_printed"].any()


def test_tasks_are_counted_apart():
    answers = frame(("case", "27", "26", None), ("hold", "27", "27", None))
    assert list(practice_by_case(answers)["n"]) == [1, 1]
    assert list(practice_mix_ups(answers)["n"]) == [1]


def test_no_answers_give_empty_tables():
    assert practice_by_case(frame()).empty
    assert practice_mix_ups(frame()).empty
    assert practice_mix_ups(frame(("case", "27", "27", 900.0))).empty


@pytest.mark.django_db
def test_a_line_has_the_median_of_the_timed_right_answers_and_where_it_lies():
    member, now = make_user(), NOW
    for number, (ms, is_right) in enumerate(
        [(900, True), (1100, True), (1600, True), (5000, False)]
    ):
        PracticeAnswer.objects.create(
            member=member, question=f"q{number}", at=now, task="case", stage="oll", case="27",
            angle=0, answered="27" if is_right else "26", is_right=is_right, recognition_ms=ms,
        )  # fmt: skip
    (line,) = practice_start(actor=member, choice=Choice(), now=now).told
    assert (line.case.title, line.n, line.n_right, line.n_timed) == ("OLL 27 Sune", 4, 3, 3)
    assert line.median_ms == 1100
    # Of three values smallest to largest: it misses the median when all fall on one side, 2 * 1/8.
    assert line.range_ms == Range(low=900, high=1600, level=0.75)


def test_a_case_may_be_held_in_three_wrong_ways():
    answers = frame(*[("hold", "27", "27", None)] * 15, *[("hold", "27", "26", None)] * 3)
    (cell,) = practice_mix_ups(answers).to_dict("records")
    prior = cell_prior([3], [18], looks={18: 3})
    expected = mix_up_rates(pd.Series([3]), pd.Series([18]), prior=prior).iloc[0]
    assert cell["rate"] == pytest.approx(expected["rate"])
