"""The grid of cases, and one case."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from logs.reports.case_pages import case_report, cases_report
from logs.reports.information import information_report
from logs.web.pages import actor_of, whole_number
from logs.web.refusals import answers_refusals


@require_safe
def case_list(request: HttpRequest) -> HttpResponse:
    """All cases, with the actor's counts."""
    return render(request, "logs/cases.html", {"report": cases_report(actor=actor_of(request))})


@require_safe
@answers_refusals
def case(request: HttpRequest, stage: str, number: str) -> HttpResponse:
    """One case, with the actor's sightings of it; from another angle if the address says so."""
    angle = request.GET.get("angle")
    report = case_report(
        actor=actor_of(request),
        stage=stage,
        number=number,
        angle=None if angle is None else whole_number(angle, 0),
        now=timezone.now(),
    )
    return render(request, "logs/case.html", {"report": report})


@require_safe
def information(request: HttpRequest) -> HttpResponse:
    """What each look at the last layer gives away."""
    return render(request, "logs/information.html", {"stages": information_report()})
