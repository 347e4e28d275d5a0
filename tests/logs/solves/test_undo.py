"""Taking back, putting back, correcting, deleting, completing: one act at a time."""

from datetime import timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from cubecore.rows import Penalty
from logs.errors import ConflictError, NotFoundError, UploadRejectedError
from logs.intake.mapping import DateOrder, Role
from logs.intake.source import SourceFile
from logs.jobs.models import Job
from logs.jobs.selectors import job_list
from logs.people.models import AuditEvent
from logs.privacy.report.export import account_copy, log_lines
from logs.solves.models.kept_rows import KeptRow, SolveChange
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload, UploadDraft
from logs.solves.selectors.solves import set_aside_list, upload_list
from logs.solves.selectors.undo import deleted_list, on_hold_list, taken_back_list
from logs.solves.services.corrections import (
    Choice,
    row_decide,
    rows_decide,
    solve_correct,
    solve_delete,
    solve_put_back,
)
from logs.solves.services.drafts import draft_add, draft_answer, draft_import, draft_read_again
from logs.solves.services.undo import upload_put_back, upload_take_back, uploads_purge
from logs.solves.services.uploads import set_aside_mend
from logs.tasks import execute, sweep
from tests.factories import (
    LAST_PAIR,
    NOW,
    SENT_AT,
    SUNE,
    T_PERM,
    make_csv,
    make_row,
    make_rows,
    make_upload,
    make_user,
)
from tests.logs.solves import recount

UTC = ZoneInfo("UTC")
LATER = SENT_AT + timedelta(days=1)
TWO_WEEKS = timedelta(days=14)
FULL = make_row(LAST_PAIR, SUNE, T_PERM)
pytestmark = pytest.mark.django_db


def correct(member, solve: Solve, **values: object) -> Solve:
    return solve_correct(actor=member, solve_id=solve.pk, values=values, time_zone=UTC, now=LATER)


def says(solve: Solve) -> tuple[bool, bool, bool, str]:
    """Whether a solve has a solution, turn times and a date; its penalty."""
    solve.refresh_from_db()
    return bool(solve.solution), bool(solve.turn_ms), solve.done_at is not None, solve.penalty


def bare(**more: Any):
    """The full row without its turns."""
    row = make_row(LAST_PAIR, SUNE, T_PERM, is_timed=False, **more)
    return row._replace(solution=None)


class TestTakingBack:
    def test_nothing_of_it_is_left_where_anything_is_read(self):
        member = make_user()
        stays = make_upload(member, make_rows(2))
        goes = make_upload(
            member,
            content=make_csv([make_row(SUNE, note="goes", done_at=NOW - timedelta(days=1))])
            + b"2026-03-01T13:00:00Z,R U,,,,,broken\r\n",
        )
        upload_take_back(actor=member, upload_id=goes.pk, now=LATER)
        assert [upload.pk for upload in upload_list(actor=member)] == [stays.pk]
        assert Solve.objects.filter(upload=goes).count() == 0
        assert Sighting.objects.filter(member=member).count() == 4
        assert set_aside_list(actor=member) == []
        assert "goes" not in "".join(log_lines(actor=member))
        assert [job.upload_id for job in job_list(actor=member)] == [stays.pk]
        recount.check(member)
        with pytest.raises(NotFoundError):
            upload_take_back(actor=member, upload_id=goes.pk, now=LATER)

    def test_put_back_it_is_as_it_was_with_the_same_numbers(self):
        member = make_user()
        upload = make_upload(member, make_rows(3))
        solve = Solve.objects.earliest("done_at")
        correct(member, solve, note="mine", penalty="DNF")
        before = list(Solve.objects.order_by("pk").values())
        counts = Upload.objects.values().get()
        upload_take_back(actor=member, upload_id=upload.pk, now=LATER)
        assert not Solve.objects.exists()
        upload_put_back(actor=member, upload_id=upload.pk, now=LATER + TWO_WEEKS - timedelta(1))
        assert list(Solve.objects.order_by("pk").values()) == before
        assert Upload.objects.values().get() == counts
        assert not KeptRow.objects.exists()
        recount.check(member)

    def test_what_another_file_has_stays_as_that_file_has_it(self):
        member = make_user()
        first = make_upload(member, [FULL, *make_rows(1, SUNE)])
        make_upload(member, [bare()])
        upload_take_back(actor=member, upload_id=first.pk, now=LATER)
        solve = Solve.objects.get()
        assert says(solve) == (False, False, True, "")
        upload_put_back(actor=member, upload_id=first.pk, now=LATER)
        assert sorted(map(says, Solve.objects.all())) == [
            (True, True, True, ""),
            (True, True, True, ""),
        ]
        recount.check(member)

    def test_after_two_weeks_it_is_gone_with_its_bytes_and_its_history(self):
        member = make_user()
        upload = make_upload(member, [make_row(note="secret")])
        correct(member, Solve.objects.get(), note="word")
        upload_take_back(actor=member, upload_id=upload.pk, now=LATER)
        sweep(now=LATER + TWO_WEEKS - timedelta(seconds=1))
        assert Upload.all_uploads.count() == KeptRow.objects.count() == 1
        assert taken_back_list(actor=member, now=LATER + TWO_WEEKS) == []
        with pytest.raises(NotFoundError):
            upload_put_back(actor=member, upload_id=upload.pk, now=LATER + TWO_WEEKS)
        uploads_purge(now=LATER + TWO_WEEKS)
        for model in (Upload, KeptRow, SolveChange, Job):
            assert not model._base_manager.exists()

    def test_the_same_file_may_be_sent_again_and_then_the_old_one_cannot_come_back(self):
        member = make_user()
        old = make_upload(member, make_rows(2))
        upload_take_back(actor=member, upload_id=old.pk, now=LATER)
        new = make_upload(member, make_rows(2))
        assert (new.is_repeat, new.n_taken) == (False, 2)
        with pytest.raises(ConflictError, match="sent this very file again"):
            upload_put_back(actor=member, upload_id=old.pk, now=LATER)

    def test_one_that_was_being_read_goes_on_from_there_when_it_is_put_back(self):
        member = make_user()
        upload = make_upload(member, make_rows(3))
        Job.objects.update(status="queued", ended_at=None, n_total=3)
        upload_take_back(actor=member, upload_id=upload.pk, now=LATER)
        assert Job.objects.get().status == "cancelled"
        assert not execute(Job.objects.get().pk, worker="late")
        upload_put_back(actor=member, upload_id=upload.pk, now=LATER, inline_rows=0)
        assert Solve.objects.count() == 0
        assert execute(Job.objects.get().pk, worker="one")
        assert Solve.objects.count() == 3
        assert Job.objects.get().status == "done"

    def test_old_uploads_whose_doubles_were_not_kept_lose_none(self):
        member = make_user()
        first = make_upload(member, make_rows(2))
        make_upload(member, make_rows(3))
        KeptRow.objects.all().delete()  # as before such rows were kept
        upload_take_back(actor=member, upload_id=first.pk, now=LATER)
        assert Solve.objects.count() == 3


class TestSentAgain:
    @pytest.mark.parametrize("order", [(0, 1), (1, 0)])
    def test_a_row_with_more_completes_the_solve_that_is_there(self, order):
        member = make_user()
        rows = [bare(done_at=None), FULL]
        for number in order:
            upload = make_upload(member, [rows[number]])
        assert says(Solve.objects.get()) == (True, True, True, "")
        assert Solve.objects.get().sightings.count() == 2
        assert (upload.n_taken, upload.n_completed, upload.n_doubled) == (0, *order[::-1])
        recount.check(member)

    def test_turn_times_and_a_note_are_more_too(self):
        member = make_user()
        make_upload(member, [make_row(LAST_PAIR, SUNE, T_PERM, is_timed=False)])
        upload = make_upload(member, [make_row(LAST_PAIR, SUNE, T_PERM, note="why")])
        solve = Solve.objects.get()
        assert (solve.note, says(solve), upload.n_completed) == ("why", (True, True, True, ""), 1)
        assert solve.f2l_ms is not None

    def test_taken_back_it_leaves_the_solve_as_it_was_before(self):
        member = make_user()
        make_upload(member, [bare(done_at=None)])
        more = make_upload(member, [FULL])
        upload_take_back(actor=member, upload_id=more.pk, now=LATER)
        assert says(Solve.objects.get()) == (False, False, False, "")
        assert not Sighting.objects.exists()
        recount.check(member)

    @pytest.mark.parametrize(
        ("choice", "log"),
        [
            (Choice.LOG, [(True, True, True, "")]),
            (Choice.ROW, [(True, True, True, "+2")]),
            (Choice.BOTH, [(True, True, True, ""), (True, True, True, "+2")]),
        ],
    )
    def test_a_row_that_contradicts_waits_and_then_it_is_as_decided(self, choice, log):
        member = make_user()
        make_upload(member, [FULL])
        other = make_row(LAST_PAIR, SUNE, T_PERM, penalty=Penalty.PLUS_TWO)
        upload = make_upload(member, [other])
        assert (upload.n_rows, upload.n_on_hold, Solve.objects.count()) == (1, 1, 1)
        (row,) = on_hold_list(actor=member)
        row_decide(actor=member, row_id=row.pk, choice=choice, now=LATER)
        assert sorted(map(says, Solve.objects.all())) == log
        assert not on_hold_list(actor=member)
        again = make_upload(member, [other, *make_rows(1, SUNE)])  # it is not asked again
        assert (again.n_on_hold, again.n_doubled, again.n_taken) == (0, 1, 1)
        recount.check(member)

    def test_all_rows_of_an_upload_are_decided_at_once(self):
        member = make_user()
        make_upload(member, make_rows(3))
        others = [
            make_row(penalty=Penalty.DNF, done_at=NOW + timedelta(minutes=place))
            for place in range(3)
        ]
        upload = make_upload(member, others)
        assert upload.n_on_hold == 3
        rows_decide(actor=member, upload_id=upload.pk, choice=Choice.ROW, now=LATER)
        assert set(Solve.objects.values_list("penalty", flat=True)) == {"DNF"}
        upload.refresh_from_db()
        assert (upload.n_on_hold, upload.n_completed) == (0, 3)

    def test_two_dates_are_two_solves_and_rows_of_one_file_too(self):
        member = make_user()
        make_upload(member, make_rows(2))
        upload = make_upload(member, [bare(done_at=NOW - timedelta(days=1)), bare(done_at=None)])
        assert (upload.n_taken, upload.n_doubled, Solve.objects.count()) == (1, 1, 3)


class TestByHand:
    def test_a_corrected_solve_has_new_labels_and_keeps_what_it_was(self):
        member = make_user()
        make_upload(member, [FULL])
        solve = Solve.objects.get()
        correct(member, solve, penalty="+2", done_at="2026-02-01T10:00:00Z", note="late")
        assert (says(solve), solve.status, solve.note) == (
            (True, True, True, "+2"),
            "plus_two",
            "late",
        )
        correct(member, solve, note="")
        changes = list(SolveChange.objects.order_by("id"))
        assert [change.before.get("penalty") for change in changes] == ["", None]
        assert changes[0].after["done_at"] == "2026-02-01T10:00:00+00:00"
        recount.check(member)

    def test_times_of_turns_that_do_not_fit_the_turns_any_more_go(self):
        member = make_user()
        make_upload(member, [FULL])
        solve = Solve.objects.get()
        correct(member, solve, solution=f"{LAST_PAIR} {SUNE} {T_PERM} U U'")
        assert says(solve) == (True, False, True, "")

    def test_what_cannot_be_taken_changes_nothing(self):
        member = make_user()
        make_upload(member, [FULL])
        solve = Solve.objects.get()
        for values in ({"solution": "R"}, {"time": "soon"}, {"done_at": "1 May"}, {"note": "\x00"}):
            with pytest.raises(UploadRejectedError):
                correct(member, solve, **values)
        assert says(solve) == (True, True, True, "")
        assert not SolveChange.objects.exists()

    def test_the_file_sent_again_does_not_bring_back_what_was_corrected_or_deleted(self):
        member = make_user()
        make_upload(member, make_rows(2))
        first, second = Solve.objects.order_by("done_at")
        correct(member, first, penalty="DNF")
        solve_delete(actor=member, solve_id=second.pk, now=LATER)
        upload = make_upload(member, make_rows(3))
        assert (upload.n_taken, upload.n_doubled) == (1, 2)
        assert sorted(Solve.objects.values_list("penalty", flat=True)) == ["", "DNF"]
        solve_put_back(actor=member, solve_id=second.pk, now=LATER)
        assert Solve.objects.get(pk=second.pk).sightings.count() == 2
        assert not deleted_list(actor=member)
        recount.check(member)

    def test_it_is_in_the_trail_by_numbers_alone(self):
        member = make_user()
        upload = make_upload(member, [make_row(note="secret")])
        solve = Solve.objects.get()
        correct(member, solve, note="other secret")
        solve_delete(actor=member, solve_id=solve.pk, now=LATER)
        upload_take_back(actor=member, upload_id=upload.pk, now=LATER)
        events = AuditEvent.objects.filter(member=member).order_by("id")
        assert [(event.verb, event.detail) for event in events] == [
            ("solve_correct", {"solve": solve.pk}),
            ("solve_delete", {"solve": solve.pk}),
            ("upload_take_back", {"upload": upload.pk}),
        ]

    def test_the_copy_of_what_is_kept_has_it_all(self):
        member = make_user()
        upload = make_upload(member, [make_row(note="first word")])
        correct(member, Solve.objects.get(), note="second word")
        upload_take_back(actor=member, upload_id=upload.pk, now=LATER)
        copy = account_copy(actor=member)
        assert copy["uploads"][0]["taken_back_at"]
        assert copy["uploads"][0]["rows_beside_the_log"][0]["sent"]["note"] == "first word"
        assert copy["solves_changed"][0]["after"] == {"note": "second word"}

    def test_nobody_else_can_do_any_of_it(self):
        member, other = make_user(), make_user()
        upload = make_upload(member, [FULL])
        make_upload(member, [make_row(LAST_PAIR, SUNE, T_PERM, penalty=Penalty.DNF)])
        solve = Solve.objects.get()
        row = KeptRow.objects.get()
        acts = [
            lambda: upload_take_back(actor=other, upload_id=upload.pk, now=LATER),
            lambda: draft_read_again(actor=other, upload_id=upload.pk, now=LATER),
            lambda: solve_delete(actor=other, solve_id=solve.pk, now=LATER),
            lambda: correct(other, solve, note="x"),
            lambda: row_decide(actor=other, row_id=row.pk, choice=Choice.ROW, now=LATER),
        ]
        for act in acts:
            with pytest.raises(NotFoundError):
                act()


DATED = b"""scramble;time;when\r
R U F;12,34;03/04/2026 10:00\r
R U2 F;9,87;05/04/2026 10:00\r
"""


def test_a_log_is_read_again_another_way_and_the_first_reading_can_come_back():
    member = make_user()
    draft = draft_add(actor=member, source=SourceFile(DATED), file_name="log.csv", now=SENT_AT)
    first = _add(member, draft, DateOrder.DAY_FIRST)
    assert months() == {4}
    again = draft_read_again(actor=member, upload_id=first.pk, now=LATER)
    second = _add(member, again, DateOrder.MONTH_FIRST)
    assert months() == {3, 5}
    assert [upload.pk for upload in taken_back_list(actor=member, now=LATER)] == [first.pk]
    upload_take_back(actor=member, upload_id=second.pk, now=LATER)
    upload_put_back(actor=member, upload_id=first.pk, now=LATER)
    assert months() == {4}


def _add(member, draft: UploadDraft, order: DateOrder) -> Upload:
    """The upload that a waiting file becomes, its dates read so."""
    draft_answer(
        actor=member,
        draft_id=draft.pk,
        roles=[Role.SCRAMBLE, Role.TIME, Role.DONE_AT],
        answers={"date_order": order},
        now=LATER,
    )
    return draft_import(actor=member, draft_id=draft.pk, time_zone=UTC, now=LATER, inline_rows=100)


def months() -> set[int]:
    """The months that solves of the log are in."""
    return {solve.done_at.month for solve in Solve.objects.all() if solve.done_at is not None}


def test_a_row_that_was_mended_comes_back_with_the_rest():
    member = make_user()
    content = make_csv(make_rows(1)) + b"2026-03-01T13:00:00Z,R U,,,,,broken\r\n"
    upload = make_upload(member, content=content)
    (aside,) = SetAsideRow.objects.all()
    mended = "2026-03-01T13:00:00Z,R U,7.5,,,,broken"
    set_aside_mend(actor=member, set_aside_id=aside.pk, text=mended, now=LATER)
    upload_take_back(actor=member, upload_id=upload.pk, now=LATER)
    upload_put_back(actor=member, upload_id=upload.pk, now=LATER)
    assert Solve.objects.filter(note="broken").count() == 1
    upload.refresh_from_db()
    assert (upload.n_taken, upload.n_set_aside, upload.n_rows) == (2, 0, 2)


def test_a_row_that_comes_back_as_a_solve_does_not_take_the_number_of_one_that_was_deleted():
    member = make_user()
    make_upload(member, [make_row(done_at=None, penalty=Penalty.PLUS_TWO)])
    other = make_upload(member, [make_row()])  # it contradicts the first: on hold
    deleted = Solve.objects.get()
    solve_delete(actor=member, solve_id=deleted.pk, now=LATER)
    upload_take_back(actor=member, upload_id=other.pk, now=LATER)
    upload_put_back(actor=member, upload_id=other.pk, now=LATER)
    assert Solve.objects.get().pk != deleted.pk
    solve_put_back(actor=member, solve_id=deleted.pk, now=LATER)
    assert sorted(Solve.objects.values_list("penalty", flat=True)) == ["", "+2"]
    assert Solve.objects.get(penalty="+2").pk == deleted.pk
