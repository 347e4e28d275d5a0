"""The step between a file of another shape and the log, and the mappings that were kept."""

from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.errors import ConflictError, UploadRejectedError
from logs.http.pages import actor_of, answers_refusals
from logs.people.sight import time_zone_of
from logs.solves.forms import ALONE, MappingForm
from logs.solves.report.mapping import MappingReport, kept_lines, mapping_report
from logs.solves.services.drafts import (
    draft_answer,
    draft_discard,
    draft_guess,
    draft_import,
    draft_keep,
)
from logs.solves.services.mappings import mapping_forget, mapping_rename

UNPROCESSABLE = 422


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def mapping(request: HttpRequest, draft_id: int) -> HttpResponse:
    """Show how a file would be read; take what was said; add the log."""
    report = mapping_report(actor=actor_of(request), draft_id=draft_id, now=timezone.now())
    if request.method != "POST":
        return _page(request, report, MappingForm(report))
    form = MappingForm(report, request.POST)
    if not form.is_valid():
        return _page(request, report, form, UNPROCESSABLE)
    try:
        return _said(request, report, form)
    except (UploadRejectedError, ConflictError) as error:
        form.add_error(None, error.message)
    except ValidationError as error:
        form.add_error("name", error.messages)
    return _page(request, report, form, UNPROCESSABLE)


def _page(
    request: HttpRequest, report: MappingReport, form: MappingForm, status: int = 200
) -> HttpResponse:
    return render(request, "solves/mapping.html", {"report": report, "form": form}, status=status)


def _said(request: HttpRequest, report: MappingReport, form: MappingForm) -> HttpResponse:
    """Keep what was said; go on to what comes out, or add the log."""
    actor, now = actor_of(request), timezone.now()
    if form.is_other_file_shape():
        draft_guess(actor=actor, draft_id=report.draft_id, now=now, **form.file_choices())
        messages.info(request, "The file is read anew: look at its columns.")
        return redirect("logs:mapping", draft_id=report.draft_id)
    roles = form.roles()
    draft_answer(
        actor=actor, draft_id=report.draft_id, roles=roles, answers=form.answers(), now=now
    )
    is_adding = request.POST.get("then") == "add"
    if not is_adding or roles != report.mapping.roles:
        if is_adding:
            messages.info(
                request, "You changed what a column holds: look at what comes out, then add it."
            )
        return redirect(f"{request.path}#preview")
    report = mapping_report(actor=actor, draft_id=report.draft_id, now=now)
    if report.questions:
        form = MappingForm(report, request.POST)
        form.is_valid()
        form.add_error(None, "Something must still be said before the log can be added.")
        return _page(request, report, form, UNPROCESSABLE)
    return _add(request, report, form)


def _add(request: HttpRequest, report: MappingReport, form: MappingForm) -> HttpResponse:
    actor, now = actor_of(request), timezone.now()
    name, keep_for = form.cleaned_data["name"], form.cleaned_data["keep_for"]
    if name:
        slug = "" if keep_for == ALONE else keep_for
        draft_keep(actor=actor, draft_id=report.draft_id, name=name, slug=slug, now=now)
    upload = draft_import(
        actor=actor,
        draft_id=report.draft_id,
        time_zone=time_zone_of(actor=actor),
        now=now,
        inline_rows=settings.INLINE_ROWS,
    )
    if name:
        messages.success(request, f"“{name}” is kept: the next file of this shape will use it.")
    return redirect("logs:upload", upload_id=upload.pk)


@require_POST
@answers_refusals
def discard(request: HttpRequest, draft_id: int) -> HttpResponse:
    """Forget a file that waits."""
    draft_discard(actor=actor_of(request), draft_id=draft_id, now=timezone.now())
    messages.info(request, "The file was discarded; nothing of it was added.")
    return redirect("logs:log")


@require_safe
def kept_list(request: HttpRequest) -> HttpResponse:
    """The mappings that the actor may use."""
    return _kept_page(request)


def _kept_page(request: HttpRequest, message: str = "", status: int = 200) -> HttpResponse:
    lines = kept_lines(actor=actor_of(request))
    context = {"lines": lines, "message": message}
    return render(request, "solves/kept_mappings.html", context, status=status)


@require_POST
@answers_refusals
def rename(request: HttpRequest, mapping_id: int) -> HttpResponse:
    """Call a kept mapping by another name."""
    name = request.POST.get("name", "")
    try:
        kept = mapping_rename(
            actor=actor_of(request), mapping_id=mapping_id, name=name, now=timezone.now()
        )
    except ConflictError as error:
        return _kept_page(request, error.message, UNPROCESSABLE)
    except ValidationError:
        return _kept_page(request, "A name has 1 to 60 characters.", UNPROCESSABLE)
    messages.success(request, f"It is called “{kept.name}” now.")
    return redirect("logs:kept-mappings")


@require_POST
@answers_refusals
def forget(request: HttpRequest, mapping_id: int) -> HttpResponse:
    """Forget a kept mapping."""
    name = mapping_forget(actor=actor_of(request), mapping_id=mapping_id)
    messages.success(request, f"“{name}” is forgotten. Logs that were read by it stay as they are.")
    return redirect("logs:kept-mappings")
