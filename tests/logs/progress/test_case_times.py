"""The times of one case: which are counted, and how they are drawn."""

from datetime import date
from zoneinfo import ZoneInfo

import plotly.graph_objects as go

from cubecore.cases import Stage
from logs.cases.report import CaseName
from logs.progress.case_charts import sightings_figure
from logs.progress.figures.cases import taken_up
from logs.progress.report.case_times import (
    CaseMark,
    CaseTime,
    CaseTimes,
    CurvePoint,
    TimesOf,
    trend_of,
)
from logs.progress.report.progress import TypicalTime
from logs.progress.report.time import MarkKind, TimeMarkLine
from logs.stats import Range

SUNE = CaseName(Stage.OLL, "27", "OLL 27 Sune")


def test_an_algorithm_is_taken_up_from_its_first_use_of_three():
    assert taken_up(["a", "a", "b", "a", "b", "c", "b"]) == [(2, "b")]
    assert taken_up([]) == taken_up(["a", "", "b"]) == []


def times_of(*, has_curve: bool = False) -> CaseTimes:
    span = Range(low=1400.0, high=1700.0, level=0.8)
    typical = TypicalTime(1500.0, span, is_known=True)
    return CaseTimes(
        counted=TimesOf.ONE_LOOK,
        n=2,
        recognition=typical,
        execution=typical,
        stage=typical,
        times=(
            CaseTime(1, 11, None, 500.0, 1000.0, None, is_odd=False),
            CaseTime(2, 12, None, 600.0, 900.0, 34, is_odd=True),
        ),
        marks=(CaseMark(2, TimeMarkLine(date(2026, 3, 1), MarkKind.HOMEWORK, (SUNE,))),),
        spread=None,
        trend=trend_of([1500.0, 1500.0]),
        curve=(CurvePoint(1, 1500.0, span), CurvePoint(2, 1490.0, span)) if has_curve else (),
        meetings=None,
    )


def test_the_chart_stacks_execution_upon_hatched_recognition_with_its_marks():
    figure = sightings_figure(times_of(), ZoneInfo("UTC"))
    assert figure is not None
    recognition, execution = (t for t in figure["data"] if t["type"] == "bar")
    assert recognition["y"] == [0.5, 0.6]
    assert recognition["marker"]["pattern"]["shape"] == "/"
    assert "pattern" not in execution["marker"]
    assert figure["layout"]["barmode"] == "stack"
    assert [line["x0"] for line in figure["layout"]["shapes"]] == [1.5]
    odd = next(t for t in figure["data"] if t.get("name") == "Far from the others")
    assert odd["x"] == [2]


def test_the_chart_is_one_that_plotly_knows():
    """Names and values of every part, by the library's own checks."""
    drawn = go.Figure(sightings_figure(times_of(has_curve=True), ZoneInfo("UTC")))
    assert len(drawn.data) == 2 + 6 + 2
