"""Marks on the axis of one's times: one's own, of days that have been."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError

from logs.errors import NotFoundError
from logs.people.models import Visibility
from logs.progress.models import TimeMark
from logs.progress.selectors import time_mark_list
from logs.progress.services import MAX_MARKS, MAX_WORD, time_mark_add, time_mark_remove
from tests.factories import make_club, make_membership, make_user

pytestmark = pytest.mark.django_db

DAY = date(2026, 3, 1)


def add(user, word: str = "new cube", day: date = DAY) -> TimeMark:
    return time_mark_add(actor=user, day=day, word=word, today=DAY)[0]


def test_a_mark_is_kept_once_with_its_word_tidied():
    user = make_user()
    first = add(user, "  new \n cube ")
    assert (first.day, first.word) == (DAY, "new cube")
    assert add(user) == first
    assert time_mark_list(actor=user, member=user) == [first]


@pytest.mark.parametrize(
    ("word", "day", "told"),
    [
        (" ", DAY, "Give the mark a word"),
        ("x" * (MAX_WORD + 1), DAY, "Use 40 characters at most."),
        ("new cube", date(2026, 3, 2), "That day is to come."),
    ],
)
def test_what_is_no_mark_is_refused_with_the_reason(word: str, day: date, told: str):
    with pytest.raises(ValidationError, match=told):
        add(make_user(), word, day)
    assert not TimeMark.objects.exists()


def test_there_is_an_end_to_marks():
    user = make_user()
    for number in range(MAX_MARKS):
        add(user, f"mark {number}")
    with pytest.raises(ValidationError, match="Remove one first"):
        add(user, "one more")
    assert add(user, "mark 0").word == "mark 0"  # one that is there is no new one


def test_nobody_removes_the_mark_of_another():
    own = add(make_user())
    with pytest.raises(NotFoundError):
        time_mark_remove(actor=make_user(), mark_id=own.pk)
    time_mark_remove(actor=own.member, mark_id=own.pk)
    assert not TimeMark.objects.exists()


def test_marks_are_seen_by_those_who_may_read_the_log():
    club = make_club()
    shown = make_membership(club, visibility=Visibility.CLUB)
    hidden = make_membership(club, visibility=Visibility.ONLY_ME)
    reader = make_membership(club).user
    mark = add(shown.user)
    add(hidden.user)
    assert time_mark_list(actor=reader, member=shown.user) == [mark]
    with pytest.raises(NotFoundError):
        time_mark_list(actor=reader, member=hidden.user)
