"""All cases, a member's own word on them, and the poster."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from logs.case_map.pdf import PosterPaper, poster_pdf
from logs.case_map.report import Only, case_map
from logs.case_map.services import known_by_word_set
from logs.cases.facts import case_of
from logs.http.pages import actor_of, answers_refusals, several


@require_safe
def case_list(request: HttpRequest) -> HttpResponse:
    """All cases by family; some of them if the address says so."""
    asked = request.GET.get("only", "")
    only = Only(asked) if asked in Only.__members__.values() else Only.ALL
    report = case_map(actor=actor_of(request), now=timezone.now(), only=only)
    return render(request, "case_map/cases.html", {"report": report})


@require_POST
@answers_refusals
def say(request: HttpRequest) -> HttpResponse:
    """Keep the actor's word on the cases that no solve of theirs shows."""
    actor = actor_of(request)
    unmet = case_map(actor=actor, now=timezone.now()).askable
    among = [
        known.id for group in unmet for one in group.cases if (known := case_of(one.case.code))
    ]
    ticked = [case.id for code in several(request.POST, "case") if (case := case_of(code))]
    n_known = known_by_word_set(actor=actor, cases=ticked, among=among, now=timezone.now())
    messages.success(request, f"By your own word: {n_known} in one look.")
    return redirect(reverse("logs:case-list") + "#my-word")


@require_safe
def poster(request: HttpRequest) -> HttpResponse:
    """All cases on one page of paper."""
    report = case_map(actor=actor_of(request), now=timezone.now())
    paper = _paper(request)
    papers = [(one.upper(), one == paper, f"?paper={one}") for one in PosterPaper]
    return render(
        request,
        "case_map/poster.html",
        {"report": report, "paper": paper.value, "papers": papers},
    )


@require_safe
def pdf(request: HttpRequest) -> HttpResponse:
    """The poster as PDF."""
    now = timezone.now()
    report = case_map(actor=actor_of(request), now=now)
    response = HttpResponse(
        poster_pdf(report, paper=_paper(request), now=now), content_type="application/pdf"
    )
    response["Content-Disposition"] = 'inline; filename="cases.pdf"'
    return response


def _paper(request: HttpRequest) -> PosterPaper:
    asked = request.GET.get("paper", "")
    return PosterPaper(asked) if asked in PosterPaper.__members__.values() else PosterPaper.A4
