"""Times of unlike instruments are kept apart: one rule, and what each page makes of it.

That a thumb and a sensor are not the same kind of number is *common practice, no source*.
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

import pytest
from django.utils import timezone

from cubecore.cases import Stage
from cubecore.rows import Marks, Row, TimedBy
from logs.club.report.weeks import club_case_report, club_weeks
from logs.homework.selectors import others_before
from logs.next_up.report import next_up_report
from logs.next_up.selectors import next_up_frame, two_look_frame
from logs.people.models import Membership, Role, Visibility
from logs.people.sight import club_sight
from logs.progress.report.case import case_report
from logs.progress.report.progress import Choice, ProgressReport, progress_report
from logs.progress.report.time import MarkKind
from logs.solves.figures.instruments import (
    LASTS,
    instrument_changes,
    main_instrument,
    timed_alike,
)
from logs.solves.models.solves import Solve
from logs.solves.models.tallies import CaseTally, LogVersion, WeekTally
from logs.solves.selectors.frames import sighting_frame, solve_frame
from logs.solves.selectors.solves import Behind, solve_list
from logs.solves.services.tallies import tally_rebuild
from tests.factories import (
    NOW,
    SENT_AT,
    make_client,
    make_club,
    make_membership,
    make_row,
    make_upload,
)

SENSOR, VIDEO, HAND = "sensor", "video", "hand"


def test_most_of_the_newest_tell_the_instrument_and_of_a_tie_the_finer():
    assert main_instrument([]) is TimedBy.SENSOR
    assert main_instrument([HAND, HAND, SENSOR]) is TimedBy.HAND
    assert main_instrument([HAND, SENSOR]) is TimedBy.SENSOR
    assert main_instrument([HAND, VIDEO]) is TimedBy.VIDEO


def timed(*names: str) -> Sequence[tuple[datetime | None, int, str]]:
    return [(NOW + timedelta(hours=n), n, name) for n, name in enumerate(names)]


def test_a_change_is_one_that_lasts():
    lasting, brief = LASTS, LASTS - 1
    names = [HAND] * lasting + [SENSOR] * brief + [HAND] * 3 + [SENSOR] * lasting + [VIDEO]
    (change,) = instrument_changes([(None, 99, VIDEO), *timed(*names)])
    assert (change.solve_id, change.instrument) == (lasting + brief + 3, TimedBy.SENSOR)
    assert instrument_changes(timed(*[HAND] * lasting, SENSOR, *[HAND] * lasting)) == []


GAP_MS = 150
LOG = make_row(gap_ms=GAP_MS)
assert LOG.turn_ms is not None
# 3 turns of the pair, 7 of OLL 27, 14 of the T permutation
MARKS = Marks._make(LOG.turn_ms[n] for n in (2, 3, 9, 10, 23))
RECOGNITION_MS = MARKS.oll_turn - MARKS.f2l if MARKS.oll_turn and MARKS.f2l else 0
LATE_MS = 180
"""By so much a thumb's mark is late here where a turn is awaited."""
BY_HAND = LOG._replace(
    turn_ms=None,
    mark_ms=MARKS._replace(oll_turn=MARKS[1] + LATE_MS if MARKS[1] else None),
    timed_by=TimedBy.HAND,
    step_ms=10,
)


def at(row: Row, hour: int) -> Row:
    return row._replace(done_at=(NOW + timedelta(hours=hour)).isoformat())


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club())


def send(member: Membership, row: Row, n: int, *, start: int = 0) -> None:
    rows = [at(row, start + i) for i in range(n)]
    make_upload(member.user, rows, file_name=f"{start}.csv")


def progress(member: Membership) -> ProgressReport:
    return progress_report(actor=member.user, choice=Choice(stage=Stage.OLL), now=SENT_AT)


def recognitions(member: Membership) -> list[float]:
    frame = sighting_frame(actor=member.user, member=member.user)
    return frame.loc[frame["stage"] == "oll", "recognition_ms"].dropna().tolist()


@pytest.mark.django_db
def test_times_by_hand_are_not_pooled_with_a_sensor_s_and_all_else_is(member: Membership):
    send(member, LOG, 6)
    send(member, BY_HAND, 3, start=50)
    assert recognitions(member) == [RECOGNITION_MS] * 6
    splits = solve_frame(actor=member.user, member=member.user)
    assert splits["f2l_ms"].notna().sum() == 6
    assert splits["time_ms"].notna().sum() == 9
    tally = CaseTally.objects.get(stage="oll", case="27")
    assert (tally.n, tally.n_one_look, tally.n_timed) == (9, 9, 6)
    assert tally.recognition_ms_sum == 6 * RECOGNITION_MS
    assert sum(week.n_timed for week in WeekTally.objects.all()) == 6
    report = progress(member)
    assert (report.n_split, report.n_unlike, report.timed_by) == (6, 3, TimedBy.SENSOR)
    assert (report.cases[0].n, report.cases[0].n_timed) == (9, 6)
    frame = next_up_frame(actor=member.user, members=[member.user])
    assert frame.loc[frame["stage"] == "oll", "recognition_ms"].notna().sum() == 6
    assert two_look_frame(actor=member.user, members=[member.user]).empty
    assert next_up_report(actor=member.user, now=SENT_AT).n_unlike == 3
    meetings = others_before(members=[member.user.pk], until=SENT_AT)[member.user.pk, "oll"]["27"]
    assert [one.recognition_ms for one in meetings].count(None) == 3
    case = case_report(actor=member.user, stage="oll", number="27", now=SENT_AT)
    assert (case.n, case.times.n, case.n_unlike) == (9, 6, 3)
    behind = solve_list(
        actor=member.user, member=member.user, stage=Stage.OLL, case="27", behind=Behind.TIMES
    )
    assert len(behind) == 6
    assert len(solve_list(actor=member.user, member=member.user, behind=Behind.SPLITS)) == 6
    for address in ("/progress/", "/cases/oll/27/", "/next-up/"):
        page = make_client(member).get(address).content.decode()
        assert "3 solves were timed by another instrument" in page, address


@pytest.mark.django_db
def test_when_most_of_the_newest_are_by_hand_those_count_and_the_log_is_counted_anew(
    member: Membership,
):
    send(member, LOG, 4)
    assert LogVersion.objects.get().instrument == SENSOR
    send(member, BY_HAND, 5, start=50)
    assert LogVersion.objects.get().instrument == HAND
    assert recognitions(member) == [RECOGNITION_MS + LATE_MS] * 5
    tally = CaseTally.objects.get(stage="oll", case="27")
    assert (tally.n, tally.n_timed) == (9, 5)
    before = list(CaseTally.objects.order_by("stage", "case").values())
    tally_rebuild(member_ids=[member.user.pk])
    after = list(CaseTally.objects.order_by("stage", "case").values())
    assert [{**row, "id": 0} for row in after] == [{**row, "id": 0} for row in before]
    assert progress(member).n_unlike == 4
    Solve.objects.filter(timed_by=HAND).delete()
    tally_rebuild(member_ids=[member.user.pk])
    assert LogVersion.objects.get().instrument == SENSOR


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("row", "instrument"),
    [
        (LOG, SENSOR),
        (LOG._replace(timed_by=TimedBy.VIDEO), VIDEO),
        (LOG._replace(step_ms=33), VIDEO),
        (LOG._replace(step_ms=10), SENSOR),
        (LOG._replace(step_ms=100), HAND),
        (BY_HAND._replace(timed_by=None), HAND),
        (BY_HAND._replace(timed_by=TimedBy.SENSOR), SENSOR),
    ],
)
def test_a_log_says_the_instrument_or_how_it_is_timed_does(
    member: Membership, row: Row, instrument: str
):
    send(member, row, 1)
    assert LogVersion.objects.get().instrument == instrument


@pytest.mark.django_db
def test_a_change_of_instrument_marks_itself_on_the_axis_of_times(member: Membership):
    send(member, BY_HAND, LASTS)
    send(member, LOG, LASTS, start=50)
    marks = [mark for mark in progress(member).time.marks if mark.kind is MarkKind.INSTRUMENT]
    assert [(mark.timed_by, mark.day) for mark in marks] == [
        (TimedBy.SENSOR, (NOW + timedelta(hours=50)).date())
    ]
    page = make_client(member).get("/progress/").content.decode()
    assert "times of turns by a sensor in the cube from here" in page


def test_members_stand_together_whose_instrument_most_use():
    assert timed_alike({1: HAND, 2: SENSOR, 3: HAND}) == {1, 3}
    assert timed_alike({1: HAND, 2: SENSOR}) == {2}  # of a tie the finer
    assert timed_alike({}) == frozenset()


@pytest.mark.django_db
def test_a_club_pools_times_of_one_instrument_and_each_member_keeps_their_own():
    club, now = make_club(), timezone.now()
    coach = make_membership(club, role=Role.COACH)
    for row, n in ((LOG, 2), (BY_HAND, 1)):
        for _ in range(n):
            member = make_membership(club, visibility=Visibility.COACH)
            moments = (now - timedelta(minutes=i) for i in range(6))
            make_upload(
                member.user, [row._replace(done_at=at.isoformat()) for at in moments], now=now
            )
    report = club_case_report(actor=coach.user, slug=club.slug, stage="oll", number="27", now=now)
    assert (report.n, report.n_unlike) == (18, 1)
    assert sum(week.met.n_timed for week in report.weeks) == 12
    assert sorted(line.met.n_timed for line in report.members) == [0, 6, 6, 6]
    weeks = club_weeks(sight=club_sight(actor=coach.user, slug=club.slug), now=now)
    assert sum(week.n_timed for week in weeks) == 12
    assert weeks[0].n_unlike == 1
    client = make_client(coach)
    page = client.get(f"/clubs/{club.slug}/cases/oll/27/").content.decode()
    assert "1 member is timed by another instrument than most" in page
    page = client.get(f"/clubs/{club.slug}/").content.decode()
    assert "without 1 member timed by another instrument" in page
