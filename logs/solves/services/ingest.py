"""The rows of an upload into the tables, a chunk in a transaction, from where the last one ended."""

import time
from collections import Counter
from collections.abc import Callable, Sequence
from zoneinfo import ZoneInfo

from django.db import connection, transaction
from django.utils import timezone

from cubecore.book import Book
from logs.algorithms.selectors import book_of_member
from logs.errors import RowProblem
from logs.intake.reading import read_upload
from logs.intake.rows import Clock, ParsedUpload, ReadRow
from logs.intake.source import SourceFile
from logs.jobs.models import Job
from logs.jobs.services import (
    PAUSE_S,
    Lease,
    LeaseLostError,
    job_beat,
    job_finish,
    job_hold,
    job_release,
)
from logs.people.locks import lock_log
from logs.solves.models.kept_rows import Fate, KeptRow
from logs.solves.models.solves import SetAsideRow, Upload
from logs.solves.services.deciding import Arrival, arrival_of
from logs.solves.services.labels import LabelledRows, label_rows
from logs.solves.services.mappings import mapping_of
from logs.solves.services.rows import CHUNK, COUNT_FIELDS, count_fates, store_problem, store_rows
from logs.solves.services.sent import edited, read_of, sent_from_json


def upload_read(upload: Upload) -> ParsedUpload:
    """The file of a stored upload, read as it was when it came."""
    clock = Clock(ZoneInfo(upload.time_zone), upload.received_at)
    return read_upload(SourceFile(bytes(upload.content)), clock, mapping_of(upload))


def ingest(
    lease: Lease,
    upload: Upload,
    *,
    parsed: ParsedUpload | None = None,
    book: Book | None = None,
    is_stopping: Callable[[], bool] = lambda: False,
) -> None:
    """Take in what is not read yet of the upload whose job is held, and end the job.

    Labels are made outside the transaction. A chunk's rows and the count of them are written in
    one: killed at any point, it goes on at the first row that is not read.

    Args:
        lease: The job's.
        upload: The upload, with its content.
        parsed: Its file as read, when the caller has just read it.
        book: The algorithms to name looks by; the member's book when None.
        is_stopping: Asked between chunks; when true the job is let go for another worker.

    Raises:
        LeaseLostError: The job was cancelled or taken by another; nothing of this chunk is kept.
    """
    if not _put_back(lease, upload, is_stopping=is_stopping):
        return
    if upload.n_rows == upload.job.n_total:
        job_finish(lease, now=timezone.now())
        return
    parsed = parsed or upload_read(upload)
    rows: list[ReadRow | RowProblem] = sorted(
        (*parsed.rows, *parsed.problems), key=lambda row: row.line
    )
    undated: Counter[str] | None = None
    while True:
        start = upload.n_rows
        if start >= len(rows):
            job_finish(lease, now=timezone.now())
            return
        if is_stopping():
            job_release(lease)
            return
        own = book or book_of_member(member=upload.member)
        if undated is None:
            undated = _undated_before(rows[:start], own)
        chunk = rows[start : start + CHUNK]
        labelled = label_rows(
            (row for row in chunk if isinstance(row, ReadRow)), book=own, undated=undated
        )
        problems = [row for row in chunk if isinstance(row, RowProblem)]
        _write(lease, upload, labelled, problems, own)
        if connection.vendor == "sqlite" and upload.n_rows < len(rows):
            time.sleep(PAUSE_S)


def _undated_before(rows: Sequence[ReadRow | RowProblem], book: Book) -> Counter[str]:
    """How often each undated solve stands in the rows that were read before."""
    undated: Counter[str] = Counter()
    dateless = (row for row in rows if isinstance(row, ReadRow) and row.done_at is None)
    label_rows(dateless, book=book, undated=undated)
    return undated


@transaction.atomic
def _write(
    lease: Lease,
    upload: Upload,
    labelled: LabelledRows,
    problems: Sequence[RowProblem],
    book: Book,
) -> None:
    """Write the rows of a chunk with the counts of its upload and its job."""
    lock_log(upload.member_id)
    job = job_hold(lease)
    aside = sorted((*problems, *labelled.problems), key=lambda problem: problem.line)
    _store_problems(upload, aside)
    fates = store_rows(upload, [arrival_of(row) for row in labelled.rows], book)
    _count(upload, job, fates, len(aside))


def _count(upload: Upload, job: Job, fates: Counter[Fate], n_aside: int) -> None:
    """Count rows that were taken in, in their upload and its job, and hold the job on."""
    # A row may have been mended or deleted meanwhile, which moves it from one count to another.
    upload.refresh_from_db(fields=COUNT_FIELDS)
    count_fates(upload, fates)
    upload.n_set_aside += n_aside
    upload.n_rows += fates.total() + n_aside
    upload.save(update_fields=COUNT_FIELDS)
    n_known = fates[Fate.DOUBLED] + fates[Fate.COMPLETES] + fates[Fate.CORRECTS]
    job.n_read += fates.total() + n_aside
    job.n_taken += fates[Fate.TAKEN] + fates[Fate.DELETED]
    job.n_doubled += n_known
    job.n_set_aside += n_aside + fates[Fate.ON_HOLD]
    job_beat(job, "n_read", "n_taken", "n_doubled", "n_set_aside", now=timezone.now())


def _put_back(lease: Lease, upload: Upload, *, is_stopping: Callable[[], bool]) -> bool:
    """Take in the rows of an upload again that were away; whether all are in."""
    away = KeptRow.objects.filter(upload=upload, is_away=True).order_by("line")
    while rows := list(away[:CHUNK]):
        if is_stopping():
            job_release(lease)
            return False
        _write_back(lease, upload, rows, book_of_member(member=upload.member))
        if connection.vendor == "sqlite" and len(rows) == CHUNK:
            time.sleep(PAUSE_S)
    return True


def _write_back(lease: Lease, upload: Upload, rows: Sequence[KeptRow], book: Book) -> None:
    """Write the rows of a chunk that were away: each as it was decided, or as if it came now."""
    sent = {row.line: sent_from_json(row.sent) for row in rows}
    reads = [read_of(row.line, edited(sent[row.line], row.correction)) for row in rows]
    labelled = label_rows(reads, book=book)
    labels = {one.read.line: one for one in labelled.rows}
    arrivals = [
        Arrival(
            line=row.line,
            key=row.key,
            sent=sent[row.line],
            labelled=labels[row.line],
            number=row.solve_number,
            correction=row.correction,
            fate=Fate(row.fate) if row.decided_at else Fate.TAKEN,
            decided_at=row.decided_at,
        )
        for row in rows
        if row.line in labels
    ]
    with transaction.atomic():
        lock_log(upload.member_id)
        job = job_hold(lease)
        KeptRow.objects.filter(pk__in=[row.pk for row in rows]).delete()
        for problem in labelled.problems:
            store_problem(upload, problem)
        fates = store_rows(upload, arrivals, book)
        _count(upload, job, fates, len(labelled.problems))


def _store_problems(upload: Upload, problems: Sequence[RowProblem]) -> None:
    SetAsideRow.objects.bulk_create(
        [
            SetAsideRow(
                upload=upload,
                line=problem.line,
                code=problem.code,
                field=problem.field,
                message=problem.message,
                text=problem.text,
            )
            for problem in problems
        ],
        batch_size=CHUNK,
    )


def upload_run(lease: Lease, *, is_stopping: Callable[[], bool]) -> None:
    """Take in what is left of the upload of a held job.

    Raises:
        LeaseLostError: The job was cancelled, taken by another or erased.
    """
    upload = Upload.objects.select_related("member").filter(job=lease.job_id).first()
    if upload is None:
        raise LeaseLostError
    ingest(lease, upload, is_stopping=is_stopping)
