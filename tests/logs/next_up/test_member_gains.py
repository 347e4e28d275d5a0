"""Gains are kept until the log or the book changes, and never shown for another log."""

import pandas as pd
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from cubecore.book import Book, default_book
from cubecore.cases import CASES
from cubecore.descriptions import describe
from logs.algorithms.selectors import book_of_member
from logs.cases.facts import code_of, turns_by_code
from logs.next_up.gains import gains, member_gains, ranked
from logs.next_up.selectors import next_up_frame, two_look_frame
from logs.progress.services import figures_key
from tests.desk import DAY, make_team, solves
from tests.factories import NOW, make_upload

pytestmark = pytest.mark.django_db


@pytest.fixture
def learner():
    _, _, members = make_team()
    make_upload(members[0].user, solves("00110"))
    return members[0].user


def worked_out(user):
    return gains(
        next_up_frame(actor=user, members=[user]),
        two_look_frame(actor=user, members=[user]),
        book_of_member(member=user),
    )


def test_what_is_kept_is_what_is_worked_out(learner):
    fresh = worked_out(learner)
    for _ in range(2):
        (kept,) = member_gains(actor=learner, members=[learner])
        pd.testing.assert_frame_equal(
            kept.table, fresh.table, check_names=False, check_index_type=False, check_dtype=False
        )
        assert kept.candidates == fresh.candidates
        assert kept.one_look == fresh.one_look
        assert kept.n_sightings == fresh.n_sightings
        assert list(ranked(kept).table.index) == list(ranked(fresh).table.index)


def test_the_log_is_read_once_and_anew_after_an_upload(learner):
    def n_reads():
        with CaptureQueriesContext(connection) as queries:
            (found,) = member_gains(actor=learner, members=[learner])
        return sum("logs_sighting" in one["sql"] for one in queries), found.n_sightings

    n_sightings = worked_out(learner).n_sightings
    assert n_reads() == (2, n_sightings)
    assert n_reads() == (0, n_sightings)
    _, _, others = make_team()
    make_upload(others[0].user, solves("1"))
    assert n_reads() == (0, n_sightings)  # somebody else's upload
    make_upload(learner, solves("11", start=NOW + 3 * DAY))
    assert n_reads() == (2, worked_out(learner).n_sightings)
    assert n_reads()[1] > n_sightings


def test_another_first_algorithm_of_a_case_makes_another_list():
    """The version of a book does not tell in which order its algorithms stand."""
    case = next(case for case in CASES if len(default_book().algorithms(case)) > 1)
    first, second = default_book().algorithms(case)[:2]
    turned = Book([second, first])
    assert turned.version == Book([first, second]).version
    keys = {figures_key(log_version=1, book=book) for book in (turned, Book([first, second]))}
    assert len(keys) == 2
    assert turns_by_code(turned)[code_of(case)] == describe(second.text).metrics.htm
    assert turns_by_code(turned)["pll-T"] == turns_by_code()["pll-T"]  # left out: the standard's
