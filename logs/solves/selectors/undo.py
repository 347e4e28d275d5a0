"""What a member took back, deleted or changed by hand, and rows that wait for a decision."""

from datetime import datetime, timedelta

from django.db.models import QuerySet

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.solves.models.kept_rows import TELLING, Fate, KeptRow, SolveChange
from logs.solves.models.solves import Solve, Upload

KEPT_FOR = timedelta(days=14)
"""How long an upload that was taken back can be put back; then it goes with its bytes."""


def _taken_back(actor: User, now: datetime) -> QuerySet[Upload]:
    if not actor.is_active:
        return Upload.all_uploads.none()
    return Upload.all_uploads.filter(member=actor, taken_back_at__gt=now - KEPT_FOR)


def taken_back_list(*, actor: User, now: datetime) -> list[Upload]:
    """The actor's uploads that can be put back, without their bytes; the last taken back first."""
    return list(_taken_back(actor, now).defer("content").order_by("-taken_back_at", "-id"))


def taken_back_get(*, actor: User, upload_id: int, now: datetime) -> Upload:
    """One of the actor's uploads that can be put back, without its bytes.

    Raises:
        NotFoundError: There is none, it is somebody else's, or it stands in the log.
    """
    upload = _taken_back(actor, now).filter(pk=upload_id).defer("content").first()
    if upload is None:
        raise NotFoundError("upload")
    return upload


def _rows(actor: User, fate: Fate) -> QuerySet[KeptRow]:
    if not actor.is_active:
        return KeptRow.objects.none()
    return KeptRow.objects.filter(member=actor, fate=fate, is_away=False)


def deleted_list(*, actor: User) -> QuerySet[KeptRow]:
    """The solves that the actor deleted, the last first."""
    rows = _rows(actor, Fate.DELETED).select_related("upload").defer("upload__content")
    return rows.order_by("-decided_at", "-id")


def deleted_get(*, actor: User, solve_number: int) -> KeptRow:
    """A solve that the actor deleted.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    row = _rows(actor, Fate.DELETED).filter(solve_number=solve_number).first()
    if row is None:
        raise NotFoundError("solve")
    return row


def on_hold_list(*, actor: User, upload_id: int | None = None) -> QuerySet[KeptRow]:
    """The actor's rows that contradict a solve and wait for a decision, of one upload or of all."""
    rows = _rows(actor, Fate.ON_HOLD).select_related("upload").defer("upload__content")
    if upload_id is not None:
        rows = rows.filter(upload=upload_id)
    return rows.order_by("upload", "line")


def on_hold_get(*, actor: User, row_id: int) -> KeptRow:
    """A row of the actor's that waits for a decision.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    row = on_hold_list(actor=actor).filter(pk=row_id).first()
    if row is None:
        raise NotFoundError("row on hold")
    return row


def own_solve_get(*, actor: User, solve_id: int) -> Solve:
    """One of the actor's solves, with its upload.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    solves = Solve.objects.filter(member=actor).select_related("upload").defer("upload__content")
    solve = solves.filter(pk=solve_id).first()
    if solve is None or not actor.is_active:
        raise NotFoundError("solve")
    return solve


def row_fate(*, actor: User, upload_id: int, line: int) -> tuple[Fate, int]:
    """What became of a row of one of the actor's uploads, and the number of its solve.

    Raises:
        NotFoundError: It was set aside, or is not read.
    """
    solve = Solve.objects.filter(member=actor, upload=upload_id, line=line).first()
    if solve is not None:
        return Fate.TAKEN, solve.pk
    row = KeptRow.objects.filter(member=actor, upload=upload_id, line=line).first()
    if row is None:
        raise NotFoundError("row")
    return Fate(row.fate), row.solve_number


def solves_by_number(*, actor: User, numbers: set[int]) -> dict[int, Solve]:
    """Those of the actor's solves that stand in the log under these numbers."""
    return {solve.pk: solve for solve in Solve.objects.filter(member=actor, pk__in=numbers)}


def changes_of(*, actor: User, solve_number: int) -> list[SolveChange]:
    """What the actor changed of one of their solves by hand, the oldest first."""
    changes = SolveChange.objects.filter(member=actor, solve_number=solve_number)
    return list(changes.order_by("at", "id"))


def rows_telling(*, actor: User, solve_number: int) -> list[KeptRow]:
    """The rows of other files that tell of one of the actor's solves, in the order they came."""
    rows = KeptRow.objects.filter(
        member=actor, solve_number=solve_number, fate__in=TELLING, is_away=False
    )
    return list(rows.select_related("upload").defer("upload__content").order_by("upload", "line"))
