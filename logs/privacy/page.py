"""One's own data: who sees it, who looked, a copy of it, an end to it; and what is kept at all."""

from collections.abc import Callable

from django.contrib.auth import logout
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods, require_safe

from logs.errors import ConflictError
from logs.http.pages import actor_of, address_of, answers_refusals, origin_of
from logs.people.forms import EraseForm
from logs.people.report.clubs import contacts_report
from logs.people.words import VISIBILITIES
from logs.privacy.report.export import JSON, KINDS, CopiedFile, account_file, file_as_sent, log_file
from logs.privacy.report.privacy import privacy_report
from logs.privacy.services import member_erase

UNPROCESSABLE = 422


@require_safe
def privacy(request: HttpRequest) -> HttpResponse:
    """Who sees the actor's log, who looked, and what the actor can do about it."""
    report = privacy_report(actor=actor_of(request))
    context = {"report": report, "visibilities": VISIBILITIES}
    return render(request, "privacy/privacy.html", context)


@login_not_required
@require_safe
def what_we_keep(request: HttpRequest) -> HttpResponse:
    """What the site keeps of a person and why, for anybody to read."""
    return render(request, "privacy/what_we_keep.html", {"contacts": contacts_report()})


@require_safe
@answers_refusals
def log_copy(request: HttpRequest) -> HttpResponse:
    """The actor's log, in the format that can be uploaded."""
    return _copy(request, log_file, KINDS["jsonl"])


@require_safe
@answers_refusals
def data_copy(request: HttpRequest) -> HttpResponse:
    """All else that is kept about the actor."""
    return _copy(request, account_file, JSON)


@require_safe
@answers_refusals
def sent_file(request: HttpRequest, upload_id: int) -> HttpResponse:
    """One of the actor's files, byte for byte as it was sent."""
    copied = file_as_sent(actor=actor_of(request), upload_id=upload_id)
    return HttpResponse(copied.content, headers=copied.headers)


@require_http_methods(["GET", "HEAD", "POST"])
@sensitive_post_parameters()
@answers_refusals
def erase(request: HttpRequest) -> HttpResponse:
    """Say what erasing does; erase the actor's account."""
    report = privacy_report(actor=actor_of(request))
    if request.method != "POST":
        return render(request, "privacy/erase.html", {"report": report, "form": EraseForm(request)})
    form = EraseForm(request, request.POST)
    if form.is_valid():
        try:
            member_erase(actor=actor_of(request), now=timezone.now())
        except ConflictError as error:
            form.add_error(None, error.message)
        else:
            logout(request)
            return render(request, "privacy/erased.html")
    return render(
        request, "privacy/erase.html", {"report": report, "form": form}, status=UNPROCESSABLE
    )


def _copy(request: HttpRequest, take: Callable[..., CopiedFile], kind: str) -> HttpResponse:
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
