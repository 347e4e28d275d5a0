"""Uploads and set-aside rows are their member's alone, coaches included."""

from datetime import timedelta
from pathlib import Path

import pytest

from logs.errors import NotFoundError
from logs.intake.formats import guard_line
from logs.people.models import Role, Visibility
from logs.solves.models.solves import Upload
from logs.solves.selectors.solves import (
    set_aside_get,
    set_aside_list,
    set_aside_text,
    upload_get,
    upload_list,
)
from logs.solves.services.uploads import set_aside_mend
from tests.factories import (
    NOW,
    SENT_AT,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_upload,
    make_user,
)

BROKEN = Path(__file__).parents[3] / "fixtures" / "uploads" / "broken"
pytestmark = pytest.mark.django_db


def _broken(member, name: str, **more) -> Upload:
    return make_upload(member, content=(BROKEN / name).read_bytes(), **more)


def test_uploads_come_newest_first_without_their_bytes():
    member = make_user()
    first = make_upload(member)
    second = _broken(member, "times.csv", now=SENT_AT + timedelta(hours=1))
    shown = upload_list(actor=member)
    assert shown == [second, first]
    assert "content" in shown[0].get_deferred_fields()


def test_rows_wait_in_the_order_of_their_file_until_they_are_mended():
    member = make_user()
    upload = _broken(member, "penalties.csv")
    assert [row.line for row in set_aside_list(actor=member, upload=upload)] == [3, 4, 6]
    first = set_aside_list(actor=member)[0]
    good = make_csv([make_row()]).decode().split("\r\n")[1]
    set_aside_mend(actor=member, set_aside_id=first.pk, text=good, now=NOW)
    assert [row.line for row in set_aside_list(actor=member)] == [4, 6]
    assert set_aside_get(actor=member, set_aside_id=first.pk).mended_at == NOW


def test_a_list_of_set_aside_rows_is_one_query(django_assert_num_queries):
    member = make_user()
    for name in ("times.csv", "objects.jsonl", "cells.csv"):
        _broken(member, name)
    with django_assert_num_queries(1):
        rows = set_aside_list(actor=member)
        assert {row.upload.file_name for row in rows} == {"log.csv"}
    assert len(rows) == 8 + 13 + 2


@pytest.mark.parametrize("name", ["times.csv", "quotes.csv", "objects.jsonl"])
def test_the_file_of_set_aside_rows_sent_again_is_set_aside_for_the_same_reasons(name):
    member, other = make_user(), make_user()
    upload = _broken(member, name)
    again = make_upload(other, content=set_aside_text(actor=member, upload=upload).encode())
    assert (again.n_taken, again.n_set_aside) == (0, upload.n_set_aside)

    def reasons(who):
        return [(row.code, row.field) for row in set_aside_list(actor=who)]

    assert reasons(other) == reasons(member)
    # The texts too; a cell that a spreadsheet would run has its guard, and gets no second one.
    sent = [row.text for row in set_aside_list(actor=member)]
    is_table = name.endswith(".csv")
    assert [row.text for row in set_aside_list(actor=other)] == (
        [guard_line(text) for text in sent] if is_table else sent
    )


def test_uploads_are_not_there_for_anybody_else():
    club = make_club()
    member = make_membership(club, visibility=Visibility.CLUB).user
    upload = _broken(member, "times.csv")
    aside = upload.set_aside_rows.earliest("line")
    for actor in (make_membership(club, role=Role.COACH).user, make_user()):
        assert upload_list(actor=actor) == []
        assert set_aside_list(actor=actor) == []
        with pytest.raises(NotFoundError, match=r"^There is no such upload\.$"):
            upload_get(actor=actor, upload_id=upload.pk)
        with pytest.raises(NotFoundError, match=r"^There is no such upload\.$"):
            set_aside_list(actor=actor, upload=upload)
        with pytest.raises(NotFoundError, match=r"^There is no such upload\.$"):
            set_aside_text(actor=actor, upload=upload)
        with pytest.raises(NotFoundError, match=r"^There is no such set-aside row\.$"):
            set_aside_get(actor=actor, set_aside_id=aside.pk)
    assert upload_get(actor=member, upload_id=upload.pk) == upload


def test_a_locked_account_reads_nothing():
    member = make_user(is_active=False)
    upload = _broken(member, "times.csv")
    assert upload_list(actor=member) == []
    with pytest.raises(NotFoundError):
        set_aside_list(actor=member, upload=upload)
