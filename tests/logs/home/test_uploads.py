"""What an upload meant, of logs whose every case is known because it was really turned."""

from datetime import timedelta

import pytest
from django.test import Client

from cubecore.rows import Row
from logs.errors import NotFoundError
from logs.home.report.uploads import UploadMeaning, upload_meaning
from logs.people.models import Membership
from logs.solves.models.solves import Upload
from tests.desk import CASE_27, CASE_40, CASE_T, DAY, make_homework, make_team, solves
from tests.factories import (
    LAST_PAIR,
    NOW,
    SENT_AT,
    SUNE,
    T_PERM,
    make_row,
    make_rows,
    make_upload,
    make_user,
)
from tests.logs.api.test_answers import program

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"  # OLL 26
MISTAKEN = (LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)


def meaning(member: Membership, upload: Upload) -> UploadMeaning:
    return upload_meaning(actor=member.user, upload_id=upload.pk, now=SENT_AT + DAY)


def page(member: Membership, upload: Upload) -> str:
    client = Client()
    client.force_login(member.user)
    text = client.get(f"/uploads/{upload.pk}/").text
    return " ".join(text[text.index("<main") :].split())


def test_homework_that_came_up_is_told_with_how_it_went():
    _, coach, (wren,) = make_team(1)
    make_homework(coach, [wren], (CASE_40, CASE_27))
    upload = make_upload(wren.user, [*solves("011"), make_row(done_at=NOW + 2 * DAY)])
    told = meaning(wren, upload)
    assert [(one.case.code, one.n, one.n_one_look) for one in told.homework] == [
        ("oll-40", 3, 2),
        ("oll-27", 1, 1),
    ]
    assert "2 homework cases came up, 1 in one look." in page(wren, upload)
    sent = program(wren.user).get(f"/api/v1/uploads/{upload.pk}/meaning").json()
    first = {"code": "oll-40", "title": "OLL 40 Big lightning"}
    assert {name: sent["homework"][0][name] for name in ("n", "n_one_look")} == {
        "n": 3,
        "n_one_look": 2,
    }
    assert sent["homework"][0]["case"] == first
    assert (sent["again"], sent["first"]) == ([], [])


def test_solves_from_before_it_was_asked_and_without_a_date_are_not_its():
    _, coach, (wren,) = make_team(1)
    make_homework(coach, [wren], (CASE_27,), now=NOW + DAY)
    upload = make_upload(wren.user, [make_row(), make_row(done_at=None)])
    assert meaning(wren, upload).homework == ()
    assert "What it meant" not in page(wren, upload)


def test_a_case_in_two_homeworks_is_told_once():
    _, coach, (wren,) = make_team(1)
    for _ in range(2):
        make_homework(coach, [wren], (CASE_40,))
    told = meaning(wren, make_upload(wren.user, solves("1")))
    assert [(one.case.code, one.n) for one in told.homework] == [("oll-40", 1)]
    assert "1 homework case came up, in one look." in page(
        wren, make_upload(wren.user, solves("1", start=NOW + 3 * DAY))
    )


def test_homework_that_did_not_come_up_is_not_told_as_anything():
    _, coach, (wren,) = make_team(1)
    make_homework(coach, [wren], (CASE_T,))
    upload = make_upload(wren.user, [make_row(LAST_PAIR, SUNE, done_at=NOW + DAY)])
    assert meaning(wren, upload).homework == ()


def test_a_first_time_in_one_look_is_told_once_and_only_of_a_case_met_before():
    _, _, (wren,) = make_team(1)
    first = make_upload(wren.user, solves("00", start=NOW))
    second = make_upload(wren.user, solves("01", start=NOW + DAY))
    third = make_upload(wren.user, solves("1", start=NOW + 2 * DAY))
    # In the first log T and Sune are new too, but then all is: that is no finding.
    assert meaning(wren, first).first == ()
    assert [case.title for case in meaning(wren, second).first] == ["OLL 40 Big lightning"]
    assert meaning(wren, third).first == ()
    assert "First time in one look:" in page(wren, second)


def known_then(rows: list[Row]) -> list[Row]:
    """OLL 27 known well, then these rows."""
    return [*make_rows(12), *rows]


def mistaken(n: int, *, start: timedelta) -> list[Row]:
    return [make_row(*MISTAKEN, done_at=NOW + start + timedelta(minutes=i)) for i in range(n)]


def test_a_mix_up_is_told_where_it_is_known_of_the_member_and_happened_again():
    _, _, (wren,) = make_team(1)
    before = make_upload(wren.user, known_then(mistaken(6, start=DAY)))
    again = make_upload(wren.user, mistaken(2, start=2 * DAY))
    other = make_upload(wren.user, make_rows(2, LAST_PAIR, SUNE)[:1])
    assert meaning(wren, before).again == ()  # all of it is in this one: nothing is again
    assert [(one.case.number, one.done.number, one.n) for one in meaning(wren, again).again] == [
        ("27", "26", 2)
    ]
    assert "OLL 27 Sune</a> again as OLL 26 Antisune" in page(wren, again)
    assert meaning(wren, other).again == ()


def test_an_upload_of_somebody_else_is_not_there():
    _, _, (wren,) = make_team(1)
    upload = make_upload(wren.user)
    with pytest.raises(NotFoundError):
        upload_meaning(actor=make_user(), upload_id=upload.pk, now=SENT_AT)
