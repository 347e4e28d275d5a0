"""A lesson on the wall for its coach, and the phones in front of it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import (
    conditional_page,
    require_http_methods,
    require_POST,
    require_safe,
)

from logs.errors import ConflictError, NotFoundError
from logs.http.pages import actor_of, answers_refusals, whole_number
from logs.wall.report import phone_report, phone_version, room_counts, wall_report
from logs.wall.services import seat_answer, seat_take, wall_close, wall_open, wall_show

NO_QUESTION = 999


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def wall(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """A lesson on the wall; to put it there is a press, so that phones can answer."""
    actor, now = actor_of(request), timezone.now()
    if request.method == "POST":
        wall_open(actor=actor, lesson_id=lesson_id, now=now)
        return redirect("logs:lesson-wall", lesson_id=lesson_id)
    report = wall_report(actor=actor, lesson_id=lesson_id, now=now)
    join = reverse("logs:wall-seat", args=[report.code]) if report.code else ""
    context = {
        "report": report,
        "join": request.build_absolute_uri(join) if join else "",
        "site": f"{request.get_host()}{reverse('logs:wall-join')}",
    }
    return render(request, "wall/wall.html", context)


@require_POST
@answers_refusals
def show(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Take what is on the wall now."""
    place = whole_number(request.POST.get("asked"), -1)
    wall_show(
        actor=actor_of(request),
        lesson_id=lesson_id,
        asked=None if place < 0 else place,
        is_told=request.POST.get("is_told") == "1",
        now=timezone.now(),
    )
    return HttpResponse(status=204)


@require_safe
@answers_refusals
def counts(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """How many answered, and what once it is turned over."""
    room = room_counts(actor=actor_of(request), lesson_id=lesson_id, now=timezone.now())
    answer = JsonResponse(
        {
            "n_seats": room.n_seats,
            "asked": room.asked,
            "is_told": room.is_told,
            "n_answered": room.n_answered,
            "choices": {choice.value: choice.n for choice in room.choices},
        }
    )
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_POST
@answers_refusals
def close(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Take a lesson off the wall."""
    wall_close(actor=actor_of(request), lesson_id=lesson_id, now=timezone.now())
    messages.success(request, "The wall is closed. What the room answered there is deleted.")
    return redirect("logs:lesson", lesson_id=lesson_id)


@require_http_methods(["GET", "HEAD", "POST"])
def join(request: HttpRequest) -> HttpResponse:
    """Join a lesson on the wall by its code."""
    code = request.POST.get("code", "").strip().upper()
    is_wrong = False
    if request.method == "POST":
        try:
            seat_take(actor=actor_of(request), code=code, now=timezone.now())
        except NotFoundError:
            is_wrong = True
        else:
            return redirect("logs:wall-seat", code=code)
    context = {"code": code[:10], "is_wrong": is_wrong}
    return render(request, "wall/join.html", context, status=422 if is_wrong else 200)


@require_safe
@answers_refusals
def seat(request: HttpRequest, code: str) -> HttpResponse:
    """What is on the wall, on a phone in front of it."""
    report = phone_report(actor=actor_of(request), code=code, now=timezone.now())
    context = {"report": report, "is_kept": request.session.get(KEEP) == report.code}
    return render(request, "wall/seat.html", context)


KEEP = "wall_keep"
"""Under this a session remembers the wall whose answers its member wants to keep."""


@require_safe
@conditional_page
@answers_refusals
def now_on(request: HttpRequest, code: str) -> HttpResponse:
    """What changes when anything on the phone should: asked again and again, answered 304."""
    version = phone_version(actor=actor_of(request), code=code, now=timezone.now())
    answer = JsonResponse({"version": version})
    answer["Cache-Control"] = "private, no-cache"
    return answer


@require_POST
@answers_refusals
def answer(request: HttpRequest, code: str) -> HttpResponse:
    """Take a member's answer."""
    is_kept = request.POST.get("keep") == "1"
    if is_kept != (request.session.get(KEEP) == code.upper()):
        request.session[KEEP] = code.upper() if is_kept else ""
    try:
        is_in_practice = seat_answer(
            actor=actor_of(request),
            code=code,
            place=whole_number(request.POST.get("asked"), NO_QUESTION),
            answered=request.POST.get("answer", ""),
            is_kept=is_kept,
            now=timezone.now(),
        )
    except ConflictError as error:
        messages.warning(request, error.message)
    else:
        if is_kept and not is_in_practice:
            messages.info(request, "It counts here. Your practice of today is full, so not there.")
    return redirect("logs:wall-seat", code=code)
