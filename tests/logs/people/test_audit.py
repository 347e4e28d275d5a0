"""The trail is only added to, and looks count once a day."""

from datetime import UTC, datetime, timedelta

import pytest
from django.db import DatabaseError, connection, transaction

from logs.http.pages import truncate_origin
from logs.people.models import AuditEvent, Role, Verb, Visibility
from logs.people.services.trail import event_write, look_note
from tests.factories import NOW, make_club, make_membership, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def event() -> AuditEvent:
    membership = make_membership(make_club())
    return event_write(
        Verb.VISIBILITY,
        actor=membership.user,
        member=membership.user,
        club=membership.club,
        now=NOW,
        detail={"before": "only_me", "after": "coach"},
        origin="192.0.2.0/24",
    )


def refused(sql: str, *values: int) -> None:
    refusal = pytest.raises(DatabaseError, match="the audit trail is only added to")
    with refusal, transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(sql, values)


def test_no_event_is_deleted(event: AuditEvent):
    refused("DELETE FROM logs_auditevent")
    refused("DELETE FROM logs_auditevent WHERE id = %s", event.pk)
    assert AuditEvent.objects.filter(pk=event.pk).exists()


@pytest.mark.parametrize(
    "change",
    [
        "verb = 'role'",
        "detail = '{}'",
        "at = '2020-01-01 00:00:00'",
        "\"on\" = '2020-01-01'",
        "id = id + 1",
        "origin = '203.0.113.0/24'",
        "actor_id = (SELECT max(id) FROM accounts_user)",
        "member_id = (SELECT max(id) FROM accounts_user)",
        "actor_id = NULL, verb = 'role'",
    ],
)
def test_no_event_is_changed(event: AuditEvent, change: str):
    make_user()
    refused(f"UPDATE logs_auditevent SET {change}")


def test_an_event_may_forget_whom_it_names(event: AuditEvent):
    AuditEvent.objects.update(actor=None, member=None, club=None, origin="")
    event.refresh_from_db()
    assert (event.actor, event.member, event.club, event.origin) == (None, None, None, "")
    assert event.detail == {"before": "only_me", "after": "coach"}
    refused("UPDATE logs_auditevent SET actor_id = (SELECT max(id) FROM accounts_user)")


def test_a_look_counts_once_for_viewer_member_page_and_day():
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    members = [make_membership(club, visibility=Visibility.COACH) for _ in range(3)]
    ids = [coach.pk, *(member.pk for member in members)]
    late = datetime(2026, 3, 1, 23, 59, 59, tzinfo=UTC)

    def look(page: str, now: datetime) -> int:
        return look_note(actor=coach.user, membership_ids=ids, page=page, now=now)

    assert look("club", NOW) == 3  # not at oneself
    assert look("club", late) == 0
    assert look("compare", late) == 3
    assert look("club", late + timedelta(seconds=1)) == 3
    assert AuditEvent.objects.filter(verb=Verb.LOOK, member=members[0].user).count() == 3


def test_a_member_of_two_shared_clubs_is_looked_at_once():
    here, there = make_club(), make_club()
    member, viewer = make_user(), make_user()
    ids = [make_membership(club, member, visibility=Visibility.CLUB).pk for club in (here, there)]
    make_membership(here, viewer)
    assert look_note(actor=viewer, membership_ids=ids, page="solves", now=NOW) == 1


@pytest.mark.parametrize(
    ("address", "origin"),
    # Documentation addresses: RFC 5737 (IPv4), RFC 3849 (IPv6); mapped ones: RFC 4291, 2.5.5.2.
    [
        ("192.0.2.77", "192.0.2.0/24"),
        ("2001:db8:1:2:3:4:5:6", "2001:db8:1::/48"),
        ("::ffff:192.0.2.77", "192.0.2.0/24"),
        ("", ""),
        ("not an address", ""),
    ],
)
def test_an_origin_loses_its_last_part(address: str, origin: str):
    assert truncate_origin(address) == origin
