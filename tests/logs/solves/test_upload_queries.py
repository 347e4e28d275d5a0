"""A small log costs so many statements, whichever way it comes, and no more for more rows."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.factories import make_club, make_csv, make_membership, make_rows
from tests.logs.api.test_answers import post, program

pytestmark = pytest.mark.django_db

TRANSACTIONS = ("BEGIN", "COMMIT", "SAVEPOINT", "RELEASE")
BEFORE = (0, 40)
"""More of each case than its newest looks that are kept: more of the same leave the coverage alone."""


def n_statements(send, *, first, second) -> int:
    """The statements of sending something, once a log has solves of the same cases and week.

    Rows that go into one table one batch after another count once: SQLite takes 999 values at a
    time, PostgreSQL any number.
    """
    send(first)
    with CaptureQueriesContext(connection) as queries:
        assert send(second).status_code in (201, 302)
    statements = [query["sql"].split("(")[0] for query in queries.captured_queries]
    counted = [sql for sql in statements if not sql.startswith(TRANSACTIONS)]
    return sum(
        not (sql == before and sql.startswith("INSERT"))
        for before, sql in zip(["", *counted], counted, strict=False)
    )


@pytest.fixture
def member():
    return make_membership(make_club()).user


def a_file(start: int, n: int) -> SimpleUploadedFile:
    return SimpleUploadedFile("log.csv", make_csv(make_rows(start + n)[start:]))


@pytest.mark.parametrize("n", [1, 40])
def test_a_log_on_the_page(member, n: int):
    client = Client()
    client.force_login(member)

    def send(rows):
        return client.post("/uploads/", {"file": a_file(*rows)})

    # The most are of the tallies: weeks, cases of weeks, cases, mix-ups, coverage and its rows, the instrument.
    assert n_statements(send, first=BEFORE, second=(45, n)) == 55


@pytest.mark.parametrize("n", [1, 40])
def test_a_log_by_a_program(member, n: int):
    client = program(member, "upload")

    def send(rows):
        return client.post("/api/v1/uploads", {"file": a_file(*rows)})

    assert n_statements(send, first=BEFORE, second=(45, n)) == 56


def test_one_solve_by_a_program(member):
    client, rows = program(member, "upload"), make_rows(2)

    def send(at: int):
        row = rows[at]
        solve = {
            "scramble": row.scramble,
            "time": row.time_ms / 1000,
            "solution": row.solution,
            "turn_ms": row.turn_ms,
            "done_at": row.done_at,
        }
        return post(client, "/api/v1/solves", solve)

    assert n_statements(send, first=0, second=1) == 56
