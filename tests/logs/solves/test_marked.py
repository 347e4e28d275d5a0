"""Rows with five marks in the log: stored, labelled, labelled anew, completed, corrected, sent on.

The turns and their times are those of `factories.make_row`; what marks may say is stated in README.md.
"""

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from cubecore.rows import Marks, Row, TimedBy
from logs.intake.formats import format_json_line
from logs.solves.models.kept_rows import Fate
from logs.solves.models.solves import Sighting, Solve
from logs.solves.services.corrections import solve_correct
from logs.solves.services.relabel import solve_relabel
from logs.solves.services.sent import adds, completed, contradictions, sent_of
from tests.factories import (
    NOW,
    make_client,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db
LOG = make_row()
assert LOG.turn_ms is not None
# 3 turns of the pair, 7 of OLL 27, 14 of the T permutation
MARKS = Marks._make(LOG.turn_ms[n] for n in (2, 3, 9, 10, 23))
MARKED = LOG._replace(turn_ms=None, mark_ms=MARKS, timed_by=TimedBy.HAND, step_ms=10)


def splits() -> list[tuple[int | None, ...]]:
    names = ("stage_ms", "recognition_ms", "execution_ms")
    return list(Sighting.objects.order_by("stage").values_list(*names))


def send(row: Row, member=None, *, as_json: bool = False) -> Solve:
    content = format_json_line(row).encode() if as_json else make_csv([row])
    make_upload(member or make_user(), content=content)
    return Solve.objects.order_by("-pk")[0]


@pytest.mark.parametrize("as_json", [False, True])
def test_marks_give_the_splits_that_turn_times_give(as_json):
    send(LOG)
    expected = splits()
    Sighting.objects.all().delete()
    solve = send(MARKED, as_json=as_json)
    assert splits() == expected
    assert None not in expected[0]
    assert (solve.f2l_ms, solve.cross_ms) == (MARKS.f2l, 0)
    assert (solve.mark_ms, solve.timed_by, solve.step_ms) == (" ".join(map(str, MARKS)), "hand", 10)


def test_labels_made_anew_are_the_same():
    send(MARKED)
    expected = splits()
    assert solve_relabel().n_changed == 0
    Sighting.objects.update(recognition_ms=None, execution_ms=None)
    assert solve_relabel().n_changed == 1
    assert splits() == expected


def test_marks_that_contradict_the_turns_set_the_row_aside():
    upload = make_upload(
        make_user(), [MARKED._replace(mark_ms=MARKS._replace(oll_turn=None, oll=None))]
    )
    assert (upload.n_taken, upload.n_set_aside) == (0, 1)
    aside = upload.set_aside_rows.get()
    assert (aside.code, aside.field) == ("mark_missing", "mark_ms")


def test_marks_complete_a_solve_and_turn_times_outdo_them():
    member = make_user()
    send(LOG._replace(turn_ms=None), member)
    second = make_upload(member, [MARKED])
    assert second.n_completed == 1
    assert Solve.objects.get().mark_ms
    third = make_upload(member, [LOG])
    assert third.n_completed == 1
    solve = Solve.objects.get()
    assert (solve.mark_ms, bool(solve.turn_ms), solve.timed_by) == ("", True, "")
    fourth = make_upload(member, [MARKED._replace(note="again")])
    assert fourth.kept_rows.get().fate in (Fate.COMPLETES, Fate.DOUBLED)
    assert Solve.objects.get().turn_ms


def test_other_marks_of_the_same_solve_contradict_it():
    member = make_user()
    old = sent_of(send(MARKED, member))
    new = replace(old, mark_ms="- - - - 400")
    assert contradictions(old, new) == ("mark_ms",)
    assert not adds(old, replace(old, turn_ms="", note=""))
    assert completed(replace(old, timed_by=""), old) == old


def test_a_new_time_leaves_marks_that_fit_no_longer_behind():
    solve = send(MARKED)
    corrected = solve_correct(
        actor=solve.member,
        solve_id=solve.pk,
        values={"time": "2.00"},
        time_zone=ZoneInfo("UTC"),
        now=NOW,
    )
    assert (corrected.mark_ms, corrected.f2l_ms) == ("", None)


def test_the_page_of_a_solve_shows_nothing_finer_than_the_instrument():
    member = make_membership(make_club())
    solve = send(MARKED._replace(timed_by=TimedBy.VIDEO, step_ms=33), member.user)
    page = make_client(member).get(f"/solves/{solve.pk}/").content.decode()
    assert "Timed from a video, in steps of 33 ms." in page
    assert "five marks in the place of turn times" in page
    # 1,500 ms of recognition by the factory's ten gaps of 150 ms
    assert '<td class="num">1.5</td>' in page
    assert '<td class="num">1.50</td>' not in page
