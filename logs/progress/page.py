"""One case, and a member's progress."""

from enum import StrEnum
from typing import TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from cubecore.cases import Stage
from logs.cases.report import information_report
from logs.http.pages import actor_of, answers_refusals, whole_number
from logs.people.services.trail import looked
from logs.people.sight import today_of
from logs.progress.case_charts import lettered_marks, sightings_figure
from logs.progress.charts import progress_figures
from logs.progress.figures.cases import CaseOrder
from logs.progress.report.case import case_report
from logs.progress.report.progress import Choice, LooksChoice, families_of, progress_report
from logs.progress.services import MAX_WORD, time_mark_add, time_mark_remove
from logs.progress.words import LOOKS, ORDERS
from logs.stats.curves import FITTED_FROM, JUDGED, JUDGED_FROM
from logs.stats.grid import HOLLOW_BELOW


@require_safe
@answers_refusals
def case(request: HttpRequest, stage: str, number: str) -> HttpResponse:
    """One case, with the actor's sightings of it; from another angle if the address says so."""
    angle = request.GET.get("angle")
    actor = actor_of(request)
    report = case_report(
        actor=actor,
        stage=stage,
        number=number,
        angle=None if angle is None else whole_number(angle, 0),
        now=timezone.now(),
    )
    context = {
        "report": report,
        "zone": report.zone,
        "times_figure": sightings_figure(report.times, report.zone),
        "marks": lettered_marks(report.times.marks),
        "curve_from": FITTED_FROM,
    }
    return render(request, "progress/case.html", context)


@require_safe
def information(request: HttpRequest) -> HttpResponse:
    """What each look at the last layer gives away."""
    return render(request, "progress/information.html", {"stages": information_report()})


class TimeMarkForm(forms.Form):
    """A day and a word."""

    day = forms.DateField(
        label="Day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Give the day as year-month-day, such as 2026-03-01."},
    )
    word = forms.CharField(
        label="What happened",
        max_length=MAX_WORD,
        widget=forms.TextInput(attrs={"placeholder": "new cube"}),
    )


UNPROCESSABLE = 422


@require_safe
@answers_refusals
def progress(request: HttpRequest, membership_id: int | None = None) -> HttpResponse:
    """The actor's progress, or that of a member whose log they may read."""
    return _page(request, membership_id)


def _page(
    request: HttpRequest, membership_id: int | None = None, form: TimeMarkForm | None = None
) -> HttpResponse:
    report = progress_report(
        actor=actor_of(request),
        membership_id=membership_id,
        choice=_choice(request.GET),
        now=timezone.now(),
    )
    looked(request, "progress", [report.whose.membership_id])
    solves_url = (
        reverse("logs:solve-list")
        if report.whose.is_own
        else reverse("logs:member-solve-list", args=[report.whose.membership_id])
    )
    context = {
        "solves_url": solves_url,
        "is_chosen": any(name in request.GET for name in ("family", "order", "looks")),
        "report": report,
        "orders": ORDERS,
        "looks": LOOKS,
        "families": families_of(report.choice.stage),
        **progress_figures(report, solves_url=solves_url),
        "form": form or TimeMarkForm(),
        "hollow_below": HOLLOW_BELOW,
        "judged_from": JUDGED_FROM,
        "judged": JUDGED,
    }
    status = UNPROCESSABLE if form is not None else 200
    return render(request, "progress/progress.html", context, status=status)


@require_POST
@answers_refusals
def mark_add(request: HttpRequest) -> HttpResponse:
    """Mark a day on the axis of the actor's times."""
    actor = actor_of(request)
    form = TimeMarkForm(request.POST)
    if not form.is_valid():
        return _page(request, form=form)
    try:
        time_mark_add(
            actor=actor,
            day=form.cleaned_data["day"],
            word=form.cleaned_data["word"],
            today=today_of(actor=actor, now=timezone.now()),
        )
    except ValidationError as error:
        form.add_error(None, error)
        return _page(request, form=form)
    return redirect(f"{reverse('logs:progress')}#marks")


@require_POST
@answers_refusals
def mark_remove(request: HttpRequest, mark_id: int) -> HttpResponse:
    """Remove a mark of the actor's own."""
    time_mark_remove(actor=actor_of(request), mark_id=mark_id)
    return redirect(f"{reverse('logs:progress')}#marks")


def _choice(query: QueryDict) -> Choice:
    """What the address asks for; what it asks wrongly is as if it did not."""
    stage = one_of(Stage, query.get("stage", ""), Stage.OLL)
    family = query.get("family", "")
    return Choice(
        stage=stage,
        family=family if family in families_of(stage) else "",
        order=one_of(CaseOrder, query.get("order", ""), CaseOrder.COST),
        looks=one_of(LooksChoice, query.get("looks", ""), LooksChoice.ONE),
    )


Word = TypeVar("Word", bound=StrEnum)


def one_of(words: type[Word], text: str, default: Word) -> Word:
    """The word that ``text`` is; ``default`` where it is none."""
    return words(text) if text in words.__members__.values() else default
