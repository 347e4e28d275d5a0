"""The club week by week, held against the frames of its members."""

from datetime import date, timedelta

import numpy as np
import pytest

from cubecore.cases import Stage
from logs.club.report.weeks import WEEKS_SHOWN, club_weeks
from logs.people.models import Role, Visibility
from logs.people.sight import club_sight
from logs.solves.selectors.frames import solve_frame
from logs.stats.sketch import ALPHA
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_upload,
)

pytestmark = pytest.mark.django_db


def a_log(*, gap_ms: int, weeks: int, n: int):
    return [
        make_row(
            LAST_PAIR, SUNE, T_PERM, gap_ms=gap_ms + 5 * number,
            done_at=NOW - timedelta(weeks=week, minutes=number),
        )
        for week in range(weeks)
        for number in range(n)
    ]  # fmt: skip


@pytest.fixture
def club():
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    quick, slow, hidden = (
        make_membership(club, visibility=one)
        for one in (Visibility.COACH, Visibility.CLUB, Visibility.ONLY_ME)
    )
    make_upload(quick.user, a_log(gap_ms=111, weeks=2, n=5))
    make_upload(slow.user, [*a_log(gap_ms=253, weeks=1, n=2), make_row(done_at=None)])
    make_upload(hidden.user, a_log(gap_ms=403, weeks=3, n=4))
    return club, coach, quick, slow


def test_a_week_is_told_of_those_the_reader_may_see(club):
    club, coach, quick, slow = club
    lines = club_weeks(sight=club_sight(actor=coach.user, slug=club.slug), now=NOW)
    assert len(lines) == WEEKS_SHOWN
    assert [(line.n_members, line.n_solves, line.n_timed) for line in lines[:3]] == [
        (2, 7, 7),
        (1, 5, 5),
        (0, 0, 0),
    ]
    last_layers = []
    for member in (quick.user, slow.user):
        frame = solve_frame(actor=member, member=member)
        this_week = frame[frame["done_at"] >= NOW - timedelta(days=1)]
        parts = [f"{stage}_{part}_ms" for stage in Stage for part in ("recognition", "execution")]
        last_layers += this_week[parts].sum(axis=1, skipna=False).to_list()
    assert lines[0].last_layer_ms == pytest.approx(np.median(last_layers), rel=ALPHA)
    assert (lines[2].last_layer_ms, lines[2].last_layer_range) == (None, None)
    assert lines[0].first_on == date(2026, 2, 23)  # NOW is a Sunday


def test_a_club_where_nothing_was_done_lately_has_no_weeks(club):
    club, coach, *_ = club
    later = NOW + timedelta(weeks=WEEKS_SHOWN + 1)
    assert club_weeks(sight=club_sight(actor=coach.user, slug=club.slug), now=later) == ()
