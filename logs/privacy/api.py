"""One's own data as files: the log, all else that is kept, and uploads as they were sent."""

from collections.abc import Callable

from django.http import HttpResponse
from django.utils import timezone
from rest_framework.request import Request

from logs.http.api import ApiView, answers
from logs.http.pages import actor_of, address_of, origin_of
from logs.privacy.report.export import JSON, KINDS, CopiedFile, account_file, file_as_sent, log_file
from logs.privacy.report.privacy import PrivacyReport, privacy_report


class LogCopy(ApiView):
    """The actor's log."""

    @answers(None, file=(KINDS["jsonl"],))
    def get(self, request: Request) -> HttpResponse:
        """The log as JSON Lines, which can be uploaded anywhere; noted on the privacy page."""
        return _copy(request, log_file, KINDS["jsonl"])


class DataCopy(ApiView):
    """All else that is kept about the actor."""

    @answers(None, file=(JSON,))
    def get(self, request: Request) -> HttpResponse:
        """All that is kept besides the log; that it was taken is noted on the privacy page."""
        return _copy(request, account_file, JSON)


class SentFile(ApiView):
    """An upload's file."""

    @answers(None, file=tuple(KINDS.values()))
    def get(self, request: Request, upload_id: int) -> HttpResponse:
        """One of your files, byte for byte as it was sent."""
        copied = file_as_sent(actor=actor_of(request), upload_id=upload_id)
        return HttpResponse(copied.content, headers=copied.headers)


def _copy(request: Request, take: Callable[..., CopiedFile], kind: str) -> HttpResponse:
    """A copy, which is noted; who asks for its headers alone takes none."""
    if request.method == "HEAD":
        return HttpResponse(content_type=f"{kind}; charset=utf-8")
    copied = take(
        actor=actor_of(request),
        address=address_of(request),
        now=timezone.now(),
        origin=origin_of(request),
    )
    return HttpResponse(copied.content, headers=copied.headers)


class Privacy(ApiView):
    """The actor's privacy."""

    @answers(PrivacyReport)
    def get(self, request: Request) -> PrivacyReport:
        """Who sees your log, who looked, what was changed, what you sent."""
        return privacy_report(actor=actor_of(request))
