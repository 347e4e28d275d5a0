"""Homework: what is asked of me, a coach's desk, setting it, one of it."""

from datetime import datetime

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.errors import ConflictError, DueDateError, NotFoundError
from logs.reports.homework import (
    assignment_report,
    club_homework,
    homework_report,
    own_homework,
)
from logs.reports.homework_form import forecast_lines, form_report, lesson_start
from logs.reports.teaching import families
from logs.services.homework import assignment_excuse, homework_close, homework_set
from logs.services.lessons import lesson_make_homework
from logs.web.forms_homework import ExcuseForm, HomeworkForm, ReasonForm
from logs.web.looks import looked
from logs.web.pages import actor_of, whole_number
from logs.web.refusals import answers_refusals

UNPROCESSABLE = 422


@require_safe
def own(request: HttpRequest) -> HttpResponse:
    """What is asked of the actor."""
    report = own_homework(actor=actor_of(request), now=timezone.now())
    return render(request, "logs/homework_own.html", {"report": report})


@require_safe
@answers_refusals
def desk(request: HttpRequest, slug: str) -> HttpResponse:
    """All homework of a club, for its coaches."""
    report = club_homework(actor=actor_of(request), slug=slug, now=timezone.now())
    looked(request, "homework", report.membership_ids)
    return render(request, "logs/homework_desk.html", {"report": report, "tab": "homework"})


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def new(request: HttpRequest, slug: str) -> HttpResponse:
    """Set homework, or look ahead on it first."""
    if request.method == "POST":
        return _sent(request, slug)
    query = request.GET
    cases, members = query.getlist("case"), [whole_number(m, 0) for m in query.getlist("member")]
    lesson_id = whole_number(query.get("lesson"), 0)
    if lesson_id:
        cases, members = lesson_start(actor=actor_of(request), lesson_id=lesson_id)
    form = HomeworkForm(initial={"case": cases, "member": members, "goal": "one_look"})
    return _form_page(request, slug, form, cases, members)


def _sent(request: HttpRequest, slug: str) -> HttpResponse:
    form = HomeworkForm(request.POST)
    now = timezone.now()
    if form.is_valid() and request.POST.get("step") == "set":
        try:
            return _set(request, slug, form, now)
        except (DueDateError, ConflictError) as error:
            form.add_error(None, error.message)
        except ValidationError as error:
            form.add_error(None, error)
    cases = request.POST.getlist("case")
    members = [whole_number(member, 0) for member in request.POST.getlist("member")]
    return _form_page(request, slug, form, cases, members)


def _set(request: HttpRequest, slug: str, form: HomeworkForm, now: datetime) -> HttpResponse:
    actor, plan = actor_of(request), form.plan()
    lesson_id = whole_number(request.POST.get("lesson"), 0)
    if lesson_id:
        homework = lesson_make_homework(actor=actor, lesson_id=lesson_id, plan=plan, now=now)
    else:
        homework = homework_set(actor=actor, slug=slug, plan=plan, now=now)
    messages.success(
        request, "Homework is set. It fills itself from the logs that members add from now on."
    )
    return redirect("logs:homework", homework_id=homework.pk)


def _form_page(
    request: HttpRequest, slug: str, form: HomeworkForm, cases: list[str], members: list[int]
) -> HttpResponse:
    actor, now = actor_of(request), timezone.now()
    report = form_report(actor=actor, slug=slug, codes=cases, now=now)
    looked(request, "homework", [member.membership_id for member in report.members])
    ahead = None
    if form.is_bound and not form.errors.keys() - {"__all__"}:
        try:
            ahead = forecast_lines(actor=actor, slug=slug, plan=form.plan(), now=now)
        except ValidationError as error:
            form.add_error(None, error)
    context = {
        "report": report,
        "form": form,
        "families": families(),
        "picked": set(cases),
        "members": set(members),
        "ahead": ahead,
        "lesson": whole_number((request.POST or request.GET).get("lesson"), 0) or "",
    }
    status = UNPROCESSABLE if form.is_bound and form.errors else 200
    return render(request, "logs/homework_new.html", context, status=status)


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
        return render(request, "logs/assignment.html", {"report": own_part})
    looked(request, "homework", [member.membership_id for member in report.members])
    context = {"report": report, "form": form or ReasonForm()}
    status = UNPROCESSABLE if form is not None else 200
    return render(request, "logs/homework.html", context, status=status)


@require_safe
@answers_refusals
def assignment(request: HttpRequest, homework_id: int, membership_id: int) -> HttpResponse:
    """One member's part of a homework, with the sightings behind it."""
    return _assignment(request, homework_id, membership_id)


def _assignment(
    request: HttpRequest, homework_id: int, membership_id: int, form: ExcuseForm | None = None
) -> HttpResponse:
    report = assignment_report(
        actor=actor_of(request),
        homework_id=homework_id,
        membership_id=membership_id,
        now=timezone.now(),
    )
    looked(request, "homework", [report.member.membership_id])
    context = {"report": report, "form": form or ExcuseForm()}
    status = UNPROCESSABLE if form is not None else 200
    return render(request, "logs/assignment.html", context, status=status)


@require_POST
@answers_refusals
def close(request: HttpRequest, homework_id: int) -> HttpResponse:
    """Close a homework, with a reason."""
    actor = actor_of(request)
    homework_report(actor=actor, homework_id=homework_id, now=timezone.now())
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _one(request, homework_id, form)
    try:
        homework_close(
            actor=actor,
            homework_id=homework_id,
            reason=form.cleaned_data["reason"],
            now=timezone.now(),
        )
    except ConflictError as error:
        messages.info(request, error.message)
    return redirect("logs:homework", homework_id=homework_id)


@require_POST
@answers_refusals
def excuse(request: HttpRequest, homework_id: int, membership_id: int) -> HttpResponse:
    """Excuse a member from cases, with a reason."""
    form = ExcuseForm(request.POST)
    actor = actor_of(request)
    if not form.is_valid():
        homework_report(actor=actor, homework_id=homework_id, now=timezone.now())
        return _assignment(request, homework_id, membership_id, form)
    try:
        assignment_excuse(
            actor=actor,
            homework_id=homework_id,
            membership_id=membership_id,
            cases=form.cleaned_data["case"],
            reason=form.cleaned_data["reason"],
            now=timezone.now(),
        )
    except ConflictError as error:
        messages.info(request, error.message)
    except ValidationError as error:
        form.add_error(None, error)
        return _assignment(request, homework_id, membership_id, form)
    return redirect("logs:assignment", homework_id=homework_id, membership_id=membership_id)
