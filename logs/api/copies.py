"""One's own data as files: the log, all else that is kept, and uploads as they were sent."""

from django.http import HttpResponse
from django.utils import timezone
from rest_framework.request import Request

from logs.api.authentication import actor_of, address_of
from logs.api.views import ApiView, answers, origin_of
from logs.reports.export import JSON, KINDS, CopiedFile, account_file, file_as_sent, log_file
from logs.services.exports import export_note


class LogCopy(ApiView):
    """The actor's log."""

    @answers(None, file=(KINDS["jsonl"],))
    def get(self, request: Request) -> HttpResponse:
        """The log as JSON Lines, which can be uploaded anywhere; noted on the privacy page."""
        _note_export(request, "log")
        return _file(log_file(actor=actor_of(request)))


class DataCopy(ApiView):
    """All else that is kept about the actor."""

    @answers(None, file=(JSON,))
    def get(self, request: Request) -> HttpResponse:
        """All that is kept besides the log; that it was taken is noted on the privacy page."""
        _note_export(request, "account")
        return _file(account_file(actor=actor_of(request)))


class SentFile(ApiView):
    """An upload's file."""

    @answers(None, file=tuple(KINDS.values()))
    def get(self, request: Request, upload_id: int) -> HttpResponse:
        """One of your files, byte for byte as it was sent."""
        return _file(file_as_sent(actor=actor_of(request), upload_id=upload_id))


def _note_export(request: Request, what: str) -> None:
    if request.method == "HEAD":
        return
    export_note(
        actor=actor_of(request),
        what=what,
        address=address_of(request),
        now=timezone.now(),
        origin=origin_of(request),
    )


def _file(copied: CopiedFile) -> HttpResponse:
    return HttpResponse(
        copied.content,
        content_type=f"{copied.kind}; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{copied.name}"'},
    )
