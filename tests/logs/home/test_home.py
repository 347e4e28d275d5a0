"""A member's home and a coach's desk."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from cubecore.cases import CaseId, Stage
from logs.home.models import DeskVisit
from logs.home.report.desk import desk_report
from logs.home.report.home import last_sitting
from logs.home.words import due_soon, due_words, names, past_date
from logs.homework.services import cases_mark_shown
from logs.people.models import Role, Visibility
from logs.people.sight import club_sight
from tests.desk import CASE_27, CASE_40, CASE_T, DAY, make_homework, make_team
from tests.factories import NOW, make_client, make_club, make_membership, make_rows, make_upload

AT = datetime(2026, 3, 1, 12, 0, tzinfo=UTC)
SESSION_AND_USER = 2


def test_the_last_day_stands_beside_what_was_usual_before():
    """Worked by hand: 10, 12, 14 s on the last day; twenty of 20 s before it."""
    of_day = [(AT - timedelta(minutes=n), ms) for n, ms in enumerate((10_000, 14_000, 12_000))]
    before = [(AT - timedelta(days=1, minutes=n), 20_000) for n in range(20)]
    sitting = last_sitting([*of_day, *before], ZoneInfo("UTC"))
    assert sitting is not None
    assert (sitting.on, sitting.n, sitting.median_ms) == (date(2026, 3, 1), 3, 12_000)
    assert (sitting.n_before, sitting.usual_ms) == (20, 20_000)
    few = last_sitting([*of_day, *before[:19]], ZoneInfo("UTC"))
    assert few is not None
    assert few.usual_ms is None
    assert last_sitting([], ZoneInfo("UTC")) is None


def test_midnight_is_the_member_s_own():
    times = [(datetime(2026, 3, 1, 0, 30, tzinfo=UTC), 10_000), (AT - timedelta(days=1), 12_000)]
    utc, west = (last_sitting(times, ZoneInfo(zone)) for zone in ("UTC", "America/New_York"))
    assert utc is not None
    assert west is not None
    assert (utc.n, west.n) == (1, 2)


def test_a_line_of_names_is_cut_and_counted():
    assert names(["Ada", "Milo", "Ada"]) == "Ada, Milo"
    assert names("abcdefgh") == "a, b, c, d, e, f and 2 more"


@pytest.mark.django_db
class TestPages:
    """Over the pages."""

    def test_a_member_comes_home_and_a_coach_to_the_desk(self):
        club = make_club()
        coach, member = make_membership(club, role=Role.COACH), make_membership(club)
        page = make_client(member).get("/")
        assert page.status_code == 200
        assert "Add a log" in page.content.decode()
        assert make_client(coach).get("/")["Location"] == f"/clubs/{club.slug}/desk/"
        assert make_client(member).get(f"/clubs/{club.slug}/desk/").status_code == 404

    def test_a_member_with_solves_is_shown_one_next_case_and_the_last_sitting(self):
        member = make_membership(make_club())
        make_upload(member.user, make_rows(30))
        report = make_client(member).get("/").context["report"]
        assert report.sitting.n == 30
        assert report.next_case is not None
        assert not report.is_next_homework

    def test_the_desk_tells_whose_logs_came_in_and_hides_who_hides(self):
        club = make_club()
        coach = make_membership(club, role=Role.COACH)
        open_, hidden = make_membership(club, visibility=Visibility.COACH), make_membership(club)
        now = timezone.now()
        for member in (open_, hidden):
            make_upload(member.user, make_rows(3), now=now)
        quiet = make_membership(club, visibility=Visibility.COACH)
        client = make_client(coach)
        answer = client.get(f"/clubs/{club.slug}/desk/")
        report, page = answer.context["report"], answer.content.decode()
        assert [(one.member.name, one.n_solves) for one in report.logged] == [
            (open_.display_name, 3)
        ]
        assert [one.member.name for one in report.quiet] == [quiet.display_name]
        assert report.n_unshared == 1
        assert hidden.display_name not in page
        assert report.grown == ()

    def test_a_second_visit_within_the_hour_still_tells_since_the_one_before(self):
        club = make_club()
        client = make_client(make_membership(club, role=Role.COACH))
        first, second = (
            client.get(f"/clubs/{club.slug}/desk/").context["report"].since_at for _ in range(2)
        )
        assert second == first
        visit = DeskVisit.objects.get()
        left_at = visit.seen_at - timedelta(hours=2)
        DeskVisit.objects.update(seen_at=left_at)
        third = client.get(f"/clubs/{club.slug}/desk/").context["report"].since_at
        assert third == left_at

    def test_a_coach_who_signs_in_anew_is_told_since_their_last_visit_on_any_device(self):
        club = make_club()
        coach = make_membership(club, role=Role.COACH)
        make_client(coach.user).get(f"/clubs/{club.slug}/desk/")
        left_at = timezone.now() - timedelta(days=3)
        DeskVisit.objects.update(seen_at=left_at, mix_ups={"oll-1>oll-2": 4})
        phone = make_client(coach.user)
        assert phone.get(f"/clubs/{club.slug}/desk/").context["report"].since_at == left_at
        visit = DeskVisit.objects.get()
        assert (visit.since_at, visit.mix_ups_before) == (left_at, {"oll-1>oll-2": 4})
        other = make_membership(club, role=Role.COACH)
        make_client(other.user).get(f"/clubs/{club.slug}/desk/")
        assert DeskVisit.objects.count() == 2

    def test_homework_that_is_due_says_its_cases_and_stands_apart_from_what_is_past(self):
        club, coach, members = make_team(2)
        today = timezone.localdate()
        old = make_homework(coach, members, (CASE_40,), due_on=today - timedelta(days=20))
        older = make_homework(coach, members[:1], (CASE_40,), due_on=today - timedelta(days=30))
        cases = (CASE_27, CASE_T, CASE_40, CaseId(Stage.OLL, 1))
        new = make_homework(coach, members, cases, due_on=today + timedelta(days=2))
        report = make_client(coach).get(f"/clubs/{club.slug}/desk/").context["report"]
        assert [one.head.id for one in due_soon(report)] == [new.pk]
        assert [one.head.id for one in past_date(report)] == [old.pk, older.pk]
        (due,) = due_soon(report)
        assert due_words(due) == (
            "OLL 27 Sune, PLL T, OLL 40 Big lightning and 1 more, 0 of 8 learnt"
        )

    @pytest.mark.parametrize("n_members", [1, 30])
    def test_the_desk_asks_as_often_for_thirty_members_as_for_one(self, n_members: int):
        club = make_club()
        coach = make_membership(club, role=Role.COACH)
        for _ in range(n_members):
            make_upload(make_membership(club, visibility=Visibility.COACH).user, make_rows(2))
        client = make_client(coach)
        client.get(f"/clubs/{club.slug}/desk/")
        with CaptureQueriesContext(connection) as queries:
            client.get(f"/clubs/{club.slug}/desk/")
        # Own place, groups, members; the last visit; logs; tallies of both stages, mix-ups; homework (2);
        # joined, count; files that wait; lessons (2); the visit kept; looks.
        assert len(queries) - SESSION_AND_USER == 17


@pytest.mark.django_db
def test_a_case_asked_in_two_homeworks_stands_once_on_the_desk():
    club, coach, (member, *_) = make_team(1)
    both = [make_homework(coach, [member]) for _ in range(2)]
    case = CaseId.read("oll", both[0].cases.get().case)
    for homework in both:
        cases_mark_shown(
            actor=coach.user,
            homework_id=homework.pk,
            membership_id=member.pk,
            cases=[case],
            is_shown=True,
            now=NOW + DAY,
        )
    desk = desk_report(
        sight=club_sight(actor=coach.user, slug=club.slug),
        since=NOW,
        mix_ups_before=None,
        now=NOW + 2 * DAY,
    )
    assert [line.case.code for line in desk.shown] == [f"oll-{case.number}"]
