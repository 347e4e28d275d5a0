"""A page asks the database as often for fifty rows as for one."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from logs.people.models import Role, Visibility
from logs.people.services.invitations import invitation_create
from logs.people.services.memberships import visibility_change
from logs.people.services.trail import look_note
from tests.factories import (
    NOW,
    make_client,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db

SESSION_AND_USER = 2
BAD_LINE = b"2026-03-01T13:00:00Z,R U,,,,,\r\n"


def n_queries(client: Client, address: str) -> int:
    client.get(address)  # labels and pictures are made once
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    return len(queries) - SESSION_AND_USER


# Each: the club's zone or the membership, then what the page is about.
@pytest.mark.parametrize(
    ("address", "n"),
    [
        # Zone (2), solve frame, uploads, jobs, files that wait; count, page, sightings of solves.
        ("/log/", 9),
        ("/solves/", 4),
        # Zone, the log's version, books, figures kept, marks, homework, attempts.
        ("/progress/", 7),
        ("/progress/?stage=pll", 7),
        # Sightings, tallies, rows of rates (2), own words, book, holds, homework, mix-ups.
        ("/cases/", 9),
        # Names of turns, books, own colour, clubs, zone, sightings; drills; pace (2), homework, marks
        # (2); clubs coached; mix-ups; coaches' words; rows of rates (2), times left out.
        ("/cases/oll/27/", 17),
        # Homework, day's number, last colour, zone, drills of today.
        ("/drills/", 5),
        # Day's number for this address, for the sheet and for another's address; books.
        ("/drills/sheet/?case=oll-27&n=5&last=yellow&seed=7", 4),
        ("/sheet/", 4),
        ("/sheet/?case=oll-27&case=pll-T", 5),
        ("/sheet.pdf?case=oll-27&case=pll-T", 5),
        # What is begun, solves without a solution, the next drawn, zone.
        ("/write/", 4),
        # Zone, drawn solves, draws, the next; what could be drawn from (2), rows of rates (2).
        ("/drawn/", 8),
        ("/how/information/", 0),
        ("/how/", 0),
        ("/log-template.csv", 0),
    ],
)
@pytest.mark.parametrize("n_rows", [1, 50])
def test_own_pages(address: str, n: int, n_rows: int):
    user = make_user()
    make_upload(user, make_rows(n_rows))
    client = make_client(user)
    assert n_queries(client, address) == n


@pytest.mark.parametrize("n_rows", [1, 50])
def test_an_upload_with_rows_set_aside(n_rows: int):
    user = make_user()
    upload = make_upload(user, content=make_csv(make_rows(1)) + n_rows * BAD_LINE)
    client = make_client(user)
    # The upload with its rows, zone; what it meant: the upload, solves, homework, tallies and looks, cases.
    assert n_queries(client, f"/uploads/{upload.pk}/") == 13
    assert n_queries(client, f"/uploads/{upload.pk}/set-aside/") == 2


@pytest.mark.parametrize("n_members", [1, 50])
def test_the_members_of_a_club(n_members: int):
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    for _ in range(n_members):
        make_membership(club, visibility=Visibility.COACH)
    client = make_client(coach.user)
    # Clubs, own place, groups, members; everybody (2); logs, tallies of both stages, homework (2), looks.
    assert n_queries(client, "/members/") == 12


@pytest.mark.parametrize("n_members", [1, 50])
def test_a_case_of_a_club_week_by_week(n_members: int):
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    for _ in range(n_members):
        member = make_membership(club, visibility=Visibility.COACH)
        make_upload(member.user, [make_row(done_at=timezone.now())])
    client = make_client(coach.user)
    address = f"/clubs/{club.slug}/cases/oll/27/"
    # The own membership with its club, groups, who is visible, the case's weeks, instruments, whom was
    # looked at today.
    assert n_queries(client, address) == 6
    assert client.get(address).context["report"].n == n_members


@pytest.mark.parametrize("n_rows", [1, 50])
def test_a_member_seen_by_their_coach(n_rows: int):
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    member = make_membership(club, visibility=Visibility.COACH)
    make_upload(member.user, make_rows(n_rows))
    client = make_client(coach.user)
    # Sight, the log's version, books (2), figures kept, marks, clubs coached, homework, attempts,
    # the look.
    assert n_queries(client, f"/members/{member.pk}/progress/") == 10
    assert n_queries(client, f"/members/{member.pk}/solves/") == 5


@pytest.mark.parametrize("page", ["progress", "solves", "mistaken"])
def test_a_page_of_somebody_asks_the_rule_of_sight_once(page: str):
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    member = make_membership(club, visibility=Visibility.COACH)
    make_upload(member.user, make_rows(2))
    client = make_client(coach.user)
    with CaptureQueriesContext(connection) as queries:
        assert client.get(f"/members/{member.pk}/{page}/").status_code == 200
    # Only the rule of sight compares a membership's visibility (`logs.people.sight`).
    asked = [q["sql"] for q in queries.captured_queries if '"visibility" = ' in q["sql"]]
    assert len(asked) == 1


@pytest.mark.parametrize("n", [1, 50])
def test_the_people_and_invitations_of_a_club(n: int):
    club = make_club()
    owner = make_membership(club, role=Role.OWNER)
    for _ in range(n):
        make_membership(club)
        invitation_create(
            actor=owner.user, slug=club.slug, role=Role.MEMBER, max_uses=1, days=1, now=NOW
        )
    client = make_client(owner.user)
    # Clubs coached and people; own place, groups and who is visible for the tabs; clubs, invitations.
    assert n_queries(client, f"/clubs/{club.slug}/people/") == 7


@pytest.mark.parametrize("n", [1, 50])
def test_one_s_own_clubs_and_privacy(n: int):
    user = make_user()
    for _ in range(n):
        own = make_membership(make_club(), user)
        coach = make_membership(own.club, role=Role.COACH)
        look_note(actor=coach.user, membership_ids=[own.pk], page="solves", now=NOW)
        visibility_change(actor=user, slug=own.club.slug, visibility="coach", now=NOW)
    make_upload(user)
    client = make_client(user)
    assert n_queries(client, "/clubs/") == 1
    # Zone, memberships, looks, changes, names, uploads.
    assert n_queries(client, "/privacy/") == 6
    assert n_queries(client, "/privacy/erase/") == 6
    assert n_queries(client, "/what-we-keep/") == 1  # who answers for clubs
