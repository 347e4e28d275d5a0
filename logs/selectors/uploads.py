"""Uploads and their set-aside rows: the actor's own alone."""

from typing import TYPE_CHECKING

from django.db.models import QuerySet

from logs.errors import NotFoundError
from logs.intake.csv_export import format_csv_line
from logs.intake.parsed import Format
from logs.models import SetAsideRow, Upload

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def _own_uploads(actor: "User") -> QuerySet[Upload]:
    """The actor's uploads with their jobs, without their bytes."""
    if not actor.is_active:
        return Upload.objects.none()
    return Upload.objects.filter(member=actor).select_related("job").defer("content")


def upload_list(*, actor: "User") -> list[Upload]:
    """The actor's uploads, newest first."""
    return list(_own_uploads(actor).order_by("-received_at", "-id"))


def upload_get(*, actor: "User", upload_id: int) -> Upload:
    """One of the actor's uploads.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    upload = _own_uploads(actor).filter(pk=upload_id).first()
    if upload is None:
        raise NotFoundError("upload")
    return upload


def set_aside_list(*, actor: "User", upload: Upload | None = None) -> list[SetAsideRow]:
    """The actor's rows that still wait to be mended, in the order of their files.

    Args:
        actor: Who asks.
        upload: Of this upload alone; of all uploads when None.

    Raises:
        NotFoundError: The upload is somebody else's.
    """
    if upload is not None and (upload.member_id != actor.pk or not actor.is_active):
        raise NotFoundError("upload")
    rows = SetAsideRow.objects.filter(upload__in=_own_uploads(actor), mended_at=None)
    if upload is not None:
        rows = rows.filter(upload=upload)
    rows = rows.select_related("upload").defer("upload__content")
    return list(rows.order_by("-upload__received_at", "upload", "line"))


def set_aside_get(*, actor: "User", set_aside_id: int) -> SetAsideRow:
    """One of the actor's set-aside rows, mended or not, with its upload.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    rows = SetAsideRow.objects.filter(upload__in=_own_uploads(actor))
    row = rows.select_related("upload").defer("upload__content").filter(pk=set_aside_id).first()
    if row is None:
        raise NotFoundError("set-aside row")
    return row


def set_aside_text(*, actor: "User", upload: Upload) -> str:
    """The upload's rows that wait to be mended, as a file of the same format.

    Each row stands exactly as it came; a CSV file has its header on top, parted as the file is.

    Raises:
        NotFoundError: The upload is somebody else's.
    """
    separator = upload.mapping["separator"] if upload.mapping else ","
    has_header = upload.format != Format.JSON_LINES and upload.columns
    header = format_csv_line(upload.columns, separator) if has_header else ""
    rows = set_aside_list(actor=actor, upload=upload)
    return header + "".join(row.text + "\r\n" for row in rows)
