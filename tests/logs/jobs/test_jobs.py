"""A job has one holder at a time, goes on where it stood, and says what it cannot do."""

from collections import Counter
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.db import IntegrityError, transaction
from django.utils import timezone

from logs.errors import ConflictError, NotFoundError
from logs.intake.source import SourceFile
from logs.jobs.models import Job
from logs.jobs.services import (
    LEASE,
    MAX_ATTEMPTS,
    REDELIVER_AFTER,
    LeaseLostError,
    job_cancel,
    job_claim,
    job_claim_next,
    job_hold,
    job_resume,
    jobs_let_go,
    jobs_sweep,
)
from logs.people.models import Role
from logs.solves.models.solves import SetAsideRow, Solve, Upload
from logs.solves.services import ingest as ingest_module
from logs.solves.services.uploads import set_aside_mend, upload_import
from logs.tasks import execute, execute_next
from tests.factories import (
    NOW,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db
BAD_LINE = b"2026-03-01T13:00:00Z,R U,12.34,,U',,\r\n"
MENDED = "2026-03-01T13:00:00Z,R U,12.34,,U' R',,"


def queue(content: bytes, member=None) -> Job:
    """The job of a file that is left to a worker."""
    upload = upload_import(
        member=member or make_user(),
        source=SourceFile(content),
        file_name="log.csv",
        time_zone=ZoneInfo("UTC"),
        now=NOW,
        inline_rows=0,
    )
    return Job.objects.get(upload=upload)


def stop_after(n_chunks: int):
    """An answer to whether the worker stops: no, so many times, and yes from then on."""
    left = iter([False] * n_chunks)
    return lambda: next(left, True)


@pytest.fixture
def small_chunks(monkeypatch):
    monkeypatch.setattr(ingest_module, "CHUNK", 2)


def test_a_job_is_held_by_one_worker_until_its_lease_ends():
    job, now = queue(make_csv(make_rows(1))), timezone.now()
    first = job_claim(job.pk, worker="a", now=now)
    assert first is not None
    assert job_claim(job.pk, worker="b", now=now + LEASE) is None
    assert job_claim_next(worker="b", now=now + LEASE) is None
    second = job_claim_next(worker="b", now=now + LEASE + timedelta(seconds=1))
    assert second is not None
    with transaction.atomic():
        job_hold(second)
        with pytest.raises(LeaseLostError):
            job_hold(first)


def test_what_a_dead_worker_held_is_free_at_once_and_nothing_else():
    for name in ("host-1", "host-12"):
        job_claim(queue(make_csv(make_rows(1))).pk, worker=name, now=NOW)
    assert jobs_let_go(worker="host-1") == 1
    assert sorted(Job.objects.values_list("status", flat=True)) == ["queued", "running"]


def test_a_job_that_never_gets_on_is_given_up_with_words_and_can_be_tried_again():
    job, now = queue(make_csv(make_rows(1))), timezone.now()
    for number in range(MAX_ATTEMPTS):
        assert job_claim(job.pk, worker="a", now=now + 2 * number * LEASE)
    late = now + 2 * MAX_ATTEMPTS * LEASE
    assert job_claim(job.pk, worker="a", now=late) is None
    jobs_sweep(now=late)
    job.refresh_from_db()
    assert (job.status, job.error_code) == ("failed", "stuck")
    assert job.error_message.startswith("It was begun 5 times without getting on")
    assert job.member is not None
    job_resume(actor=job.member, job_id=job.pk, now=late)
    assert execute(job.pk, worker="a")
    assert Solve.objects.count() == 1


def test_a_worker_that_stops_lets_the_job_go_and_the_next_goes_on_there(small_chunks):
    job = queue(make_csv(make_rows(5)) + BAD_LINE)
    assert execute(job.pk, worker="a", is_stopping=stop_after(2))
    job.refresh_from_db()
    assert (job.status, job.n_read, job.n_total, job.attempts) == ("queued", 4, 6, 0)
    assert Solve.objects.count() == 4
    assert execute_next(worker="b")
    assert not execute_next(worker="b")
    job.refresh_from_db()
    assert (job.status, job.n_taken, job.n_set_aside) == ("done", 5, 1)
    upload = Upload.objects.get()
    assert (upload.n_rows, upload.n_taken, upload.n_set_aside) == (6, 5, 1)


def test_undated_rows_that_are_alike_are_counted_through_all_chunks(small_chunks):
    row = make_row(done_at=None)
    job = queue(make_csv([row] * 7))
    for _ in range(4):
        execute(job.pk, worker="a", is_stopping=stop_after(1))
    assert Solve.objects.count() == 7
    # The same rows in one go make the same keys: a longer file adds what is new in it.
    assert job.member is not None
    longer = make_upload(job.member, [row] * 8)
    assert (longer.n_taken, longer.n_doubled) == (1, 7)


def test_a_file_taken_in_by_chunks_is_as_one_taken_in_at_once(monkeypatch):
    rows = [*make_rows(6), make_row(done_at=None), *make_rows(3), make_row(done_at=None)]
    content = make_csv(rows) + BAD_LINE
    at_once = make_upload(make_user(), content=content)
    monkeypatch.setattr(ingest_module, "CHUNK", 3)
    by_chunks = make_upload(make_user(), content=content)

    def kept(upload: Upload) -> tuple[object, ...]:
        solves = Solve.objects.filter(upload=upload).order_by("line")
        upload.refresh_from_db()
        counts = (upload.n_rows, upload.n_taken, upload.n_doubled, upload.n_set_aside)
        return *counts, list(solves.values_list("line", "key", "status", "f2l_ms"))

    assert kept(at_once) == kept(by_chunks)
    assert kept(at_once)[:4] == (12, 8, 3, 1)


def test_a_row_mended_while_the_file_is_taken_in_counts_once(small_chunks):
    lines = make_csv(make_rows(5)).split(b"\r\n")
    job = queue(b"\r\n".join([lines[0], BAD_LINE.strip(), *lines[1:]]))
    execute(job.pk, worker="a", is_stopping=stop_after(1))
    assert job.member is not None
    row = SetAsideRow.objects.get()
    set_aside_mend(actor=job.member, set_aside_id=row.pk, text=MENDED, now=NOW)
    execute(job.pk, worker="a")
    upload = Upload.objects.get()
    assert (upload.n_rows, upload.n_taken, upload.n_set_aside) == (6, 6, 0)
    job.refresh_from_db()
    assert (job.n_read, job.n_taken, job.n_set_aside) == (6, 5, 1)


def test_what_was_taken_stays_when_a_job_is_stopped_and_it_can_go_on(small_chunks):
    job = queue(make_csv(make_rows(5)))
    assert job.member is not None
    execute(job.pk, worker="a", is_stopping=stop_after(1))
    lease = job_claim(job.pk, worker="a", now=timezone.now())
    assert lease is not None
    job_cancel(actor=job.member, job_id=job.pk, now=NOW)
    with transaction.atomic(), pytest.raises(LeaseLostError):
        job_hold(lease)
    assert not execute(job.pk, worker="a")
    assert Solve.objects.count() == 2
    with pytest.raises(ConflictError, match="It is over already"):
        job_cancel(actor=job.member, job_id=job.pk, now=NOW)
    job_resume(actor=job.member, job_id=job.pk, now=NOW)
    assert execute(job.pk, worker="a")
    assert Solve.objects.count() == 5
    with pytest.raises(ConflictError, match="It is done, or goes on already"):
        job_resume(actor=job.member, job_id=job.pk, now=NOW)


def test_nobody_stops_another_s_job_not_even_their_coach():
    club = make_club()
    job = queue(make_csv(make_rows(1)), make_membership(club).user)
    coach = make_membership(club, role=Role.COACH).user
    for actor in (coach, make_user()):
        with pytest.raises(NotFoundError):
            job_cancel(actor=actor, job_id=job.pk, now=NOW)
        with pytest.raises(NotFoundError):
            job_resume(actor=actor, job_id=job.pk, now=NOW)


def test_a_fault_of_ours_ends_the_job_with_words_and_says_no_row_in_the_log(caplog, monkeypatch):
    job = queue(make_csv([make_row(note="secret-note")]))
    Upload.objects.update(time_zone="Nowhere/secret-note")  # what our own code never writes
    assert execute(job.pk, worker="a")
    job.refresh_from_db()
    assert (job.status, job.error_code, job.n_read) == ("failed", "internal", 0)
    assert "not your doing" in job.error_message
    assert f"job {job.pk} failed: ZoneInfoNotFoundError" in caplog.text
    assert "secret-note" not in caplog.text


def test_a_worker_does_nothing_for_a_job_whose_member_is_gone():
    job = queue(make_csv(make_rows(1)))
    assert job.member is not None
    job.member.delete()
    assert not execute(job.pk, worker="a")


@pytest.mark.parametrize(
    "wrong",
    [
        {"n_read": 1},
        {"n_read": 2, "n_taken": 2},
        {"status": "done", "ended_at": NOW},
        {"status": "running"},
        {"status": "cancelled"},
        {"status": "failed", "ended_at": NOW},
        {"status": "asleep"},
        {"kind": "relabel"},
        {"n_changed": 1},
    ],
    ids="-".join,
)
def test_the_database_refuses_a_job_that_does_not_add_up(wrong: dict[str, object]):
    job = queue(make_csv(make_rows(1)))
    with transaction.atomic(), pytest.raises(IntegrityError):
        Job.objects.filter(pk=job.pk).update(**wrong)


def test_each_job_of_a_queue_is_done_once():
    for number in range(3):
        queue(make_csv([make_row(note=str(number))]))
    done = Counter(execute_next(worker="a") for _ in range(5))
    assert done == {True: 3, False: 2}
    assert Solve.objects.count() == 3


def test_the_pace_is_that_of_the_rows_read_since_it_was_begun(small_chunks):
    job = queue(make_csv(make_rows(3)))
    execute(job.pk, worker="a", is_stopping=stop_after(1))
    assert job_claim(job.pk, worker="b", now=timezone.now()) is not None
    job.refresh_from_db()
    assert (job.n_before, job.n_read) == (2, 2)


def test_a_job_that_its_engine_never_brought_is_handed_over_again():
    job = queue(make_csv(make_rows(1)))
    for ago, n_handed in ((timedelta(0), 0), (REDELIVER_AFTER, 0), (1.01 * REDELIVER_AFTER, 1)):
        Job.objects.filter(pk=job.pk).update(delivered_at=NOW - ago)
        assert jobs_sweep(now=NOW) == n_handed
