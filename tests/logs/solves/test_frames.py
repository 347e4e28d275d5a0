"""A frame has its declared columns whatever is in it."""

from datetime import UTC, datetime

import pandas as pd
import pytest

from logs.solves.figures.frames import SIGHTING_COLUMNS, SOLVE_COLUMNS, build_frame

COLUMNS = {"number": "int64", "at": "datetime64[ns, UTC]", "ms": "float64", "name": "str"}


@pytest.mark.parametrize("columns", [COLUMNS, SOLVE_COLUMNS, SIGHTING_COLUMNS])
def test_no_rows_still_have_every_column_and_dtype(columns):
    frame = build_frame(columns, [])
    assert {name: str(dtype) for name, dtype in frame.dtypes.items()} == dict(columns)
    assert frame.empty


def test_what_is_not_known_is_nan_and_nat_even_in_the_whole_column():
    frame = build_frame(COLUMNS, [(1, None, None, ""), (2, None, None, "x")])
    assert frame["at"].isna().all()
    assert frame["ms"].isna().all()
    assert {name: str(dtype) for name, dtype in frame.dtypes.items()} == COLUMNS


def test_values_keep_their_order_and_meaning():
    moment = datetime(2026, 3, 1, 12, 0, 0, 123456, UTC)
    frame = build_frame(COLUMNS, iter([(2, moment, 1500, "T"), (1, None, None, "skip")]))
    assert frame["number"].tolist() == [2, 1]
    assert frame["at"][0] == pd.Timestamp(moment)
    assert frame["ms"][0] == 1500.0
    assert frame["name"].tolist() == ["T", "skip"]


def test_rows_of_uneven_length_are_refused():
    with pytest.raises(ValueError, match="zip"):
        build_frame(COLUMNS, [(1, None, None, ""), (2, None)])
