"""What times alone tell: the first solves of a sitting, penalties, how long a case may take to come up."""

from datetime import timedelta
from math import isclose

import numpy as np
import pandas as pd
import pytest
from scipy.stats import geom, ttest_1samp

from cubecore.rows import Penalty
from logs.progress.figures.times_alone import solves_until, warm_up
from tests.factories import NOW, make_client, make_club, make_membership, make_row, make_upload


def frame(sittings: list[list[float]]) -> pd.DataFrame:
    """Solves a minute apart, sittings a day apart."""
    rows = [
        (NOW + timedelta(days=day, minutes=n), time_ms)
        for day, times in enumerate(sittings)
        for n, time_ms in enumerate(times)
    ]
    return pd.DataFrame(
        {
            "done_at": pd.to_datetime([at for at, _ in rows], utc=True),
            "time_ms": [time_ms for _, time_ms in rows],
            "kind": "",
        }
    )


def test_the_first_three_of_each_sitting_are_held_against_its_later_ones():
    # Worked by hand: medians 20 s against 15 s, then 21 s against 15 s; six sittings of each.
    slow, slower = [20e3] * 3 + [15e3] * 5, [21e3] * 3 + [15e3] * 5
    found = warm_up(frame([slow, slower] * 6))
    assert found is not None
    assert (found.mean_ms, found.n_sittings) == (5_500, 12)
    # the range by a general library
    differences = np.array([5_000, 6_000] * 6)
    expected = ttest_1samp(differences, 0).confidence_interval(0.80)
    assert isclose(found.range_ms.low, expected.low)
    assert isclose(found.range_ms.high, expected.high)


def test_short_sittings_and_few_of_them_say_nothing():
    assert warm_up(frame([[20e3] * 5] * 20)) is None
    assert warm_up(frame([[20e3] * 8] * 4)) is None
    assert warm_up(frame([])) is None


@pytest.mark.parametrize("chance", [1 / 216, 4 / 216, 4 / 72])
def test_a_case_is_likely_to_have_come_up_after_so_many_solves(chance):
    # scipy's geometric distribution
    assert solves_until(chance) == geom.ppf(0.80, chance)


@pytest.mark.django_db
def test_a_member_with_times_alone_is_told_what_is_true_and_shown_two_doors():
    member = make_membership(make_club())
    mine = make_client(member)
    rows = [
        make_row(done_at=NOW + timedelta(minutes=n))._replace(solution=None, turn_ms=None)
        for n in range(8)
    ]
    rows[0] = rows[0]._replace(penalty=Penalty.PLUS_TWO)
    make_upload(member.user, rows)
    page = mine.get("/progress/").content.decode()
    assert "8 solves: 1 with a +2, 0 not finished." in page
    assert "Write five solves down" in page
    assert "have not come up" not in page
    make_upload(member.user, [make_row(done_at=NOW + timedelta(days=1))])
    page = mine.get("/progress/").content.decode()
    assert "What times alone tell" not in page
    assert "have not come up in" in page


@pytest.mark.django_db
def test_a_new_member_reads_nothing_of_cases_that_never_could_be_seen():
    page = make_client(make_membership(make_club())).get("/progress/").content.decode()
    assert "have not come up in" not in page
