"""Homework: what is asked of me, a coach's desk, setting and changing it, one of it."""

from collections.abc import Callable, Collection
from datetime import datetime
from functools import partial
from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.algorithms.report import TaughtCase, families, taught
from logs.algorithms.selectors import books_of_clubs, holds_of_club
from logs.cases.facts import case_of
from logs.errors import ConflictError, NotFoundError
from logs.homework.figures import USUAL_NUMBER, Way
from logs.homework.forms import CaseShownForm, ChangeForm, ExcuseForm, HomeworkForm, ReasonForm
from logs.homework.models import Homework
from logs.homework.report.data import AssignmentReport, Head
from logs.homework.report.homework import (
    assignment_report,
    club_homework,
    homework_report,
    member_choices,
    own_homework,
)
from logs.homework.selectors import homework_club_id
from logs.homework.services import (
    assignment_excuse,
    cases_mark_shown,
    homework_close,
    homework_edit,
    homework_set,
    homework_take_back,
)
from logs.http.pages import actor_of, answers_refusals, group_of, several, whole_number
from logs.people.services.trail import looked
from logs.people.sight import ClubName, ClubView, club_tabs, coached_club_get

UNPROCESSABLE = 422


def tabs_of(club: ClubName) -> ClubView:
    """What the tabs of a club read, on a page that only its coaches have."""
    return ClubView(club, is_coach=True, members=(), hides_names=False)


def taught_cases(codes: Collection[str], club_id: int | None = None) -> dict[str, TaughtCase]:
    """Cases by code as a club's book teaches them; as the standard book does without a club."""
    book = None if club_id is None else books_of_clubs(clubs=[club_id])[club_id]
    holds = {} if club_id is None else holds_of_club(club=club_id)
    return {
        code: taught(case, book, holds) for code in codes if (case := case_of(code)) is not None
    }


@require_safe
def own(request: HttpRequest) -> HttpResponse:
    """What is asked of the actor."""
    report = own_homework(actor=actor_of(request), now=timezone.now())
    codes = {case.code for asked in report.open for case in asked.head.cases}
    context = {"report": report, "taught": taught_cases(codes)}
    return render(request, "homework/homework_own.html", context)


@require_safe
@answers_refusals
def desk(request: HttpRequest, slug: str) -> HttpResponse:
    """All homework of a club, for its coaches."""
    actor = actor_of(request)
    view = club_tabs(actor=actor, slug=slug, group_id=group_of(request.GET))
    report = club_homework(actor=actor, slug=slug, group=view.group, now=timezone.now())
    looked(request, "homework", report.membership_ids)
    context = {"report": report, "view": view}
    return render(request, "homework/homework_desk.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def new(request: HttpRequest, slug: str) -> HttpResponse:
    """Set homework."""
    if request.method == "POST":
        return homework_sent(request, slug, partial(homework_set, slug=slug))
    query = request.GET
    cases, members = several(query, "case"), [whole_number(m, 0) for m in several(query, "member")]
    if group_id := group_of(query):
        group = club_tabs(actor=actor_of(request), slug=slug, group_id=group_id).group
        members += [] if group is None else group.membership_ids
    return homework_form(request, slug, cases, members)


def homework_form(
    request: HttpRequest, slug: str, cases: Collection[str], members: Collection[int]
) -> HttpResponse:
    """The form of new homework, begun with these cases and memberships."""
    initial = {"case": cases, "member": members, "goal": "one_look", "way": Way.DRILLS.value}
    return _form_page(request, slug, HomeworkForm(initial=initial), cases, members)


def homework_sent(
    request: HttpRequest, slug: str, set_homework: Callable[..., Homework]
) -> HttpResponse:
    """Set the homework of the form that was sent, by ``set_homework``, or show the form again."""
    form = HomeworkForm(request.POST)
    if form.is_valid():
        try:
            return _set(request, form, timezone.now(), set_homework)
        except ConflictError as error:
            form.add_error(None, error.message)
        except ValidationError as error:
            form.add_error(None, error)
    cases = several(request.POST, "case")
    members = [whole_number(member, 0) for member in several(request.POST, "member")]
    return _form_page(request, slug, form, cases, members)


def _set(
    request: HttpRequest, form: HomeworkForm, now: datetime, set_homework: Callable[..., Homework]
) -> HttpResponse:
    homework = set_homework(actor=actor_of(request), plan=form.plan(), now=now)
    messages.success(request, "Homework is set. It fills itself from what members do from now on.")
    return redirect("logs:homework", homework_id=homework.pk)


def _form_page(
    request: HttpRequest,
    slug: str,
    form: ChangeForm,
    cases: Collection[str],
    members: Collection[int],
    head: Head | None = None,
) -> HttpResponse:
    """The form of a homework that is new, or of ``head`` that is changed."""
    actor = actor_of(request)
    club = coached_club_get(actor=actor, slug=slug)
    choices = member_choices(actor=actor, slug=slug, now=timezone.now())
    looked(request, "homework", [choice.membership_id for choice in choices if choice.is_visible])
    context = {
        "club": ClubName(club.name, club.slug),
        "choices": choices,
        "form": form,
        "head": head,
        "families": families(),
        "picked": taught_cases(cases, club.pk),
        "members": set(members),
        "view": club_tabs(actor=actor, slug=slug, group_id=group_of(request.GET)),
        "usual_number": USUAL_NUMBER,
    }
    status = UNPROCESSABLE if form.is_bound and form.errors else 200
    return render(request, "homework/homework_new.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def edit(request: HttpRequest, homework_id: int) -> HttpResponse:
    """Change the cases, members, date and words of a homework."""
    actor, now = actor_of(request), timezone.now()
    report = homework_report(actor=actor, homework_id=homework_id, now=now)
    if request.method == "POST":
        form = ChangeForm(request.POST)
        if form.is_valid():
            try:
                homework_edit(actor=actor, homework_id=homework_id, change=form.change(), now=now)
                return redirect("logs:homework", homework_id=homework_id)
            except ConflictError as error:
                form.add_error(None, error.message)
            except ValidationError as error:
                form.add_error(None, error)
        cases = several(request.POST, "case")
        members = [whole_number(member, 0) for member in several(request.POST, "member")]
    else:
        form = ChangeForm(initial={"due_on": report.head.due_on, "note": report.head.note})
        cases = [case.code for case in report.head.cases]
        members = [member.membership_id for member in report.members]
        members += [member.membership_id for member in report.hidden]
    return _form_page(request, report.head.club.slug, form, cases, members, report.head)


@require_safe
@answers_refusals
def one(request: HttpRequest, homework_id: int) -> HttpResponse:
    """A homework: all of it for a coach, their own part for a member."""
    return _one(request, homework_id)


def _one(request: HttpRequest, homework_id: int, form: ReasonForm | None = None) -> HttpResponse:
    actor, now = actor_of(request), timezone.now()
    try:
        report = homework_report(actor=actor, homework_id=homework_id, now=now)
    except NotFoundError:
        own_part = assignment_report(
            actor=actor, homework_id=homework_id, membership_id=None, now=now
        )
        return render(request, "homework/assignment.html", _part_context(own_part))
    looked(request, "homework", [member.membership_id for member in report.members])
    context = {"report": report, "form": form or ReasonForm()}
    status = UNPROCESSABLE if form is not None else 200
    return render(request, "homework/homework.html", context, status=status)


def _part_context(report: AssignmentReport) -> dict[str, Any]:
    club_id = homework_club_id(homework_id=report.head.id)
    codes = [progress.case.code for progress in report.member.cases]
    return {"report": report, "taught": taught_cases(codes, club_id)}


@require_safe
@answers_refusals
def assignment(request: HttpRequest, homework_id: int, membership_id: int) -> HttpResponse:
    """One member's part of a homework, with the sightings behind it."""
    return _part_page(request, homework_id, membership_id)


def _part_page(
    request: HttpRequest, homework_id: int, membership_id: int, form: ExcuseForm | None = None
) -> HttpResponse:
    actor = actor_of(request)
    report = assignment_report(
        actor=actor, homework_id=homework_id, membership_id=membership_id, now=timezone.now()
    )
    looked(request, "homework", [report.member.membership_id])
    context = _part_context(report) | {"form": form or ExcuseForm()}
    status = UNPROCESSABLE if form is not None else 200
    return render(request, "homework/assignment.html", context, status=status)


@require_POST
@answers_refusals
def close(request: HttpRequest, homework_id: int) -> HttpResponse:
    """Close a homework, with a reason."""
    actor, now = actor_of(request), timezone.now()
    homework_report(actor=actor, homework_id=homework_id, now=now)
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _one(request, homework_id, form)
    try:
        homework_close(
            actor=actor, homework_id=homework_id, reason=form.cleaned_data["reason"], now=now
        )
    except ConflictError as error:
        messages.info(request, error.message)
    return redirect("logs:homework", homework_id=homework_id)


@require_POST
@answers_refusals
def take_back(request: HttpRequest, homework_id: int) -> HttpResponse:
    """Take back a homework that was set within the last day."""
    actor, now = actor_of(request), timezone.now()
    report = homework_report(actor=actor, homework_id=homework_id, now=now)
    try:
        homework_take_back(actor=actor, homework_id=homework_id, now=now)
    except ConflictError as error:
        messages.info(request, error.message)
        return redirect("logs:homework", homework_id=homework_id)
    messages.success(request, "The homework is taken back.")
    return redirect("logs:homework-desk", slug=report.head.club.slug)


@require_POST
@answers_refusals
def mark_shown(request: HttpRequest, homework_id: int, membership_id: int) -> HttpResponse:
    """Keep that a member showed the coach a case, or take that back."""
    actor, now = actor_of(request), timezone.now()
    report = homework_report(actor=actor, homework_id=homework_id, now=now)
    form = CaseShownForm(request.POST)
    if form.is_valid():
        try:
            cases_mark_shown(
                actor=actor,
                homework_id=homework_id,
                membership_id=membership_id,
                cases=form.cleaned_data["case"],
                is_shown=form.cleaned_data["is_shown"],
                now=now,
            )
        except ConflictError as error:
            messages.info(request, error.message)
        except ValidationError as error:
            messages.error(request, " ".join(error.messages))
    else:
        messages.error(request, "Choose a case of this homework.")
    return redirect("logs:homework", homework_id=report.head.id)


@require_POST
@answers_refusals
def excuse(request: HttpRequest, homework_id: int, membership_id: int) -> HttpResponse:
    """Excuse a member from cases, with a reason."""
    actor, now = actor_of(request), timezone.now()
    homework_report(actor=actor, homework_id=homework_id, now=now)
    form = ExcuseForm(request.POST)
    if not form.is_valid():
        return _part_page(request, homework_id, membership_id, form)
    try:
        assignment_excuse(
            actor=actor,
            homework_id=homework_id,
            membership_id=membership_id,
            cases=form.cleaned_data["case"],
            reason=form.cleaned_data["reason"],
            now=now,
        )
    except ConflictError as error:
        messages.info(request, error.message)
    except ValidationError as error:
        form.add_error(None, error)
        return _part_page(request, homework_id, membership_id, form)
    return redirect("logs:assignment", homework_id=homework_id, membership_id=membership_id)
