"""Which solves to write down: drawn by the house, a few of many."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from logs.errors import ConflictError
from logs.http.pages import actor_of, answers_refusals
from logs.limits import DRAWN_AT_ONCE
from logs.people.sight import time_zone_of
from logs.solves.report.drawn import drawn_report
from logs.solves.services.draws import USUAL, draw_add, draw_extend, new_seed

UNPROCESSABLE = 422


class DrawForm(forms.Form):
    """How many solves, since when."""

    n = forms.IntegerField(
        label="How many",
        min_value=DRAWN_AT_ONCE[0],
        max_value=DRAWN_AT_ONCE[1],
        initial=USUAL,
    )
    since = forms.DateField(
        label="Done since",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Empty: any day.",
        error_messages={"invalid": "Give the day as year-month-day, such as 2026-03-01."},
    )


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def drawn(request: HttpRequest) -> HttpResponse:
    """What was drawn; draw anew."""
    form = DrawForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        actor, now = actor_of(request), timezone.now()
        try:
            draw_add(
                actor=actor,
                n_wanted=form.cleaned_data["n"],
                since=form.cleaned_data["since"],
                zone=time_zone_of(actor=actor),
                seed=new_seed(),
                now=now,
            )
        except ConflictError as error:
            form.add_error(None, error.message)
        else:
            return redirect("logs:drawn")
    report = drawn_report(actor=actor_of(request))
    status = UNPROCESSABLE if form.errors else 200
    return render(request, "solves/drawn.html", {"report": report, "form": form}, status=status)


@require_POST
@answers_refusals
def drawn_more(request: HttpRequest, draw_id: int) -> HttpResponse:
    """Ask for one more solve of each part of a draw."""
    try:
        draw_extend(actor=actor_of(request), draw_id=draw_id)
    except ConflictError as error:
        messages.warning(request, error.message)
    return redirect("logs:drawn")
