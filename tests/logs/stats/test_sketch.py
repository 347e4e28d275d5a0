"""The sketch against exact quantiles of general libraries, and its algebra."""

import random
from statistics import median

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logs.stats.sketch import ALPHA, EMPTY, Sketch, bucket_of, read_sketch, sketch_of

HOUR_MS = 3_600_000
times = st.lists(st.integers(1, HOUR_MS), min_size=1, max_size=60)
sketches = st.lists(st.integers(1, HOUR_MS), max_size=30).map(sketch_of)
ROUNDING = 1e-9


@given(times, st.floats(0, 1))
def test_a_quantile_is_within_the_stated_error_of_numpy(times_ms, share):
    exact = np.quantile(times_ms, share)
    assert sketch_of(times_ms).quantile(share) == pytest.approx(exact, rel=ALPHA + ROUNDING)


@given(times)
def test_a_median_is_within_the_stated_error_of_the_standard_library(times_ms):
    exact = median(times_ms)
    assert sketch_of(times_ms).quantile(0.5) == pytest.approx(exact, rel=ALPHA + ROUNDING)


def test_the_error_holds_for_every_time_up_to_a_minute():
    for time_ms in range(1, 60_001):
        found = sketch_of([time_ms]).quantile(0)
        assert abs(found - time_ms) <= (ALPHA + ROUNDING) * time_ms


def test_a_long_tail_keeps_its_error():
    rng = random.Random(5)
    times_ms = [max(1.0, rng.lognormvariate(7.5, 1.2)) for _ in range(20_000)]
    sketch = sketch_of(times_ms)
    for share in (0.01, 0.1, 0.25, 0.5, 0.75, 0.9, 0.99, 0.999):
        exact = float(np.quantile(times_ms, share))
        assert sketch.quantile(share) == pytest.approx(exact, rel=ALPHA + ROUNDING)
    assert len(sketch.to_bytes()) < 1_500


@given(sketches, sketches, sketches)
def test_adding_up_has_no_order(one, two, three):
    assert one + two == two + one
    assert (one + two) + three == one + (two + three)
    assert one + EMPTY == one


@given(times, times)
def test_the_sum_is_the_sketch_of_all_times(one, two):
    assert sketch_of(one) + sketch_of(two) == sketch_of(one + two)
    assert (sketch_of(one) + sketch_of(two)).n == len(one) + len(two)


@given(sketches)
def test_bytes_read_back(sketch):
    assert read_sketch(sketch.to_bytes()) == sketch


def test_equal_sketches_have_equal_bytes():
    one, two = [300, 5_000, 300], [5_000, 300, 300]
    assert sketch_of(one).to_bytes() == sketch_of(two).to_bytes()
    assert EMPTY.to_bytes() == b""


def test_numbers_are_written_as_the_standard_does():
    # DWARF 5, table 7.7: 2 is 02, 127 is 7f, 128 is 80 01, 129 is 81 01.
    kept = Sketch({2: 127, 130: 129}).to_bytes()
    assert kept == bytes([10, 0x02, 0x7F, 0x80, 0x01, 0x81, 0x01])


@pytest.mark.parametrize("time_ms", [0, 0.5, -3, float("nan")])
def test_a_time_below_a_millisecond_is_refused(time_ms):
    with pytest.raises(ValueError, match="1 ms or more"):
        bucket_of(time_ms)


def test_what_is_not_there_has_no_quantile():
    with pytest.raises(ValueError, match="needs times"):
        EMPTY.quantile(0.5)
    with pytest.raises(ValueError, match="within 0 and 1"):
        sketch_of([100]).quantile(1.1)


@pytest.mark.parametrize(
    ("kept", "message"),
    [(b"\x05\x02\x01", "another relative error"), (b"\x0a\x02", "cut"), (b"\x0a\x82", "cut")],
)
def test_damaged_bytes_are_refused(kept, message):
    with pytest.raises(ValueError, match=message):
        read_sketch(kept)
