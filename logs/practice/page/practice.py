"""The practice page: one question at a time, until the day's practice is done."""

from random import SystemRandom
from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from cubecore.cases import CaseId
from cubecore.questions import Task
from logs.algorithms.selectors import said_of_member
from logs.errors import ConflictError
from logs.http.pages import actor_of, answers_refusals, whole_number
from logs.practice.report.practice import (
    ABOVE,
    VIEWS,
    Choice,
    Day,
    known_code,
    practice_round,
    practice_start,
)
from logs.practice.report.question import Answered, practice_question
from logs.practice.selectors import last_answer_id
from logs.practice.services import Given, practice_answer, practice_cap_change


@require_safe
def start(request: HttpRequest) -> HttpResponse:
    """What there is to practise, and how it went lately."""
    report = practice_start(
        actor=actor_of(request), choice=_choice(request.GET), now=timezone.now()
    )
    return render(request, "practice/practice.html", {"report": report})


@require_safe
@answers_refusals
def question(request: HttpRequest) -> HttpResponse:
    """The next question; or what the last answer was, if wrong; or the end of a round or the day."""
    actor, choice = actor_of(request), _choice(request.GET)
    begun = whole_number(request.GET.get("round"), -1)
    in_round = practice_round(
        actor=actor, begun=begun if begun >= 0 else last_answer_id(actor=actor)
    )
    going_on = _address(choice, begun=in_round.begun)
    answer_or_question = practice_question(
        actor=actor,
        choice=choice,
        last=whole_number(request.GET.get("last"), 0) or None,
        rng=SystemRandom(),
        now=timezone.now(),
    )
    context: dict[str, object] = {"round": in_round, "next": going_on}
    if isinstance(answer_or_question, Answered):
        context["answered"] = answer_or_question
        case = CaseId.read(answer_or_question.case.stage, answer_or_question.case.number)
        context["words"] = said_of_member(member=actor).words.get(case, ())
        return render(request, "practice/practice_answered.html", context)
    if in_round.is_done:
        context |= {"again": _address(choice), "choice": choice}
        return render(request, "practice/practice_round.html", context)
    if isinstance(answer_or_question, Day):
        context["day"] = answer_or_question
        return render(request, "practice/practice_done.html", context)
    context["question"] = answer_or_question
    return render(request, "practice/practice_question.html", context)


@require_POST
@answers_refusals
def answer(request: HttpRequest) -> HttpResponse:
    """Take an answer and go on."""
    sent = request.POST
    choice, begun = _choice(sent), whole_number(sent.get("round"), 0)
    given = Given(
        seal=sent.get("seal", ""),
        answered=sent.get("answer", ""),
        recognition_ms=whole_number(sent.get("ms"), 0) or None,
    )
    try:
        taken = practice_answer(actor=actor_of(request), given=given, now=timezone.now())
    except ConflictError as error:
        messages.warning(request, error.message)
        return redirect(_address(choice, begun=begun))
    return redirect(_address(choice, begun=begun, last=taken.pk))


def _choice(query: QueryDict) -> Choice:
    """What an address or a form asks for; what it asks wrongly is as if it did not."""
    task, view = query.get("task", ""), query.get("view", "")
    return Choice(
        what=known_code(query.get("what", "")),
        task=task if task in Task.__members__.values() else Task.CASE.value,
        view=view if view in VIEWS else ABOVE,
    )


def _address(choice: Choice, *, begun: int | None = None, last: int | None = None) -> str:
    query = {"what": choice.what, "task": choice.task, "view": choice.view}
    if begun is not None:
        query["round"] = str(begun)
    if last is not None:
        query["last"] = str(last)
    return f"{reverse('logs:practice-question')}?{urlencode(query)}"


@require_POST
@answers_refusals
def change(request: HttpRequest, slug: str) -> HttpResponse:
    """Have the club's members practise at most so much a day."""
    number = whole_number(request.POST.get("practice_cap", "").strip(), 0)
    try:
        club = practice_cap_change(actor=actor_of(request), slug=slug, practice_cap=number)
    except ValidationError as error:
        messages.warning(request, "Nothing was changed. " + " ".join(error.messages))
    else:
        messages.success(request, f"At most {club.practice_cap} a day in {club.name}.")
    return redirect(reverse("logs:homework-desk", args=[slug]) + "#practice")
