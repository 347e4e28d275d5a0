import json
import re

import pytest

from logs.progress.charts import cases_figure, shares_figure
from logs.progress.figures.cases import case_table, few_points
from logs.solves.figures.frames import stage_shares
from tests.logs.stats.build import sightings, solves

CHANCES = {"26": 4 / 216, "27": 4 / 216, "45": 4 / 216}
NAMES = {"26": "OLL 26 Antisune", "27": "OLL 27 Sune", "45": "OLL 45 T"}
SUNES = [
    {"case": "27", "recognition_ms": 400.0 + 100 * k, "execution_ms": 900.0 + 100 * k}
    for k in range(5)
]
ONE = {"case": "26", "recognition_ms": 700.0, "execution_ms": 1500.0}
UNTIMED = {"case": "45", "recognition_ms": None, "execution_ms": None}


def cases_of(*rows):
    frame = sightings(*rows)
    table = case_table(frame, stage="oll", chances=CHANCES)
    figure = cases_figure(table, few_points(frame, table, stage="oll"), names=NAMES)
    return json.loads(figure.to_json())


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
        "OLL 27 · 5\N{MULTIPLICATION SIGN}",
        "OLL 26 · 1\N{MULTIPLICATION SIGN}",
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
    figure = json.loads(shares_figure(stage_shares(solves({}))).to_json())
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
        json.loads(shares_figure(stage_shares(solves({}))).to_json()),
    ):
        text = json.dumps(figure)
        colours = re.findall(r'"(?:bg|fg|border|tick|grid|)color": "([^"]+)"', text)
        assert colours
        assert {c for c in colours if not c.startswith("var(--")} <= {"rgba(0,0,0,0)"}
        assert figure["layout"]["font"]["family"] == "var(--font-text)"
        assert figure["layout"]["dragmode"] is False
