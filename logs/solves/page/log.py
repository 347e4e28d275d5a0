"""The form that takes a log: a file or pasted text, one of the two.

The step between a file of another shape and the log, and the mappings that were kept.
"""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.errors import ConflictError, UploadRejectedError
from logs.http.pages import actor_of, address_of, answers_refusals
from logs.intake.source import SourceFile
from logs.people.services.passwords import API_CHANGE, try_count
from logs.people.sight import time_zone_of
from logs.solves.forms import ALONE, MappingForm
from logs.solves.models.kept_rows import Fate
from logs.solves.report.log import log_report, set_aside_file, upload_of_row, upload_report
from logs.solves.report.mapping import MappingReport, kept_lines, mapping_report, waiting_files
from logs.solves.selectors.solves import draft_get
from logs.solves.services.drafts import (
    draft_add,
    draft_answer,
    draft_discard,
    draft_guess,
    draft_import,
    draft_keep,
    must_wait,
)
from logs.solves.services.mappings import mapping_forget, mapping_rename
from logs.solves.services.uploads import Mended, set_aside_leave_out, set_aside_mend, upload_import
from logs.words import reading

PASTED = "pasted log"


class LogForm(forms.Form):
    """A log to add. After validation ``content`` and ``file_name`` are what to import."""

    file = forms.FileField(required=False, allow_empty_file=True, max_length=200)
    text = forms.CharField(
        required=False, strip=False, widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"})
    )

    content: bytes
    file_name: str

    def clean(self) -> dict[str, Any]:
        """Take the one that was given.

        Raises:
            ValidationError: Neither was, or both were.
        """
        values = super().clean() or {}
        file: UploadedFile[bytes] | None = values.get("file")
        text: str = values.get("text") or ""
        if self.errors:
            return values
        if file is not None and text.strip():
            raise forms.ValidationError(
                "There is a file and pasted text. Send one at a time, so that each is counted."
            )
        if file is None and not text.strip():
            raise forms.ValidationError("Choose a file, drop one, or paste the text of a log.")
        self.content = file.read() if file is not None else text.encode()
        self.file_name = (file.name if file is not None else None) or PASTED
        return values


UNPROCESSABLE = 422


@require_safe
def log(request: HttpRequest) -> HttpResponse:
    """The actor's log, with the form to add to it."""
    return _log_page(request, LogForm())


def _log_page(request: HttpRequest, form: LogForm, status: int = 200) -> HttpResponse:
    actor = actor_of(request)
    context = {
        "report": log_report(actor=actor, now=timezone.now()),
        "form": form,
        "waiting": waiting_files(actor=actor, now=timezone.now()),
    }
    return render(request, "solves/log.html", context, status=status)


@require_safe
def template(request: HttpRequest) -> HttpResponse:
    """The example log as a file to fill in."""
    response = render(request, "solves/example.csv", content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = 'attachment; filename="log-template.csv"'
    return response


@require_POST
@answers_refusals
def upload_add(request: HttpRequest) -> HttpResponse:
    """Take in a log and lead to the answer; the form again for what cannot be read at all.

    A table of another shape leads to the step that asks how to read it.
    """
    form = LogForm(request.POST, request.FILES)
    if not form.is_valid():
        return _log_page(request, form, UNPROCESSABLE)
    actor, now = actor_of(request), timezone.now()
    try_count(API_CHANGE, actor=actor, address=address_of(request), now=now)
    zone, source = time_zone_of(actor=actor), SourceFile(form.content)
    try:
        if must_wait(actor=actor, source=source, time_zone=zone, now=now):
            draft = draft_add(actor=actor, source=source, file_name=form.file_name, now=now)
            return redirect("logs:mapping", draft_id=draft.pk)
        upload = upload_import(
            member=actor,
            source=source,
            file_name=form.file_name,
            time_zone=zone,
            now=now,
            inline_rows=settings.INLINE_ROWS,
        )
    except (UploadRejectedError, ConflictError) as error:
        form.add_error(None, error.message)
        return _log_page(request, form, UNPROCESSABLE)
    if upload.is_repeat:
        messages.info(
            request, "You have sent this very file before. Nothing was added; here is its answer."
        )
    return redirect("logs:upload", upload_id=upload.pk)


def upload_page(request: HttpRequest, upload_id: int, *, meaning: object) -> HttpResponse:
    """What became of an upload, with what a room above says that it meant."""
    report = upload_report(actor=actor_of(request), upload_id=upload_id, now=timezone.now())
    return render(request, "solves/upload.html", {"report": report, "meaning": meaning})


@require_safe
@answers_refusals
def set_aside(request: HttpRequest, upload_id: int) -> HttpResponse:
    """The rows of an upload that wait to be mended, as a file."""
    name, text = set_aside_file(actor=actor_of(request), upload_id=upload_id)
    kind = "text/csv" if name.endswith(".csv") else "application/x-ndjson"
    return HttpResponse(
        text,
        content_type=f"{kind}; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}"'},
    )


@require_POST
@answers_refusals
def mend(request: HttpRequest, set_aside_id: int) -> HttpResponse:
    """Send a set-aside row again, as it was corrected."""
    actor = actor_of(request)
    text = request.POST.get("text", "")
    upload_id = upload_of_row(actor=actor, set_aside_id=set_aside_id)
    try:
        mended = set_aside_mend(
            actor=actor, set_aside_id=set_aside_id, text=text, now=timezone.now()
        )
    except ConflictError as error:
        messages.info(request, error.message)
        return redirect("logs:upload", upload_id=upload_id)
    if mended.problem is None:
        messages.success(request, _mended_words(mended))
        return redirect("logs:upload", upload_id=upload_id)
    report = upload_report(actor=actor, upload_id=upload_id, now=timezone.now())
    context = {
        "report": report,
        "tried_id": set_aside_id,
        "tried_text": text,
        "tried_message": mended.problem.message,
    }
    return render(request, "solves/upload.html", context, status=UNPROCESSABLE)


@require_POST
@answers_refusals
def leave_out(request: HttpRequest, set_aside_id: int) -> HttpResponse:
    """Let a set-aside row wait no more."""
    actor = actor_of(request)
    upload_id = upload_of_row(actor=actor, set_aside_id=set_aside_id)
    try:
        row = set_aside_leave_out(actor=actor, set_aside_id=set_aside_id, now=timezone.now())
    except ConflictError as error:
        messages.info(request, error.message)
    else:
        messages.success(request, f"Line {row.line} is left out; the file as sent still has it.")
    return redirect(reverse("logs:upload", args=(upload_id,)) + "#set-aside")


def _mended_words(mended: Mended) -> str:
    if mended.fate is Fate.ON_HOLD:
        return "The row can be read now, and it contradicts your log: decide what is right."
    if mended.is_doubled or mended.solve is None:
        return "The row can be read now, and you have that solve already: it counts once."
    time = reading(mended.solve.time_ms, mended.solve.status)
    return f"The row is taken: a solve of {time}."


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
    draft = draft_get(actor=actor_of(request), draft_id=report.draft_id, now=timezone.now())
    context = {"report": report, "form": form, "reasons": draft.reasons}
    return render(request, "solves/mapping.html", context, status=status)


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
    actor = actor_of(request)
    context = {
        "lines": kept_lines(actor=actor),
        "zone": time_zone_of(actor=actor),
        "message": message,
    }
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
