"""Marks on the axis of times, made and removed by programs; progress lists them."""

from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from tests.logs.api.test_answers import post, program, refusal

pytestmark = pytest.mark.django_db

MARKS = "/api/v1/progress/marks"


def listed(client: Client) -> list[tuple[int, str, str]]:
    marks = client.get("/api/v1/progress").json()["time"]["marks"]
    return [(mark["mark_id"], mark["day"], mark["word"]) for mark in marks]


def test_a_mark_is_made_once_listed_with_the_progress_and_removed(member):
    client, mark = program(member.user, "read", "manage"), {"day": "2026-03-01", "word": "new cube"}
    made = post(client, MARKS, mark)
    assert made.status_code == 201
    again = post(client, MARKS, mark)
    assert (again.status_code, again.json()) == (200, made.json())
    assert listed(client) == [(made.json()["id"], "2026-03-01", "new cube")]
    assert client.delete(f"{MARKS}/{made.json()['id']}").status_code == 204
    assert listed(client) == []
    assert refusal(client.delete(f"{MARKS}/{made.json()['id']}")) == (404, "not_found")


def test_a_mark_that_cannot_be_made_is_refused_at_its_field(member):
    client, to_come = program(member.user, "read", "manage"), timezone.now() + timedelta(days=2)
    for mark, field in (
        ({"day": to_come.date().isoformat(), "word": "new cube"}, "day"),
        ({"day": "1 March", "word": "new cube"}, "day"),
        ({"day": "2026-03-01", "word": " "}, "word"),
        ({"day": "2026-03-01", "word": "x" * 200}, "word"),
    ):
        answer = post(client, MARKS, mark)
        assert (*refusal(answer), answer.json()["error"]["field"]) == (422, "invalid", field)
    assert listed(client) == []
