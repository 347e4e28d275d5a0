"""What the page of a case says of its times, in words."""

import json

import pandas as pd
import pytest

from logs.progress.case_charts import Mark, Typical, sightings_figure
from logs.progress.figures.first_uses import taken_up
from logs.progress.report.case_times import spread_words, trend_words
from logs.stats.distributions import shape
from tests.logs.stats.worked import W5A_TIMES_MS


def test_w5b_is_still_improving_and_its_last_eight_cannot_tell():
    """ANALYTICS.md, W5b: -16.3 to -1.7 % in ten sightings; -15.3 to +10.9 %."""
    said = trend_words(W5A_TIMES_MS)
    assert said.startswith("It is still getting faster.")
    assert "16% faster to 2% faster" in said
    said = trend_words(W5A_TIMES_MS[-8:])
    assert said.startswith("Cannot tell yet")
    assert "15% faster to 11% slower" in said


@pytest.mark.parametrize("n", [0, 1, 7])
def test_too_few_times_say_how_many_more(n):
    assert trend_words([2000.0] * n).startswith(
        f"Cannot tell yet whether it gets faster: about {8 - n} more timed"
    )


def test_level_is_said_only_where_it_is_shown():
    assert trend_words([2000.0 + (-1) ** k for k in range(12)]).startswith("It stays level")


def test_the_slow_tail_is_told_from_forty_times_on():
    times = pd.Series([float(500 + 20 * (k % 13) + 300 * (k % 11 == 0)) for k in range(40)])
    assert "slow tail" in spread_words(shape(times))
    assert "slow tail" not in spread_words(shape(times[:39]))
    assert spread_words(shape(times[:2])) == ""


def test_an_algorithm_is_taken_up_from_its_first_use_of_three():
    assert taken_up(["a", "a", "b", "a", "b", "c", "b"]) == [(2, "b")]
    assert taken_up([]) == taken_up(["a", "", "b"]) == []


def test_the_chart_stacks_execution_upon_hatched_recognition_with_its_marks():
    rows = pd.DataFrame(
        {
            "recognition_ms": [500.0, 600],
            "execution_ms": [1000.0, 900],
            "words": ["one", "two"],
            "is_odd": [False, True],
        },
        index=[1, 2],
    )
    figure = json.loads(
        sightings_figure(
            rows,
            marks=[Mark(2, "A", "homework set")],
            curve=None,
            typical=Typical(1500, 1400, 1700, 2),
        ).to_json()
    )
    recognition, execution = (t for t in figure["data"] if t["type"] == "bar")
    assert recognition["y"] == [0.5, 0.6]
    assert recognition["marker"]["pattern"]["shape"] == "/"
    assert "pattern" not in execution["marker"]
    assert figure["layout"]["barmode"] == "stack"
    assert [line["x0"] for line in figure["layout"]["shapes"]] == [1.5]
    odd = next(t for t in figure["data"] if t.get("name") == "Far from the others")
    assert odd["x"] == [2]
