"""The first page, a club's members, what an upload meant, calendars and letters."""

from collections.abc import Mapping
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.algorithms.report import taught
from logs.algorithms.selectors import book_of_member, holds_of_member
from logs.cases.facts import case_of
from logs.errors import ConflictError
from logs.home.letters import letter_membership
from logs.home.models import DeskVisit
from logs.home.report.calendar import calendar_days
from logs.home.report.desk import desk_report, first_coached_club
from logs.home.report.home import home_report
from logs.home.report.members import MemberChoice, MemberOrder, members_page
from logs.home.report.uploads import upload_meaning
from logs.home.selectors import desk_visit, feed_member, feed_of, letter_of
from logs.home.services import (
    desk_visit_note,
    feed_make,
    feed_withdraw,
    hash_secret,
    letter_end,
    letter_switch,
    secret_of_seed,
)
from logs.home.words import ORDERS, calendar_text
from logs.http.pages import actor_of, answers_refusals, group_of
from logs.limits import DISPLAY_NAME
from logs.people.services.trail import looked
from logs.people.sight import club_sight, coached_clubs
from logs.solves.page.log import upload_page

FIRST_SINCE = timedelta(days=7)
SAME_VISIT = timedelta(hours=1)
COACHED = "coached_club"
"""Where the session keeps the club whose word stands in the masthead."""


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
    book, holds = book_of_member(member=actor), holds_of_member(member=actor)
    held = {
        case.case.code: taught(found, book, holds)
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
    sight = club_sight(actor=actor, slug=slug)
    since, before = _since(desk_visit(sight=sight), now)
    report = desk_report(sight=sight, since=since, mix_ups_before=before, now=now)
    if request.method == "GET":
        club = report.view.club
        coached = {"slug": club.slug, "name": club.name}
        if request.session.get(COACHED) != coached:
            request.session[COACHED] = coached
        desk_visit_note(
            sight=sight, since=since, mix_ups=report.mix_ups, mix_ups_before=before, now=now
        )
    looked(request, "desk", [member.membership_id for member in report.view.members])
    letter = letter_of(sight=sight) if settings.SENDS_MAIL else None
    context = {"report": report, "letter": letter, "mail_address": actor.email}
    return render(request, "home/desk.html", context)


def _since(visit: DeskVisit | None, now: datetime) -> tuple[datetime, Mapping[str, int] | None]:
    """When the desk was last opened before this visit, and the mix-ups that stood on it then."""
    if visit is None:
        return now - FIRST_SINCE, None
    if now - visit.seen_at < SAME_VISIT:
        return visit.since_at, visit.mix_ups_before
    return visit.seen_at, visit.mix_ups


@require_safe
def member_list(request: HttpRequest) -> HttpResponse:
    """The members of the actor's clubs."""
    query = request.GET
    order = query.get("order", "")
    choice = MemberChoice(
        query=query.get("q", "").strip()[:DISPLAY_NAME],
        group_id=group_of(query),
        order=MemberOrder(order) if order in MemberOrder.__members__.values() else MemberOrder.NAME,
    )
    report = members_page(actor=actor_of(request), choice=choice)
    looked(request, "members", report.membership_ids)
    return render(request, "home/members.html", {"report": report, "orders": ORDERS})


@require_safe
@answers_refusals
def upload(request: HttpRequest, upload_id: int) -> HttpResponse:
    """What became of an upload, and what it meant."""
    meaning = upload_meaning(actor=actor_of(request), upload_id=upload_id, now=timezone.now())
    return upload_page(request, upload_id, meaning=meaning)


SHOWN_DAYS = 12
"""So many of the last dates of a calendar stand on its page."""


@require_http_methods(["GET", "HEAD", "POST"])
def calendar(request: HttpRequest) -> HttpResponse:
    """The secret address of the actor's calendar; make one, or withdraw it."""
    actor = actor_of(request)
    if request.method == "POST":
        if request.POST.get("what") == "withdraw":
            feed_withdraw(actor=actor)
            messages.success(request, "The address is withdrawn: it works no more.")
        else:
            feed_make(actor=actor, now=timezone.now())
        return redirect("logs:calendar")
    feed, address = feed_of(actor=actor), ""
    if feed is not None:
        path = reverse("logs:calendar-feed", args=(secret_of_seed(feed.seed),))
        address = request.build_absolute_uri(path)
    context = {
        "address": address,
        "is_coach": bool(coached_clubs(actor=actor)),
        "days": calendar_days(actor=actor)[-SHOWN_DAYS:],
    }
    return render(request, "home/calendar.html", context)


@login_not_required
@require_safe
@answers_refusals
def calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar that a secret opens, for a calendar program."""
    member = feed_member(secret_hash=hash_secret(secret))
    site = f"{request.scheme}://{request.get_host()}"
    days = calendar_days(actor=member)
    text = calendar_text(days, site=site, name=settings.SITE_NAME, now=timezone.now())
    return HttpResponse(
        text,
        content_type="text/calendar; charset=utf-8",
        headers={"Content-Disposition": 'inline; filename="club.ics"'},
    )


@require_POST
@answers_refusals
def letter(request: HttpRequest, slug: str) -> HttpResponse:
    """Have the desk mailed to the actor once a week, or no more."""
    is_wanted = request.POST.get("wanted") == "yes"
    try:
        letter_switch(actor=actor_of(request), slug=slug, is_wanted=is_wanted, now=timezone.now())
    except ConflictError as error:
        messages.warning(request, error.message)
    else:
        words = "The desk comes by mail each Monday." if is_wanted else "No more letters are sent."
        messages.success(request, words)
    return redirect("logs:desk", slug=slug)


@csrf_exempt
@login_not_required
@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def letter_off(request: HttpRequest, token: str) -> HttpResponse:
    """End a weekly letter by the link in it; mail programs send the same POST (RFC 8058, 3.1)."""
    membership_id = letter_membership(token)
    if request.method == "POST":
        letter_end(membership_id=membership_id)
    return render(request, "home/letter_end.html", {"is_ended": request.method == "POST"})
