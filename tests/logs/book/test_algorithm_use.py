"""How algorithms are used: a worked example, by hand."""

import pandas as pd

from logs.book.figures import USE_COLUMNS, algorithm_use
from logs.solves.figures.frames import build_frame

NAN = float("nan")


def frame(*rows: tuple[object, ...]) -> pd.DataFrame:
    return build_frame(USE_COLUMNS, rows)


def test_no_sighting_is_no_use():
    assert algorithm_use(frame()) == []


def test_each_member_counts_once_however_much_they_log():
    # Member 1 three times (median 400), member 2 once (1000): the middle of 400 and 1000 is 700.
    uses = algorithm_use(
        frame(
            (1, "A", 300.0, 900.0),
            (1, "A", 400.0, 1000.0),
            (1, "A", 500.0, 1100.0),
            (2, "A", 1000.0, 2000.0),
            (2, "B", 800.0, NAN),
        )
    )
    assert [(use.algorithm, use.n, use.n_members, use.n_timed) for use in uses] == [
        ("A", 4, 2, 4),
        ("B", 1, 1, 0),
    ]
    first, second = uses
    assert (first.recognition.median, first.execution.median) == (700.0, 1500.0)
    assert (first.recognition.low, first.recognition.high) == (400.0, 1000.0)
    assert (second.execution.n, second.execution.median) == (0, None)


def test_of_one_member_all_times_count():
    (use,) = algorithm_use(frame((1, "A", 300.0, 1.0), (1, "A", 400.0, 2.0), (1, "A", 800.0, 3.0)))
    assert (use.recognition.n, use.recognition.median) == (3, 400.0)


def test_as_many_are_ordered_by_their_text():
    uses = algorithm_use(frame((1, "B", NAN, NAN), (1, "A", NAN, NAN)))
    assert [use.algorithm for use in uses] == ["A", "B"]
