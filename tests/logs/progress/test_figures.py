import json
import re
from datetime import date

import plotly.graph_objects as go
import pytest

from cubecore.cases import CASES, CaseId, Stage
from logs.progress.charts import cases_figure, shares_figure
from logs.progress.figures.cases import case_table, few_points
from logs.progress.report.progress import CaseLine, TimedSighting, case_line, share_lines
from logs.progress.report.time import MarkKind, PeriodTimes, TimeMarkLine
from logs.progress.time_charts import over_time_figure
from logs.solves.figures.frames import stage_shares
from logs.stats import Range
from tests.logs.stats.build import sightings, solves

CHANCES = {"26": 4 / 216, "27": 4 / 216, "45": 4 / 216}
SUNES = [
    {"case": "27", "recognition_ms": 400.0 + 40 * k, "execution_ms": 900.0 + 40 * k}
    for k in range(5)
]
ONE = {"case": "26", "recognition_ms": 700.0, "execution_ms": 1500.0}
UNTIMED = {"case": "45", "recognition_ms": None, "execution_ms": None}


def lines_of(*rows) -> list[CaseLine]:
    frame = sightings(*rows)
    table = case_table(frame, stage="oll", chances=CHANCES)
    points = few_points(frame, table, stage="oll").to_dict("records")
    lines = []
    for row in table.to_dict("records"):
        few = [
            TimedSighting(point["recognition_ms"], point["execution_ms"], None)
            for point in points
            if point["case"] == row["case"]
        ]
        lines.append(case_line(row, CASES[CaseId(Stage.OLL, int(row["case"]))], few, [None, None]))
    return lines


def cases_of(*rows):
    figure = cases_figure(lines_of(*rows))
    assert figure is not None
    return json.loads(json.dumps(figure))


def shares_of(*rows):
    figure = shares_figure(share_lines(stage_shares(solves(*rows))))
    assert figure is not None
    return json.loads(json.dumps(figure))


def by_type(figure, kind: str):
    return [trace for trace in figure["data"] if trace["type"] == kind]


def row_of(*rows):
    table = case_table(sightings(*rows), stage="oll", chances=CHANCES)
    return (table.select_dtypes("number") / 1000).iloc[0]


def test_recognition_runs_to_the_left_hatched_and_execution_to_the_right_solid():
    recognition, execution = by_type(cases_of(*SUNES), "bar")
    row = row_of(*SUNES)
    assert (recognition["name"], execution["name"]) == ("Recognition", "Execution")
    assert recognition["x"] == pytest.approx([-row["recognition_ms"]], abs=0.0006)
    assert execution["x"] == pytest.approx([row["execution_ms"]], abs=0.0006)
    assert recognition["marker"]["pattern"]["shape"] == "/"
    assert "pattern" not in execution["marker"]
    assert recognition["marker"]["line"] == execution["marker"]["line"]


def test_bands_reach_the_ends_that_the_table_holds():
    row = row_of(*SUNES)
    lines = [trace for trace in by_type(cases_of(*SUNES), "scatter") if trace.get("error_x")]
    for trace in lines:
        (at,) = trace["x"]
        ends = at - trace["error_x"]["arrayminus"][0], at + trace["error_x"]["array"][0]
        part, sign = ("recognition", -1) if at < 0 else ("execution", 1)
        held = sorted((sign * row[f"{part}_low_ms"], sign * row[f"{part}_high_ms"]))
        assert ends == pytest.approx(held, abs=0.0015)
    assert len(lines) == 4  # a line of ink over a wider one of paper, on both sides


def test_a_case_not_known_yet_is_a_band_and_its_sightings_but_no_bar():
    figure = cases_of(*SUNES, ONE, UNTIMED)
    for bar in by_type(figure, "bar"):
        assert bar["y"] == ["OLL 27 · 5\N{MULTIPLICATION SIGN}"]
    dots = [t for t in by_type(figure, "scatter") if t.get("name") == "One sighting each"]
    assert [dot["x"] for dot in dots] == [[-0.7], [1.5]]
    bands = [t for t in by_type(figure, "scatter") if t.get("error_x")]
    assert all("OLL 26 · 1\N{MULTIPLICATION SIGN}" in band["y"] for band in bands)
    assert any("not known yet" in text for band in bands for text in band["text"])


def test_a_known_time_of_fewer_than_three_is_a_ring():
    rows = [{**SUNES[2], "case": case} for case in ("27",) * 9 + ("26",) * 9 + ("45",) * 2]
    rings = [t for t in by_type(cases_of(*rows), "scatter") if "fewer" in str(t.get("name"))]
    assert [ring["y"] for ring in rings] == [["OLL 45 · 2\N{MULTIPLICATION SIGN}"]] * 2
    assert all(ring["marker"]["symbol"] == "circle-open" for ring in rings)


def test_a_case_without_times_has_no_row():
    axis = cases_of(*SUNES, ONE, UNTIMED)["layout"]["yaxis"]
    assert axis["categoryarray"] == [
        "OLL 26 · 1\N{MULTIPLICATION SIGN}",
        "OLL 27 · 5\N{MULTIPLICATION SIGN}",
    ]


def test_what_is_pointed_at_is_said_with_its_count_and_range():
    row = row_of(*SUNES)
    recognition, _ = by_type(cases_of(*SUNES), "bar")
    time, low, high = (f"{row[f'recognition{end}']:.2f}" for end in ("_ms", "_low_ms", "_high_ms"))
    said = f"OLL 27 Sune: recognition {time} s ({low} to {high}) · 5 times"
    assert recognition["text"] == [said]


def test_ticks_read_as_seconds_on_both_sides():
    axis = cases_of(*SUNES)["layout"]["xaxis"]
    assert axis["ticktext"] == [f"{abs(tick):g}" for tick in axis["tickvals"]]
    low, high = axis["range"]
    row = row_of(*SUNES)
    assert low < -row["recognition_high_ms"]
    assert high > row["execution_high_ms"]


def test_one_sighting_alone_makes_a_figure():
    assert len(by_type(cases_of(ONE), "bar")[0]["y"]) == 0


def test_shares_stack_recognition_and_execution_of_a_stage():
    figure = shares_of({})
    bars = {bar["name"]: dict(zip(bar["y"], bar["x"], strict=True)) for bar in figure["data"]}
    assert bars == {
        "Looking and turning": {"Cross": 3.0, "Pairs": 10.0},
        "Recognition": {"OLL": 1.0, "PLL": 0.8},
        "Execution": {"OLL": 2.0, "PLL": 2.2, "Final AUF": 0.5},
    }
    notes = [note["text"] for note in figure["layout"]["annotations"]]
    assert notes == ["3.00 s · 15%", "10.00 s · 51%", "3.00 s · 15%", "3.00 s · 15%", "0.50 s · 3%"]


def test_colours_and_faces_are_the_pages_tokens():
    for figure in (
        cases_of(*SUNES, ONE),
        shares_of({}),
    ):
        text = json.dumps(figure)
        colours = re.findall(r'"(?:bg|fg|border|tick|grid|)color": "([^"]+)"', text)
        assert colours
        assert {c for c in colours if not c.startswith("var(--")} <= {"rgba(0,0,0,0)"}
        assert figure["layout"]["font"]["family"] == "var(--font-text)"
        assert figure["layout"]["dragmode"] is False


def test_charts_are_ones_that_plotly_knows():
    """Names and values of every part, by the library's own checks."""
    span = Range(low=1000.0, high=3000.0, level=0.8)
    periods = [PeriodTimes(date(2026, 3, day), day, 2000.0, span) for day in (8, 1)]
    marks = [TimeMarkLine(date(2026, 3, day), kind) for kind in MarkKind for day in (1, 9)]
    over_time = over_time_figure(periods, marks, unit="day")
    drawn = [go.Figure(figure) for figure in (cases_of(*SUNES, ONE), shares_of({}), over_time)]
    assert [len(figure.data) for figure in drawn] == [10, 3, 2 + len(MarkKind)]
    assert over_time is not None
    assert over_time["data"][0]["x"] == ["2026-03-01", "2026-03-08"]
