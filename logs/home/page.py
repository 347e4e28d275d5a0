"""The first page: a coach's desk, or a member's home."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from logs.algorithms.report import taught
from logs.algorithms.selectors import book_of_member
from logs.cases.facts import case_of
from logs.home.report import DeskReport, desk_report, first_coached_club, home_report
from logs.http.pages import actor_of, answers_refusals
from logs.people.services.trail import looked

FIRST_SINCE = timedelta(days=7)
SAME_VISIT = timedelta(hours=1)
COACHED = "coached_club"
"""Where the session keeps the club whose word stands in the masthead."""
SEEN = "desks"
"""Where the session keeps when each desk was opened, and the mix-ups that stood on it."""


@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """The desk of who coaches a club, the home of everybody else."""
    slug = first_coached_club(actor=actor_of(request))
    if slug:
        return redirect("logs:desk", slug=slug)
    request.session.pop(COACHED, None)
    return own(request)


@require_safe
def own(request: HttpRequest) -> HttpResponse:
    """The actor's home as a member."""
    actor = actor_of(request)
    report = home_report(actor=actor, now=timezone.now())
    book = book_of_member(member=actor)
    held = {
        case.case.code: taught(found, book)
        for asked in report.homework
        for case in asked.member.cases
        if (found := case_of(case.case.code)) is not None
    }
    return render(request, "home/home.html", {"report": report, "taught": held})


@require_safe
@answers_refusals
def desk(request: HttpRequest, slug: str) -> HttpResponse:
    """What there is for a coach of a club since they last opened this page."""
    actor, now = actor_of(request), timezone.now()
    desks = request.session.get(SEEN, {})
    since, before = _since(desks.get(slug, {}), now)
    report = desk_report(actor=actor, slug=slug, since=since, mix_ups_before=before, now=now)
    if request.method == "GET":
        club = report.view.club
        request.session[COACHED] = {"slug": club.slug, "name": club.name}
        request.session[SEEN] = desks | {slug: _seen(report, before, now)}
    looked(request, "desk", [member.membership_id for member in report.view.members])
    return render(request, "home/desk.html", {"report": report})


def _since(entry: Mapping[str, object], now: datetime) -> tuple[datetime, Mapping[str, int] | None]:
    """When the desk was last opened before this visit, and the mix-ups that stood on it then."""
    if not entry:
        return now - FIRST_SINCE, None
    is_same = now - datetime.fromisoformat(str(entry["seen_at"])) < SAME_VISIT
    since = datetime.fromisoformat(str(entry["since_at" if is_same else "seen_at"]))
    before = entry["mix_ups_before" if is_same else "mix_ups"]
    return since, before if isinstance(before, dict) else None


def _seen(report: DeskReport, before: Mapping[str, int] | None, now: datetime) -> dict[str, object]:
    """What the session keeps of a visit."""
    return {
        "seen_at": now.isoformat(),
        "since_at": report.since_at.isoformat(),
        "mix_ups": dict(report.mix_ups),
        "mix_ups_before": None if before is None else dict(before),
    }
