"""Taking back and putting back, correcting and deleting, deciding between two rows."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from cubecore.rows import format_time_exactly
from logs.errors import ConflictError, NotFoundError, UploadRejectedError
from logs.http.pages import actor_of, answers_refusals, origin_of, whole_number
from logs.people.sight import time_zone_of
from logs.solves.report.undo import (
    HistoryReport,
    held_report,
    history_report,
    taken_out_report,
)
from logs.solves.selectors.undo import on_hold_get
from logs.solves.services.corrections import (
    Choice,
    row_decide,
    rows_decide,
    solve_correct,
    solve_delete,
    solve_put_back,
)
from logs.solves.services.drafts import draft_read_again
from logs.solves.services.undo import upload_put_back, upload_take_back

UNPROCESSABLE = 422


class CorrectForm(forms.Form):
    """A solve's fields as a log has them, to be corrected."""

    time = forms.CharField(
        label="Time on the timer",
        max_length=40,
        help_text="Seconds, or minutes before a colon: 12.34, 1:02.34. Without the penalty.",
    )
    penalty = forms.ChoiceField(
        required=False, choices=(("", "none"), ("+2", "+2"), ("DNF", "DNF"))
    )
    done_at = forms.CharField(
        label="When",
        required=False,
        max_length=40,
        help_text="2026-03-07T18:05:00, in the club's zone or with its offset. Empty: not known.",
    )
    scramble = forms.CharField(max_length=100_000, widget=forms.Textarea(attrs={"rows": 2}))
    solution = forms.CharField(
        required=False,
        max_length=100_000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Turn times stay as long as there is one for each turn.",
    )
    note = forms.CharField(required=False, widget=forms.Textarea(attrs={"rows": 2}))

    def __init__(self, report: HistoryReport, data: QueryDict | None = None) -> None:
        says = report.says
        at = says.done_at and says.done_at.astimezone(report.zone)
        initial = {
            "time": format_time_exactly(says.time_ms),
            "penalty": says.penalty,
            "done_at": at.isoformat() if at else "",
            "scramble": says.scramble,
            "solution": says.solution,
            "note": says.note,
        }
        super().__init__(data, initial=initial)

    def values(self) -> dict[str, object]:
        """What was changed, as a line of a log has it."""
        return {name: self.cleaned_data[name] or None for name in self.changed_data}


@require_safe
def taken_out(request: HttpRequest) -> HttpResponse:
    """What was taken out of the actor's log, to be put back."""
    report = taken_out_report(
        actor=actor_of(request),
        now=timezone.now(),
        page=whole_number(request.GET.get("page"), 1),
    )
    return render(request, "solves/taken_out.html", {"report": report})


@require_POST
@answers_refusals
def take_back(request: HttpRequest, upload_id: int) -> HttpResponse:
    """Take an upload out of the log."""
    upload = upload_take_back(
        actor=actor_of(request),
        upload_id=upload_id,
        now=timezone.now(),
        origin=origin_of(request),
    )
    messages.success(
        request, f"{upload.file_name} is taken back. You can put it back here for 14 days."
    )
    return redirect("logs:taken-out")


@require_POST
@answers_refusals
def put_back(request: HttpRequest, upload_id: int) -> HttpResponse:
    """Put an upload back into the log."""
    try:
        upload_put_back(
            actor=actor_of(request),
            upload_id=upload_id,
            now=timezone.now(),
            inline_rows=settings.INLINE_ROWS,
            origin=origin_of(request),
        )
    except ConflictError as error:
        messages.info(request, error.message)
        return redirect("logs:taken-out")
    return redirect("logs:upload", upload_id=upload_id)


@require_POST
@answers_refusals
def read_again(request: HttpRequest, upload_id: int) -> HttpResponse:
    """Lead to the step that asks how to read an upload's file, from how it was read."""
    try:
        draft = draft_read_again(actor=actor_of(request), upload_id=upload_id, now=timezone.now())
    except UploadRejectedError as error:
        messages.info(request, error.message)
        return redirect("logs:upload", upload_id=upload_id)
    return redirect("logs:mapping", draft_id=draft.pk)


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def on_hold(request: HttpRequest, upload_id: int) -> HttpResponse:
    """Rows of an upload that contradict the log; decide about all of them at once."""
    actor = actor_of(request)
    report = held_report(
        actor=actor, upload_id=upload_id, page=whole_number(request.GET.get("page"), 1)
    )
    if request.method != "POST":
        return render(request, "solves/on_hold.html", {"report": report})
    n_rows = rows_decide(
        actor=actor,
        upload_id=upload_id,
        choice=_choice(request),
        now=timezone.now(),
        origin=origin_of(request),
    )
    messages.success(request, f"Decided for {n_rows} row{'' if n_rows == 1 else 's'}.")
    return redirect("logs:upload", upload_id=upload_id)


@require_POST
@answers_refusals
def decide(request: HttpRequest, row_id: int) -> HttpResponse:
    """Decide about one row that contradicts the log."""
    actor = actor_of(request)
    row = on_hold_get(actor=actor, row_id=row_id)
    row_decide(
        actor=actor,
        row_id=row_id,
        choice=_choice(request),
        now=timezone.now(),
        origin=origin_of(request),
    )
    messages.success(request, f"Decided for line {row.line}.")
    return redirect("logs:on-hold", upload_id=row.upload_id)


def _choice(request: HttpRequest) -> Choice:
    """What was decided.

    Raises:
        NotFoundError: It is none of the choices.
    """
    try:
        return Choice(request.POST.get("choice", ""))
    except ValueError as error:
        raise NotFoundError("choice") from error


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def correct(request: HttpRequest, solve_id: int) -> HttpResponse:
    """The form that corrects one of the actor's solves, with its history; correct it."""
    actor = actor_of(request)
    report = history_report(actor=actor, solve_id=solve_id)
    form = CorrectForm(report, request.POST if request.method == "POST" else None)
    status = 200
    if request.method == "POST" and form.is_valid():
        try:
            solve_correct(
                actor=actor,
                solve_id=solve_id,
                values=form.values(),
                time_zone=time_zone_of(actor=actor),
                now=timezone.now(),
                origin=origin_of(request),
            )
        except UploadRejectedError as error:
            problem = error.problems[0]
            form.add_error(problem.field if problem.field in form.fields else None, problem.message)
        except ConflictError as error:
            form.add_error(None, error.message)
        else:
            messages.success(request, "The solve is corrected, and its labels are made anew.")
            return redirect("logs:solve", solve_id=solve_id)
    if form.is_bound:
        status = UNPROCESSABLE
    context: dict[str, Any] = {"report": report, "form": form}
    return render(request, "solves/correct.html", context, status=status)


@require_POST
@answers_refusals
def delete(request: HttpRequest, solve_id: int) -> HttpResponse:
    """Delete one of the actor's solves."""
    solve_delete(
        actor=actor_of(request), solve_id=solve_id, now=timezone.now(), origin=origin_of(request)
    )
    messages.success(request, "The solve is deleted. You can put it back here.")
    return redirect(reverse("logs:taken-out") + "#solves")


@require_POST
@answers_refusals
def restore(request: HttpRequest, solve_id: int) -> HttpResponse:
    """Put a deleted solve back into the log."""
    solve = solve_put_back(
        actor=actor_of(request), solve_id=solve_id, now=timezone.now(), origin=origin_of(request)
    )
    messages.success(request, "The solve is back in your log.")
    return redirect("logs:solve", solve_id=solve.pk)
