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
from logs.jobs.services import Lease, LeaseLostError, job_beat, job_finish, job_hold, job_release
from logs.people.locks import lock_log
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload
from logs.solves.services.labels import (
    Labelled,
    LabelledRows,
    build_sightings,
    label_rows,
    raw_fields,
    solve_labels,
    turn_fields,
)
from logs.solves.services.mappings import mapping_of
from logs.solves.services.tallies import tally_add

CHUNK = 500
"""Rows of a transaction, and of a statement."""


PAUSE_S = 0.02
"""Between chunks on SQLite, whose one writer's place is not given out in turn: it lets others in."""


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
    # A row may have been mended meanwhile, which moves it from one count to another.
    upload.refresh_from_db(fields=["n_rows", "n_taken", "n_doubled", "n_set_aside"])
    aside = sorted((*problems, *labelled.problems), key=lambda problem: problem.line)
    _store_problems(upload, aside)
    n_taken = store_solves(upload, labelled.rows, book)
    n_doubled = len(labelled.rows) - n_taken
    n_read = len(labelled.rows) + len(aside)
    upload.n_rows += n_read
    job.n_read += n_read
    for counted in (upload, job):
        counted.n_taken += n_taken
        counted.n_doubled += n_doubled
        counted.n_set_aside += len(aside)
    upload.save(update_fields=["n_rows", "n_taken", "n_doubled", "n_set_aside"])
    job_beat(job, "n_read", "n_taken", "n_doubled", "n_set_aside", now=timezone.now())


def store_solves(upload: Upload, rows: Sequence[Labelled], book: Book) -> int:
    """Store those of ``rows`` that the member does not have yet, and count them; how many.

    ``rows`` are in the order of the file, and none of their lines has a solve yet.
    """
    if not rows:
        return 0
    solves = [_solve(upload, labelled, book) for labelled in rows]
    Solve.objects.bulk_create(solves, batch_size=CHUNK, ignore_conflicts=True)
    results = {labelled.read.line: labelled.replay for labelled in rows}
    between = (rows[0].read.line, rows[-1].read.line)
    taken = Solve.objects.filter(upload=upload, line__range=between).only("line", "member_id")
    fresh = [solve for solve in taken if solve.line in results]
    sightings = [s for solve in fresh for s in build_sightings(solve, results[solve.line])]
    Sighting.objects.bulk_create(sightings, batch_size=CHUNK)
    tally_add(member_id=upload.member_id, solve_ids=[solve.pk for solve in fresh])
    return len(fresh)


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


def _solve(upload: Upload, labelled: Labelled, book: Book) -> Solve:
    read = labelled.read
    return Solve(
        member_id=upload.member_id,
        upload=upload,
        line=read.line,
        key=labelled.key,
        done_at=read.done_at,
        **raw_fields(read.row),
        **turn_fields(labelled.compact),
        **solve_labels(labelled.replay, book),
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
