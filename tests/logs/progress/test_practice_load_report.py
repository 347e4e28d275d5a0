"""How much a member turned, as Progress shows it."""

from datetime import UTC, date, datetime, timedelta

import pytest

from logs.errors import NotFoundError
from logs.people.models import Role, Visibility
from logs.people.sight import sight_of
from logs.progress.report.load import LoadLine, LoadReport, load_report
from tests.factories import (
    SUNE,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db

NOW = datetime(2026, 3, 4, 12, 0, tzinfo=UTC)
"""A Wednesday; its week began on 2 March (ISO 8601: weeks begin on Mondays)."""


def drill(at: datetime, *, minutes: float = 1):
    """A T permutation of 14 turns that takes so long."""
    gap_ms = round(minutes * 60_000 / 23)  # the factory rests for ten gaps before the first turn
    return make_row(T_PERM, gap_ms=gap_ms, done_at=at)


def report_of(member, now: datetime = NOW) -> LoadReport:
    return load_report(actor=member, member=sight_of(actor=member, membership_id=None), now=now)


def test_solves_and_drills_are_counted_by_day_and_by_week():
    """Turns by hand: 3 of the last pair, 7 of a Sune, 14 of a T permutation."""
    member = make_user()
    rows = [
        make_row(done_at=NOW - timedelta(hours=1)),
        make_row(SUNE, done_at=NOW - timedelta(hours=2)),
        make_row(T_PERM, done_at=NOW - timedelta(days=3)),
        make_row(done_at=None),
        make_row(done_at=NOW + timedelta(hours=1)),  # a clock that is wrong
    ]
    make_upload(member, rows, now=NOW + timedelta(days=1))
    report = report_of(member)
    assert [(day.start, day.n, day.n_turns) for day in report.days] == [
        (date(2026, 3, 4), 2, 31),
        (date(2026, 3, 1), 1, 14),
    ]
    assert [(week.start, week.n, week.n_turns) for week in report.weeks] == [
        (date(2026, 3, 2), 2, 31),
        (date(2026, 2, 23), 1, 14),
    ]


def test_a_week_far_longer_than_usual_is_said_with_both_figures():
    """Our own rule: more than 1.5 times the median of the four weeks before."""
    member = make_user()
    for n, minutes in enumerate((10, 12, 8, 10), start=1):
        make_upload(member, [drill(NOW - timedelta(weeks=n), minutes=minutes)])
    make_upload(member, [drill(NOW - timedelta(hours=5), minutes=15)])
    assert report_of(member).rise is None  # 15 is not more than 1.5 times 10
    make_upload(member, [drill(NOW - timedelta(hours=4), minutes=3)])
    rise = report_of(member).rise
    assert rise is not None
    assert (rise.active_min, rise.usual_min) == pytest.approx((18, 10), abs=0.01)


def test_a_break_is_spoken_of_while_the_session_may_go_on():
    """Our own rule: after 45 active minutes without a pause of five."""
    member = make_user()
    rows = [drill(NOW - timedelta(minutes=12 * n), minutes=11.5) for n in range(3)]
    make_upload(member, rows)
    assert report_of(member).since_break_min is None
    make_upload(member, [drill(NOW - timedelta(minutes=36), minutes=11.5)])
    assert report_of(member).since_break_min == pytest.approx(46, abs=0.01)
    assert report_of(member, NOW + timedelta(minutes=59)).since_break_min is not None
    assert report_of(member, NOW + timedelta(minutes=61)).since_break_min is None


def test_nothing_is_a_report_too():
    assert report_of(make_user()) == LoadReport((), (), rise=None, since_break_min=None)


def test_quiet_weeks_are_lines_of_nothing():
    member = make_user()
    make_upload(member, [drill(NOW - timedelta(weeks=2))])
    weeks = report_of(member).weeks
    assert weeks[0] == LoadLine(date(2026, 3, 2), 0, 0, 0.0)
    assert [week.n for week in weeks] == [0, 0, 1]


def test_a_day_begins_at_the_members_midnight():
    """Auckland is 13 hours ahead in March (tz database): 11:30 UTC is past midnight there."""
    club = make_club(time_zone="Pacific/Auckland")
    member = make_membership(club, visibility=Visibility.COACH)
    make_upload(member.user, [drill(datetime(2026, 3, 3, 11, 30, tzinfo=UTC))])
    assert [day.start for day in report_of(member.user).days] == [date(2026, 3, 4)]


def test_a_log_that_is_not_shown_has_no_load():
    club = make_club()
    coach = make_membership(club, role=Role.COACH).user
    hidden = make_membership(club).user
    member = sight_of(actor=hidden, membership_id=None)
    with pytest.raises(NotFoundError):
        load_report(actor=coach, member=member, now=NOW)
