"""The research export and one's own word on it, by programs: the same as by the pages."""

import io

import pandas as pd
import pytest
from django.test import Client

from logs.people.models import AuditEvent, Membership, Verb, Visibility
from logs.research.figures import COLUMNS, MIN_MEMBERS
from logs.research.report import REFUSAL
from tests.factories import NOW, make_membership, make_row, make_upload
from tests.logs.api.test_answers import post, program, refusal

pytestmark = pytest.mark.django_db


def agree(coach: Membership, n_members: int) -> list[Membership]:
    """Members with a solve each, who agreed by a program."""
    agreed = []
    for number in range(n_members):
        member = make_membership(coach.club, visibility=Visibility.COACH)
        make_upload(member.user, [make_row(gap_ms=100 + number, done_at=NOW)])
        word = f"/api/v1/clubs/{coach.club.slug}/research/mine"
        answer = post(program(member.user, "manage"), word, {"is_in": True})
        assert (answer.status_code, answer.json()) == (200, {"is_in": True})
        agreed.append(member)
    return agreed


def rows(file: bytes) -> list[tuple[str, ...]]:
    """The export's rows without the names made up for it alone, in one order."""
    frame = pd.read_parquet(io.BytesIO(file)).drop(columns=["member", "solve"])
    return sorted(tuple(map(str, row)) for row in frame.to_numpy().tolist())


def test_a_word_is_given_and_taken_back(coach):
    member = make_membership(coach.club)
    client = program(member.user, "manage")
    for is_in in (True, True, False):
        answer = post(client, f"/api/v1/clubs/{coach.club.slug}/research/mine", {"is_in": is_in})
        assert answer.json() == {"is_in": is_in}
        member.refresh_from_db()
        assert member.is_in_research is is_in
    told = AuditEvent.objects.filter(verb=Verb.RESEARCH, member=member.user).order_by("pk")
    assert [event.detail["after"] for event in told] == [True, False]


def test_too_few_make_no_export_and_the_refusal_says_how_many_it_takes(coach):
    agree(coach, MIN_MEMBERS - 1)
    client, place = program(coach.user), f"/api/v1/clubs/{coach.club.slug}/research"
    report = client.get(place).json()
    assert (report["is_open"], report["n_least"]) == (False, MIN_MEMBERS)
    assert [column["name"] for column in report["columns"]] == [one.name for one in COLUMNS]
    refused = client.get(f"{place}.parquet")
    assert refusal(refused) == (409, "conflict")
    assert refused.json()["error"]["message"] == REFUSAL
    assert not AuditEvent.objects.filter(verb=Verb.EXPORT).exists()


def test_an_export_is_the_page_s_and_those_in_it_read_that_it_was_taken(coach):
    agreed = agree(coach, MIN_MEMBERS)
    client, page = program(coach.user), Client()
    page.force_login(coach.user)
    place = f"/clubs/{coach.club.slug}/research"
    assert client.get(f"/api/v1{place}").json()["is_open"]
    assert client.head(f"/api/v1{place}.parquet").status_code == 200
    assert not AuditEvent.objects.filter(verb=Verb.EXPORT).exists()
    answer = client.get(f"/api/v1{place}.parquet")
    looks = AuditEvent.objects.filter(verb=Verb.LOOK, actor=coach.user, page="research")
    assert {look.member for look in looks} == {one.user for one in agreed}
    theirs = page.get(f"{place}.parquet")
    for header in ("Content-Type", "Content-Disposition"):
        assert answer[header] == theirs[header]
    ours = rows(answer.getvalue())
    assert ours == rows(theirs.getvalue())
    assert len(ours) == 2 * MIN_MEMBERS  # an OLL and a PLL each
