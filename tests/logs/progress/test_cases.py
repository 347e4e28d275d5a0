import random
from typing import Any

import numpy as np
import pandas as pd
import pytest

from logs.progress.figures.cases import (
    CASE_COLUMNS,
    CaseOrder,
    algorithm_counts,
    case_table,
    cases_unmet,
    few_points,
    with_costs,
)
from logs.solves.figures.rates import stage_one_look
from logs.solves.figures.sampling import RateRows
from logs.stats.grid import pooled_times
from logs.stats.pooling import blocks_ago, case_sums
from tests.logs.stats.build import sightings
from tests.logs.stats.worked import W1_TIMES

W1_CASES = ("28", "29", "30", "31", "32", "33", "34", "35")
CHANCES = {"21": 2 / 216, "26": 4 / 216, "27": 4 / 216, "45": 4 / 216}


def oll(
    case: str, recognition: float | None = 500, execution: float | None = 1000, **more: object
) -> dict[str, object]:
    return {"case": case, "recognition_ms": recognition, "execution_ms": execution} | more


def table_of(*rows: dict[str, object], **options: Any) -> pd.DataFrame:
    return case_table(sightings(*rows), stage="oll", chances=CHANCES, **options)


def test_without_sightings_the_table_is_empty_with_its_columns():
    table = table_of()
    assert list(table.columns) == list(CASE_COLUMNS)
    assert table.empty


@pytest.mark.parametrize("order", list(CaseOrder))
def test_every_order_takes_zero_one_and_two_rows(order):
    assert len(table_of(order=order)) == 0
    assert len(table_of(oll("27"), order=order)) == 1
    assert len(table_of(oll("27"), oll("27"), order=order)) == 1
    assert len(table_of(oll("27", None, None), oll("26"), order=order)) == 2


def test_one_sighting_is_no_time_that_is_known_yet():
    row = table_of(oll("27", 840, 1130)).iloc[0]
    assert (row["n"], row["n_timed"], row["n_one_look"]) == (1, 1, 1)
    assert row["recognition_ms"] == pytest.approx(840, rel=1e-6)  # nothing else to lean on
    assert row["recognition_low_ms"] < 840 < row["recognition_high_ms"]
    assert (row["is_hollow"], row["is_recognition_known"]) == (True, False)


def test_w1_is_in_the_table():
    """W1's one-look stage times: each median lies between the raw mean and the rest, by its range."""
    rows = [
        oll(case, ms / 3, 2 * ms / 3)
        for case, times in zip(W1_CASES, W1_TIMES.values(), strict=True)
        for ms in times
    ]
    chances = dict.fromkeys(W1_CASES, 4 / 216)
    table = case_table(sightings(*rows), stage="oll", chances=chances).set_index("case")
    for case, times in zip(W1_CASES, W1_TIMES.values(), strict=True):
        row, raw = table.loc[case], float(np.exp(np.log(times).mean()))
        assert min(raw, 2465) * 0.95 < row["stage_ms"] < max(raw, 2465) * 1.05
        assert row["stage_low_ms"] < row["stage_ms"] < row["stage_high_ms"]
    # Known where the band's ends lie within a factor of 1.5 (our own choice): not G and H, timed once.
    known = list(table.loc[list(W1_CASES), "is_stage_known"])
    assert known[:4] + known[6:] == [True] * 4 + [False] * 2


def test_untimed_sightings_count_and_have_no_time():
    row = table_of(oll("27", None, None), oll("27", 400, 900)).iloc[0]
    assert (row["n"], row["n_timed"]) == (2, 1)
    only_untimed = table_of(oll("27", None, None)).iloc[0]
    assert only_untimed["n"] == 1
    assert only_untimed[["recognition_ms", "stage_ms", "cost_ms"]].isna().all()


def test_the_skip_the_other_stage_and_unknown_cases_are_no_rows():
    table = table_of(oll("skip"), oll("T") | {"stage": "pll"}, oll("27"))
    assert list(table["case"]) == ["27"]


def test_one_look_and_more_are_never_mixed():
    rows = [oll("27", 400, 1000), oll("27", 900, 3000, is_one_look=False)]
    one, more = (table_of(*rows, is_one_look=is_one).iloc[0] for is_one in (True, False))
    assert (one["n"], one["n_timed"], more["n"], more["n_timed"]) == (2, 1, 2, 1)
    assert one["execution_ms"] == pytest.approx(1000, rel=1e-6)
    assert more["execution_ms"] == pytest.approx(3000, rel=1e-6)
    assert more["n_one_look"] == one["n_one_look"] == 1


def test_a_case_costs_one_look_as_often_as_it_goes_in_one():
    rows = [oll("27", 500, 1000)] * 6 + [oll("27", 1000, 3000, is_one_look=False)] * 2
    one, more = with_costs(*(table_of(*rows, is_one_look=way) for way in (True, False)))
    share = 6.5 / 9
    mean = share * one["mean_ms"] + (1 - share) * more["mean_ms"]
    assert one["cost_ms"].to_numpy() == pytest.approx(4 / 216 * mean.to_numpy())
    assert more["cost_ms"].to_numpy() == pytest.approx(one["cost_ms"].to_numpy())
    alone, none = with_costs(*(table_of(rows[0], is_one_look=way) for way in (True, False)))
    assert alone["cost_ms"].to_numpy() == pytest.approx(4 / 216 * alone["mean_ms"].to_numpy())
    assert none["stage_ms"].isna().all()


def test_cost_is_chance_times_mean_so_a_rare_slow_case_may_cost_less():
    rare_slow = [oll("21", 1500, 1500)] * 3  # 3.0 s once in 108
    often_less_slow = [oll("27", 1000, 1000)] * 3  # 2.0 s once in 54
    table = table_of(*rare_slow, *often_less_slow)
    assert list(table["case"]) == ["27", "21"]
    by_execution = table_of(*rare_slow, *often_less_slow, order=CaseOrder.EXECUTION)
    assert list(by_execution["case"]) == ["21", "27"]


def test_cases_whose_time_is_not_known_come_last_by_count():
    rows = [oll("45", 1200 + 60 * (11 * k % 30), 2000 + 80 * (7 * k % 30)) for k in range(30)]
    rows += [oll("27", 500 + 25 * (11 * k % 30), 800 + 40 * (7 * k % 30)) for k in range(30)]
    rows += [oll("26", 9000, 9000)]
    table = table_of(*rows)
    assert list(table["case"]) == ["45", "27", "26"]
    assert list(table["is_stage_known"]) == [True, True, False]


def test_orders_by_count_and_by_number():
    rows = [oll("45")] * 3 + [oll("26")] * 1 + [oll("27")] * 2
    assert list(table_of(*rows, order=CaseOrder.COUNT)["case"]) == ["45", "27", "26"]
    assert list(table_of(*rows, order=CaseOrder.NUMBER)["case"]) == ["26", "27", "45"]


def test_the_table_is_that_of_plain_loops():
    draw = random.Random(7)
    rows: list[dict[str, Any]] = [
        oll(
            draw.choice(list(CHANCES)),
            draw.choice([None, draw.randint(200, 3000)]),
            draw.randint(500, 5000),
            is_one_look=draw.random() < 0.6,
        )
        for _ in range(200)
    ]
    table = table_of(*rows)
    placed = list(zip(blocks_ago(len(rows)), rows, strict=True))
    timed = [(b, r) for b, r in placed if r["recognition_ms"] is not None and r["is_one_look"]]
    whole = pooled_times(
        case_sums(
            pd.Series(
                [float(r["recognition_ms"] + r["execution_ms"]) for _, r in timed],
                index=[r["case"] for _, r in timed],
            ),
            blocks=[int(ago) for ago, _ in timed],
        )
    )
    assert whole is not None
    for row in table.to_dict("records"):
        mine = [r for r in rows if r["case"] == row["case"]]
        assert row["n"] == len(mine)
        assert row["n_timed"] == sum(r in mine for _, r in timed)
        assert row["n_one_look"] == sum(r["is_one_look"] for r in mine)
        assert row["stage_ms"] == whole.table().loc[row["case"], "centre_ms"]
        mean = whole.mean_times().loc[row["case"], "mean_ms"]
        assert row["cost_ms"] == pytest.approx(CHANCES[row["case"]] * mean)


def test_times_three_times_as_long_make_the_figures_three_times_as_long():
    rows: list[dict[str, Any]] = [oll("27", 300 + k, 900 + 7 * k) for k in range(9)]
    slow = [
        r | {"recognition_ms": 3 * r["recognition_ms"], "execution_ms": 3 * r["execution_ms"]}
        for r in rows
    ]
    one, three = table_of(*rows).iloc[0], table_of(*slow).iloc[0]
    for name in [column for column in CASE_COLUMNS if column.endswith("_ms")]:
        assert three[name] == pytest.approx(3 * one[name])
    assert three["is_stage_known"] == one["is_stage_known"]


def test_cases_unmet_keep_their_order():
    met = sightings(oll("26"), oll("45") | {"stage": "pll"})
    assert cases_unmet(met, stage="oll", chances=CHANCES) == ["21", "27", "45"]
    assert cases_unmet(sightings(), stage="oll", chances=CHANCES) == list(CHANCES)


def test_the_one_look_rate_counts_misfires_as_misses_and_leaves_out_skips_and_solves_that_ended():
    met = sightings(
        oll("27"),
        oll("26", is_one_look=False, first_outcome="misfire"),
        oll("21", is_one_look=False, n_looks=0, first_outcome=""),
        oll("skip", is_one_look=False, n_looks=0, first_outcome=""),
    )
    found = stage_one_look(met, RateRows())
    assert (found.n_hits, found.n) == (1, 2)
    assert stage_one_look(sightings(), RateRows()).share is None


def test_algorithms_are_counted_over_one_look_sightings():
    met = sightings(
        oll("27", algorithm="B"),
        oll("27", algorithm="A"),
        oll("27", algorithm="A"),
        oll("27", algorithm="C", is_one_look=False),
        oll("26", algorithm="D"),
    )
    assert algorithm_counts(met, stage="oll", case="27") == [("A", 2), ("B", 1)]
    assert algorithm_counts(met, stage="oll", case="45") == []


def test_up_to_four_timed_sightings_are_shown_one_by_one():
    rows = [*[oll("27")] * 4, *[oll("26")] * 5, oll("27", None, None), oll("21")]
    frame = sightings(*rows)
    points = few_points(frame, table_of(*rows), stage="oll")
    assert list(points["case"]) == ["27"] * 4 + ["21"]


def test_of_cases_whose_time_is_not_known_the_one_met_most_comes_first():
    rows = [oll("21", None, None), *[oll("45", None, None)] * 3, *[oll("26", None, None)] * 2]
    assert list(table_of(*rows, order=CaseOrder.RECOGNITION)["case"]) == ["45", "26", "21"]
