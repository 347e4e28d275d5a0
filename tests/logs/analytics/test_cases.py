import random
from statistics import median
from typing import Any

import pandas as pd
import pytest

from logs.analytics.cases import (
    CASE_COLUMNS,
    CaseOrder,
    algorithm_counts,
    case_table,
    cases_unmet,
    misfire_counts,
    one_look_rate,
)
from tests.logs.analytics.build import sightings

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


def test_one_sighting_is_its_own_median_and_band():
    row = table_of(oll("27", 840, 1130)).iloc[0]
    assert (row["n"], row["n_timed"], row["n_one_look"]) == (1, 1, 1)
    assert row["recognition_ms"] == row["recognition_low_ms"] == row["recognition_high_ms"] == 840
    assert row["stage_ms"] == 1970
    assert row["cost_ms"] == pytest.approx(1970 * 4 / 216)


def test_untimed_sightings_count_and_have_no_time():
    row = table_of(oll("27", None, None), oll("27", 400, 900)).iloc[0]
    assert (row["n"], row["n_timed"]) == (2, 1)
    only_untimed = table_of(oll("27", None, None)).iloc[0]
    assert only_untimed["n"] == 1
    assert only_untimed[["recognition_ms", "stage_ms", "cost_ms"]].isna().all()


def test_the_skip_the_other_stage_and_unknown_cases_are_no_rows():
    table = table_of(oll("skip"), oll("T") | {"stage": "pll"}, oll("27"))
    assert list(table["case"]) == ["27"]


def test_times_of_one_look_leave_the_counts_whole():
    rows = [oll("27", 400, 1000), oll("27", 900, 3000, is_one_look=False)]
    both = table_of(*rows).iloc[0]
    one = table_of(*rows, one_look_only=True).iloc[0]
    assert (both["n"], both["n_timed"], both["execution_ms"]) == (2, 2, 2000)
    assert (one["n"], one["n_timed"], one["execution_ms"]) == (2, 1, 1000)
    assert both["n_one_look"] == one["n_one_look"] == 1


def test_cost_is_chance_times_median_so_a_rare_slow_case_may_cost_less():
    rare_slow = [oll("21", 1500, 1500)] * 3  # 3.0 s once in 108
    often_less_slow = [oll("27", 1000, 1000)] * 3  # 2.0 s once in 54
    table = table_of(*rare_slow, *often_less_slow)
    assert list(table["case"]) == ["27", "21"]
    by_execution = table_of(*rare_slow, *often_less_slow, order=CaseOrder.EXECUTION)
    assert list(by_execution["case"]) == ["21", "27"]


def test_cases_with_few_times_come_last_by_count():
    rows = [oll("26", 9000, 9000)] * 1 + [oll("45", 5000, 5000)] * 2 + [oll("27", 300, 700)] * 3
    assert list(table_of(*rows)["case"]) == ["27", "45", "26"]


def test_orders_by_count_and_by_number():
    rows = [oll("45")] * 3 + [oll("26")] * 1 + [oll("27")] * 2
    assert list(table_of(*rows, order=CaseOrder.COUNT)["case"]) == ["45", "27", "26"]
    assert list(table_of(*rows, order=CaseOrder.NUMBER)["case"]) == ["26", "27", "45"]


def test_the_table_is_that_of_plain_loops_in_any_order_of_rows():
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
    draw.shuffle(rows)
    pd.testing.assert_frame_equal(table, table_of(*rows))
    for row in table.to_dict("records"):
        mine = [r for r in rows if r["case"] == row["case"]]
        timed = [r for r in mine if r["recognition_ms"] is not None]
        assert row["n"] == len(mine)
        assert row["n_timed"] == len(timed)
        assert row["n_one_look"] == sum(r["is_one_look"] for r in mine)
        assert row["recognition_ms"] == median(r["recognition_ms"] for r in timed)
        assert row["execution_ms"] == median(r["execution_ms"] for r in timed)
        stage = median(r["recognition_ms"] + r["execution_ms"] for r in timed)
        assert row["cost_ms"] == pytest.approx(CHANCES[row["case"]] * stage)


def test_times_three_times_as_long_make_the_figures_three_times_as_long():
    rows: list[dict[str, Any]] = [oll("27", 300 + k, 900 + 7 * k) for k in range(9)]
    slow = [
        r | {"recognition_ms": 3 * r["recognition_ms"], "execution_ms": 3 * r["execution_ms"]}
        for r in rows
    ]
    one, three = table_of(*rows).iloc[0], table_of(*slow).iloc[0]
    for name in [column for column in CASE_COLUMNS if column.endswith("_ms")]:
        assert three[name] == pytest.approx(3 * one[name])
    assert three["band_held"] == one["band_held"]


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
    found = one_look_rate(met, stage="oll")
    assert (found.n_hits, found.n) == (1, 2)
    assert one_look_rate(sightings(), stage="oll").share is None


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


def test_misfires_are_counted_by_kind_and_case():
    met = sightings(
        oll("27", misfire_kind="other_case", misfire_case="26"),
        oll("27", misfire_kind="other_case", misfire_case="26"),
        oll("27", misfire_kind="wrong_hold", misfire_case="27"),
        oll("27"),
    )
    assert misfire_counts(met, stage="oll", case="27") == [
        ("other_case", "26", 2),
        ("wrong_hold", "27", 1),
    ]
    assert misfire_counts(sightings(), stage="oll", case="27") == []
