"""A drill dealt on screen: done, and then the member's own word on how it went."""

from random import SystemRandom

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import urlencode
from django.views.decorators.http import require_http_methods

from cubecore.cases import CASES
from logs.algorithms.report import taught
from logs.algorithms.selectors import book_of_member
from logs.cases.facts import case_of
from logs.errors import ConflictError
from logs.homework.figures import DrillWord
from logs.homework.forms import DrillWordForm
from logs.homework.services import drill_answer, drill_seal
from logs.http.pages import actor_of, answers_refusals
from logs.practice.report.drills import one_drill
from logs.practice.selectors import cases_asked, drills_left


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def drill(request: HttpRequest) -> HttpResponse:
    """Deal a drill of the case in the address, or of one that homework asks; take the word on it."""
    if request.method == "POST":
        return _take_word(request)
    actor, now = actor_of(request), timezone.now()
    rng = SystemRandom()
    asked = cases_asked(actor=actor)
    code = request.GET.get("case", "")
    case = case_of(code) or (CASES[rng.choice(asked)] if asked else None)
    n_left = drills_left(actor=actor, now=now)
    context: dict[str, object] = {"n_left": n_left, "code": code}
    if case is not None and n_left:
        dealt, hold = one_drill(actor=actor, case=case, rng=rng)
        context |= {
            "scramble": dealt.scramble,
            "hold": hold,
            "taught": taught(case, book_of_member(member=actor)),
            "seal": drill_seal(actor=actor, case=case.id, scramble=dealt.scramble),
        }
    return render(request, "practice/drill_one.html", context)


def _take_word(request: HttpRequest) -> HttpResponse:
    actor, now = actor_of(request), timezone.now()
    form = DrillWordForm(request.POST)
    if form.is_valid():
        try:
            drill_answer(
                actor=actor,
                seal=form.cleaned_data["seal"],
                word=DrillWord(form.cleaned_data["word"]),
                n_left=drills_left(actor=actor, now=now),
                now=now,
            )
        except ConflictError as error:
            messages.warning(request, error.message)
        else:
            messages.success(request, "Kept: by your own word.")
    else:
        messages.warning(request, "Say how it went by one of the three buttons.")
    case = request.POST.get("case", "")
    query = f"?{urlencode({'case': case})}" if case_of(case) else ""
    return redirect(reverse("logs:drill-one") + query)
