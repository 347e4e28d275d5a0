"""Programs that ask again and again: an answer they have is not sent again (RFC 9110, 13.1.2)."""

import pytest

from tests.factories import make_club, make_membership, make_rows, make_upload
from tests.logs.api.test_answers import program

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("place", ["solves", "jobs", "uploads"])
def test_an_answer_that_a_program_has_is_not_sent_again_until_it_changes(place: str):
    member = make_membership(make_club())
    client, address = program(member.user), f"/api/v1/{place}"
    first = client.get(address)
    assert first.status_code == 200
    same = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert (same.status_code, same.content, same["ETag"]) == (304, b"", first["ETag"])
    assert client.get(address, headers={"If-None-Match": '"another"'}).status_code == 200


def test_a_change_is_told():
    member = make_membership(make_club())
    client = program(member.user)
    before = client.get("/api/v1/solves")["ETag"]
    make_upload(member.user, make_rows(2))
    answer = client.get("/api/v1/solves", headers={"If-None-Match": before})
    assert (answer.status_code, answer.json()["n"]) == (200, 2)


def test_a_token_that_ended_gets_no_304():
    member = make_membership(make_club())
    client = program(member.user)
    tag = client.get("/api/v1/solves")["ETag"]
    member.user.api_tokens.all().delete()
    assert client.get("/api/v1/solves", headers={"If-None-Match": tag}).status_code == 401
