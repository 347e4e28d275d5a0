"""What nobody sends by chance: it costs little, changes nothing, and is refused in the one shape."""

import pytest
from django.conf import settings

from logs.intake.mapping import MAX_COLUMNS, MAX_WORDS
from tests.factories import make_upload
from tests.logs.api.test_answers import post, program, refusal
from tests.logs.solves.test_drafts import send

pytestmark = pytest.mark.django_db

JSON = "application/json"


def test_too_many_are_refused_before_each_is_looked_at(member):
    client = program(member.user, "manage")
    sent = {"on": "2026-03-05", "title": "E", "member": [], "cases": [1] * 5_000}
    answer = post(client, f"/api/v1/clubs/{member.club.slug}/lessons", sent)
    assert refusal(answer) == (422, "invalid")
    assert answer.json()["error"]["field"] == "cases"
    assert len(answer.json()["error"]["problems"]) == 1


@pytest.mark.parametrize("address", ["drills?case", "clubs/{slug}/compare?member"])
def test_an_index_in_an_address_s_name_is_another_name(member, address: str):
    asked = f"/api/v1/{address.format(slug=member.club.slug)}[{'9' * 5_000}]=x"
    assert program(member.user).get(asked).status_code == 200


@pytest.mark.parametrize(("field", "n_most"), [("penalties", MAX_WORDS), ("roles", MAX_COLUMNS)])
def test_too_many_answers_about_a_file_are_one_problem(member, field: str, n_most: int):
    client = program(member.user, "read", "upload")
    answer = post(client, f"{send(client)}/answers", {field: [1] * 2_000})
    (problem,) = answer.json()["error"]["problems"]
    assert problem["field"] == field
    assert str(n_most) in problem["message"]


def test_half_a_character_is_told_back_whole(member):
    client = program(member.user, "manage")
    answer = post(client, f"/api/v1/clubs/{member.club.slug}/visibility", {"visibility": "\ud800"})
    assert refusal(answer) == (422, "invalid")


def test_an_empty_form_takes_nothing_back(member):
    member.is_in_research = True
    member.save()
    client, word = program(member.user, "manage"), f"/api/v1/clubs/{member.club.slug}/research/mine"
    for kind, status in (("application/x-www-form-urlencoded", 415), (JSON, 422), ("", 422)):
        answer = client.generic("POST", word, CONTENT_TYPE=kind, CONTENT_LENGTH="0")
        assert refusal(answer)[0] == status
    member.refresh_from_db()
    assert member.is_in_research


def test_a_large_log_is_taken_as_a_file_and_as_text_told_so(member):
    make_upload(member.user)
    client = program(member.user, "upload")
    text = "scramble,time\n" + " " * settings.DATA_UPLOAD_MAX_MEMORY_SIZE
    answer = post(client, "/api/v1/uploads", {"text": text})
    assert refusal(answer) == (413, "too_large")
    assert answer.json()["error"]["message"] == (
        "At most 2,621,440 bytes are read as JSON; send a file as multipart/form-data."
    )


def test_a_large_field_of_a_form_is_told_to_come_as_a_file(member):
    client = program(member.user, "upload")
    answer = client.post("/api/v1/uploads", {"text": "x" * settings.DATA_UPLOAD_MAX_MEMORY_SIZE})
    assert refusal(answer) == (413, "too_large")
    assert answer.json()["error"]["message"].endswith("send a log in the field “file”, as a file.")
