"""A set-aside row, mended by its member."""

from dataclasses import dataclass, replace
from datetime import datetime
from zoneinfo import ZoneInfo

from django.db import transaction

from clubsite.accounts.models import User
from cubecore.book import Book
from logs.algorithms.selectors import book_of_member
from logs.errors import ConflictError, RowProblem
from logs.intake.reading import read_mended
from logs.intake.rows import Clock, Format
from logs.people.locks import lock_log
from logs.solves.models.solves import SetAsideRow, Solve, Upload
from logs.solves.selectors.solves import set_aside_get
from logs.solves.services.ingest import store_solves, upload_read
from logs.solves.services.labels import Labelled, label_rows, solve_key
from logs.solves.services.mappings import mapping_of


@dataclass(frozen=True, slots=True)
class Mended:
    """What became of a mended row: ``solve`` or ``problem``, never both.

    Attributes:
        solve: The solve it is now; when ``is_doubled``, the one the member had before.
        problem: What is still wrong with it; then nothing has changed.
        is_doubled: Whether the member had it already.
    """

    solve: Solve | None = None
    problem: RowProblem | None = None
    is_doubled: bool = False


@transaction.atomic
def set_aside_mend(
    *, actor: User, set_aside_id: int, text: str, now: datetime, book: Book | None = None
) -> Mended:
    """Read a set-aside row again, as ``text`` has it, and take it if it can be taken.

    Args:
        actor: Whose row it is.
        set_aside_id: Which row.
        text: The row in its file's format; for CSV, under its file's header.
        now: When it was mended.
        book: The algorithms to name looks by; the member's book when None.

    Raises:
        NotFoundError: There is no such row, or it is somebody else's.
        ConflictError: It was taken before.
    """
    book = book or book_of_member(member=actor)
    lock_log(actor.pk)
    aside = set_aside_get(actor=actor, set_aside_id=set_aside_id)
    if aside.mended_at is not None:
        raise ConflictError("This row has been taken already.")
    upload = aside.upload
    read = read_mended(
        text,
        format=Format(upload.format),
        columns=upload.columns,
        line=aside.line,
        clock=Clock(ZoneInfo(upload.time_zone), now),
        mapping=mapping_of(upload),
    )
    if isinstance(read, RowProblem):
        return Mended(problem=read)
    labelled = label_rows([read], book=book)
    if labelled.problems:
        return Mended(problem=labelled.problems[0])
    return _take(aside, _numbered(upload, labelled.rows[0], book), now, book)


@transaction.atomic
def set_aside_leave_out(*, actor: User, set_aside_id: int, now: datetime) -> SetAsideRow:
    """Let a row wait no more; it stays among the set-aside ones of its upload, and in its file.

    Raises:
        NotFoundError: There is no such row, or it is somebody else's.
        ConflictError: It was taken before.
    """
    lock_log(actor.pk)
    aside = set_aside_get(actor=actor, set_aside_id=set_aside_id)
    if aside.mended_at is not None:
        raise ConflictError("This row has been taken already.")
    aside.left_out_at = now
    aside.save(update_fields=["left_out_at"])
    return aside


def _take(aside: SetAsideRow, labelled: Labelled, now: datetime, book: Book) -> Mended:
    """Store the row and move it from one count of its upload to another."""
    upload = aside.upload
    is_doubled = store_solves(upload, [labelled], book) == 0
    if is_doubled:
        upload.n_doubled += 1
    else:
        upload.n_taken += 1
    upload.n_set_aside -= 1
    upload.save(update_fields=["n_taken", "n_doubled", "n_set_aside"])
    aside.mended_at = now
    aside.save(update_fields=["mended_at"])
    solve = Solve.objects.get(member=upload.member_id, key=labelled.key)
    return Mended(solve=solve, is_doubled=is_doubled)


def _numbered(upload: Upload, labelled: Labelled, book: Book) -> Labelled:
    """The row with its key; without ``done_at`` it counts behind its like in the file."""
    row, turns = labelled.read.row, labelled.replay.turns
    if labelled.read.done_at is not None:
        return labelled
    like = [
        other
        for other in upload_read(upload).rows
        if other.done_at is None
        and (other.row.time_ms, other.row.penalty) == (row.time_ms, row.penalty)
    ]
    undated = label_rows(like, book=book).rows
    same = [
        one for one in undated if solve_key(one.read.row, one.replay.turns, None) == labelled.key
    ]
    ordinal = len(same) + 1
    while Solve.objects.filter(upload=upload, key=solve_key(row, turns, None, ordinal)).exists():
        ordinal += 1
    return replace(labelled, key=solve_key(row, turns, None, ordinal))
