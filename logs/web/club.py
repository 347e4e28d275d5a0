"""The members a reader may look up, and how each figure is made."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from logs.reports.how import how_report
from logs.reports.people import members_report
from logs.web.pages import actor_of


@require_safe
def member_list(request: HttpRequest) -> HttpResponse:
    """The members whose logs the actor may open."""
    report = members_report(actor=actor_of(request))
    return render(request, "logs/members.html", {"report": report})


@require_safe
def how(request: HttpRequest) -> HttpResponse:
    """How each figure is made, in plain words."""
    return render(request, "logs/how.html", {"groups": how_report()})
