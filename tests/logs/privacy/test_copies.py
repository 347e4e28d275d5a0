"""Files that programs take of a member's own data: the same bytes as from the pages."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from logs.people.models import AuditEvent, Membership, Verb
from logs.people.services.passwords import EXPORT
from logs.solves.models.solves import Upload
from tests.factories import (
    make_client,
    make_club,
    make_csv,
    make_membership,
    make_rows,
    make_upload,
)
from tests.logs.api.test_answers import program, refusal

pytestmark = pytest.mark.django_db

BYTES = make_csv(make_rows(2)) + b"2026-03-01T13:00:00Z,R U,,,,,mend me\r\n"


@pytest.fixture
def sender() -> Membership:
    member = make_membership(make_club())
    make_upload(member.user, content=BYTES)
    return member


def browser(member: Membership) -> Client:
    return make_client(member.user)


def test_files_are_the_bytes_that_the_pages_give(sender):
    asking, page, sent = program(sender.user), browser(sender), Upload.objects.get()
    for place, of_the_page in (
        ("privacy/my-log.jsonl", "/privacy/my-log.jsonl"),
        ("privacy/about-me.json", "/privacy/about-me.json"),
        (f"uploads/{sent.pk}/file", f"/uploads/{sent.pk}/file/"),
    ):
        ours, theirs = asking.get(f"/api/v1/{place}"), page.get(of_the_page)
        assert ours.status_code == 200
        for name in ("Content-Type", "Content-Disposition"):
            assert ours[name] == theirs[name]
        if place != "privacy/about-me.json":
            assert ours.content == theirs.content
        else:  # each finds the looks and uses until then
            assert ours.json().keys() == theirs.json().keys()
            assert ours.json()["uploads"] == theirs.json()["uploads"]
    assert asking.get(f"/api/v1/uploads/{sent.pk}/file").content == BYTES


@pytest.mark.parametrize("name", ["my-log.jsonl", "about-me.json"])
@pytest.mark.parametrize("asker", [lambda member: program(member.user), browser])
def test_the_headers_of_a_copy_are_answered_without_making_one(sender, name, asker):
    client = asker(sender)
    path = f"/privacy/{name}" if asker is browser else f"/api/v1/privacy/{name}"

    def ask(method: str):
        with CaptureQueriesContext(connection) as asked:
            answer = client.generic(method, path)
        kept = "logs_solve" if name == "my-log.jsonl" else "logs_upload"
        reads = any(kept in query["sql"] for query in asked)
        return answer, reads, AuditEvent.objects.filter(verb=Verb.EXPORT).count()

    (head, *none), (whole, *made) = ask("HEAD"), ask("GET")
    assert (none, made) == ([False, 0], [True, 1])
    assert head.status_code == 200
    assert head["Content-Type"] == whole["Content-Type"]


def test_a_copy_is_noted_where_its_member_reads_it_and_copies_are_limited(sender):
    asking, path = program(sender.user), "/api/v1/privacy/my-log.jsonl"
    assert not AuditEvent.objects.filter(verb=Verb.EXPORT).exists()
    answers = [asking.get(path) for _ in range(EXPORT.n_account + 1)]
    assert refusal(answers.pop()) == (429, "too_many_tries")
    assert {answer.status_code for answer in answers} == {200}
    events = AuditEvent.objects.filter(verb=Verb.EXPORT, member=sender.user)
    assert events.count() == EXPORT.n_account
    assert events[0].detail == {"what": "log"}
