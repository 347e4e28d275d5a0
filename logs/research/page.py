"""The research export of a club, and each member's own word on it."""

import secrets
from typing import cast

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from logs.errors import ConflictError
from logs.http.pages import actor_of, address_of, answers_refusals, origin_of
from logs.research.figures import ABOUT, COLUMNS
from logs.research.report import PARQUET, REFUSAL, research_file, research_report
from logs.research.services import research_change


@require_safe
@answers_refusals
def research(request: HttpRequest, slug: str) -> HttpResponse:
    """What the club's export holds, and whether enough members agreed, for its coaches."""
    report = research_report(actor=actor_of(request), slug=slug)
    context = {"report": report, "about": ABOUT, "refusal": REFUSAL}
    return render(request, "research/research.html", context)


@require_safe
@answers_refusals
def export(request: HttpRequest, slug: str) -> HttpResponse:
    """The export as a Parquet file; its made-up names are of this file alone."""
    if request.method == "HEAD":
        if research_report(actor=actor_of(request), slug=slug).is_open:
            return HttpResponse(content_type=PARQUET)
        return redirect("logs:research", slug=slug)
    try:
        file = research_file(
            actor=actor_of(request),
            slug=slug,
            key=secrets.token_bytes(32),
            address=address_of(request),
            now=timezone.now(),
            origin=origin_of(request),
        )
    except ConflictError as error:
        messages.warning(request, error.message)
        return redirect("logs:research", slug=slug)
    name = f"{slug}-research.parquet"
    answer = FileResponse(file, as_attachment=True, filename=name, content_type=PARQUET)
    return cast("HttpResponse", answer)  # both are answers; the stubs part them


@require_safe
def dictionary(request: HttpRequest) -> HttpResponse:
    """What stands in a research export, for everybody who thinks about agreeing."""
    return render(
        request, "research/research_dictionary.html", {"columns": COLUMNS, "about": ABOUT}
    )


@require_POST
@answers_refusals
def change(request: HttpRequest, slug: str) -> HttpResponse:
    """Have the actor's sightings go into the club's exports, or no longer."""
    own = research_change(
        actor=actor_of(request),
        slug=slug,
        is_in=request.POST.get("research") == "yes",
        now=timezone.now(),
        origin=origin_of(request),
    )
    does = "may go" if own.is_in_research else "do not go"
    messages.success(request, f"The cases you met {does} into research exports of {own.club.name}.")
    return redirect("logs:privacy")
