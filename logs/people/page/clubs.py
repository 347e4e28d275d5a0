"""The clubs one is in, and one's own place in them."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.errors import ConflictError
from logs.http.pages import actor_of, answers_refusals, origin_of
from logs.people.report.clubs import club_line, clubs_report
from logs.people.services.memberships import (
    display_name_change,
    membership_leave,
    visibility_change,
)
from logs.people.words import visibility_name


@require_safe
def club_list(request: HttpRequest) -> HttpResponse:
    """The clubs that the actor is in, and the way into another."""
    return render(request, "people/clubs.html", {"clubs": clubs_report(actor=actor_of(request))})


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def leave(request: HttpRequest, slug: str) -> HttpResponse:
    """Ask whether the actor wants to leave the club; leave it."""
    actor = actor_of(request)
    line = club_line(actor=actor, slug=slug)
    if request.method != "POST":
        return render(request, "people/leave.html", {"club": line})
    try:
        membership_leave(actor=actor, slug=slug, now=timezone.now(), origin=origin_of(request))
    except ConflictError as error:
        messages.warning(request, error.message)
        return redirect("logs:club-people", slug=slug)
    messages.success(request, f"You have left {line.name}. Your log stays yours.")
    return redirect("logs:club-list")


@require_POST
@answers_refusals
def visibility(request: HttpRequest, slug: str) -> HttpResponse:
    """Have the actor's log in this club be seen by those chosen, from now on."""
    try:
        own = visibility_change(
            actor=actor_of(request),
            slug=slug,
            visibility=request.POST.get("visibility", ""),
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
        return redirect("logs:privacy")
    who = visibility_name(own.visibility).lower()
    messages.success(request, f"Your log in {own.club.name} is seen by: {who}.")
    return redirect("logs:privacy")


@require_POST
@answers_refusals
def display_name(request: HttpRequest, slug: str) -> HttpResponse:
    """Change the name the club knows the actor by."""
    try:
        own = display_name_change(
            actor=actor_of(request),
            slug=slug,
            display_name=request.POST.get("display_name", ""),
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ValidationError as error:
        messages.warning(request, "The name was not changed. " + " ".join(error.messages))
        return redirect("logs:privacy")
    messages.success(request, f"{own.club.name} knows you as {own.display_name}.")
    return redirect("logs:privacy")
