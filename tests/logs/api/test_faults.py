"""A fault of ours reaches a program in the one shape of refusals, and tells nothing of the inside."""

from collections.abc import Callable
from typing import Any

import pytest
from django.db import OperationalError, connection
from django.test import Client
from django.utils import timezone

from logs.people.services.tokens import token_make
from tests.factories import make_club, make_membership

pytestmark = pytest.mark.django_db

FAULT = {
    "code": "server_error",
    "message": "The fault is ours and has been written down. Try again.",
    "field": None,
    "line": None,
}


def program(*, raises: bool = True) -> Client:
    """A program with a member's token, which ``raises`` what the site could not answer."""
    _, text = token_make(
        actor=make_membership(make_club()).user,
        name="test",
        scopes=("read",),
        days=1,
        now=timezone.now(),
    )
    return Client(headers={"authorization": f"Bearer {text}"}, raise_request_exception=raises)


def gone(table: str) -> Callable[..., Any]:
    """A database that is gone as soon as ``table`` is read."""

    def execute(run: Callable[..., Any], sql: str, *rest: Any) -> Any:
        if table in sql:
            raise OperationalError("canary: the server closed the connection")
        return run(sql, *rest)

    return execute


@pytest.mark.parametrize("table", ["logs_apitoken", "logs_upload"])
def test_a_database_that_is_gone_is_answered_as_json_and_logged(table: str, caplog):
    asking = program(raises=False)
    with connection.execute_wrapper(gone(table)):
        answer = asking.get("/api/v1/uploads")
    assert (answer.status_code, answer["Content-Type"]) == (500, "application/json")
    assert answer.json() == {"error": FAULT | {"problems": [FAULT]}}
    assert "no-store" in answer["Cache-Control"]
    assert [r.exc_info[0] for r in caplog.records if r.exc_info] == [OperationalError]


def test_whoever_watches_for_faults_is_told_of_one_under_the_api():
    with connection.execute_wrapper(gone("logs_upload")), pytest.raises(OperationalError):
        program().get("/api/v1/uploads")


def test_a_page_that_breaks_is_still_a_page():
    member = make_membership(make_club()).user
    browser = Client(raise_request_exception=False)
    browser.force_login(member)
    with connection.execute_wrapper(gone("logs_upload")):
        answer = browser.get("/")
    assert answer.status_code == 500
    assert "<h1>The site made a mistake</h1>" in answer.text


def test_a_request_that_cannot_be_read_is_answered_as_json():
    """A host that the site does not answer to: Django gives up before any view."""
    answer = Client(headers={"host": "else.example"}).get("/api/v1/log")
    assert (answer.status_code, answer.json()["error"]["code"]) == (400, "bad_request")
