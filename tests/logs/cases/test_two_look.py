import numpy as np
import pandas as pd
import pytest

from logs.cases.figures import TWO_LOOK_COLUMNS, Steps, two_look_times

STEPS = {
    "27": Steps("oriented", "sune"),
    "33": Steps("bar", "t"),
    "45": Steps("bar", "t"),
    "2": Steps("dot", "h"),
    "37": Steps("angle", "sune"),
}
COLUMNS = ["case", "edge_step", "corner_step", "edge_ms", "corner_ms"]


def looks(*rows: tuple[str, float, float]) -> pd.DataFrame:
    return pd.DataFrame(
        [(case, STEPS[case].edge, STEPS[case].corner, edge, corner) for case, edge, corner in rows],
        columns=COLUMNS,
    )


def many() -> pd.DataFrame:
    """Bar 2 s, angle 1.5 s, T 2.5 s, Sune 1 s, each with a tenth of spread."""
    rng = np.random.default_rng(11)
    typical = {"33": (2000, 2500), "37": (1500, 1000), "27": (0, 1000)}
    return looks(
        *[
            (case, edge * np.exp(rng.normal(0, 0.1)), corner * np.exp(rng.normal(0, 0.1)))
            for case, (edge, corner) in typical.items()
            for _ in range(40)
        ]
    )


def test_a_case_never_met_takes_the_sum_of_its_steps():
    table = two_look_times(many(), steps=STEPS)
    row = table.loc["45"]
    assert row["n"] == 0
    assert row["mean_ms"] == pytest.approx(4500, rel=0.08)  # it may depart from the sum, as any
    assert table["sd_ms"].idxmax() == "45"


def test_a_step_that_is_not_needed_takes_no_time():
    table = two_look_times(many(), steps=STEPS)
    assert table.loc["27", "mean_ms"] == pytest.approx(1000, rel=0.05)
    assert table.loc["27", "n"] == 40


def test_a_step_never_timed_gives_no_figure():
    assert "2" not in two_look_times(many(), steps=STEPS).index


def test_own_two_look_times_pull_a_case_from_its_sum():
    slow = pd.concat([many(), looks(*[("45", 4000.0, 5000.0)] * 6)])
    table = two_look_times(slow, steps=STEPS)
    assert table["mean_ms"].between(5200, 9100)["45"]
    assert table.loc["45", "n"] == 6


def test_a_step_timed_once_makes_a_case_less_sure():
    steps = STEPS | {"51": Steps("bar", "h"), "57": Steps("oriented", "h")}
    once = pd.DataFrame([("57", "oriented", "h", 0.0, 2500.0)], columns=COLUMNS)
    table = two_look_times(pd.concat([many(), once]), steps=steps)
    share = table["sd_ms"] / table["mean_ms"]
    assert table.loc[["45", "51"], "n"].to_list() == [0, 0]
    assert share["51"] > 1.01 * share["45"]


def test_the_unit_scales():
    frame = many()
    table = two_look_times(frame, steps=STEPS)
    twice = two_look_times(
        frame.assign(edge_ms=2 * frame["edge_ms"], corner_ms=2 * frame["corner_ms"]), steps=STEPS
    )
    assert twice["mean_ms"].to_numpy() == pytest.approx(2 * table["mean_ms"].to_numpy())
    assert twice["sd_ms"].to_numpy() == pytest.approx(2 * table["sd_ms"].to_numpy())


@pytest.mark.parametrize("rows", [[], [("33", 2000.0, 2500.0)], [("33", 2000.0, 2500.0)] * 2])
def test_dumb_cases(rows):
    table = two_look_times(looks(*rows), steps=STEPS)
    assert list(table.columns) == list(TWO_LOOK_COLUMNS)
    assert np.isfinite(table.to_numpy(dtype=float)).all()
    assert list(table.index) == (["33", "45"] if rows else [])
