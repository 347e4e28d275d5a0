"""Homework: what is asked of me, a coach's desk, setting it, one of it."""

from collections.abc import Callable
from datetime import datetime
from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.algorithms.report import families
from logs.errors import ConflictError, DueDateError, NotFoundError
from logs.homework.forms import ExcuseForm, HomeworkForm, ReasonForm
from logs.homework.models import Homework
from logs.homework.report.form import forecast_lines, form_report
from logs.homework.report.homework import (
    assignment_report,
    club_homework,
    homework_report,
    own_homework,
)
from logs.homework.services import assignment_excuse, homework_close, homework_set
from logs.http.pages import actor_of, answers_refusals, whole_number
from logs.people.services.trail import looked

UNPROCESSABLE = 422


@require_safe
def own(request: HttpRequest) -> HttpResponse:
    """What is asked of the actor."""
    report = own_homework(actor=actor_of(request), now=timezone.now())
    return render(request, "homework/homework_own.html", {"report": report})


@require_safe
@answers_refusals
def desk(request: HttpRequest, slug: str) -> HttpResponse:
    """All homework of a club, for its coaches."""
    report = club_homework(actor=actor_of(request), slug=slug, now=timezone.now())
    looked(request, "homework", report.membership_ids)
    return render(request, "homework/homework_desk.html", {"report": report, "tab": "homework"})


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def new(request: HttpRequest, slug: str) -> HttpResponse:
    """Set homework, or look ahead on it first."""
    if request.method == "POST":
        return homework_sent(request, slug, partial(homework_set, slug=slug))
    query = request.GET
    cases, members = query.getlist("case"), [whole_number(m, 0) for m in query.getlist("member")]
    return homework_form(request, slug, cases, members)


def homework_form(
    request: HttpRequest, slug: str, cases: list[str], members: list[int]
) -> HttpResponse:
    """The form of new homework, begun with these cases and memberships."""
    form = HomeworkForm(initial={"case": cases, "member": members, "goal": "one_look"})
    return _form_page(request, slug, form, cases, members)


def homework_sent(
    request: HttpRequest, slug: str, set_homework: Callable[..., Homework]
) -> HttpResponse:
    """Set the homework of the form that was sent, by ``set_homework``, or show the form again."""
    form = HomeworkForm(request.POST)
    now = timezone.now()
    if form.is_valid() and request.POST.get("step") == "set":
        try:
            return _set(request, form, now, set_homework)
        except (DueDateError, ConflictError) as error:
            form.add_error(None, error.message)
        except ValidationError as error:
            form.add_error(None, error)
    cases = request.POST.getlist("case")
    members = [whole_number(member, 0) for member in request.POST.getlist("member")]
    return _form_page(request, slug, form, cases, members)


def _set(
    request: HttpRequest, form: HomeworkForm, now: datetime, set_homework: Callable[..., Homework]
) -> HttpResponse:
    homework = set_homework(actor=actor_of(request), plan=form.plan(), now=now)
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
    }
    status = UNPROCESSABLE if form.is_bound and form.errors else 200
    return render(request, "homework/homework_new.html", context, status=status)


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
        return render(request, "homework/assignment.html", {"report": own_part})
    looked(request, "homework", [member.membership_id for member in report.members])
    context = {"report": report, "form": form or ReasonForm()}
    status = UNPROCESSABLE if form is not None else 200
    return render(request, "homework/homework.html", context, status=status)


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
    return render(request, "homework/assignment.html", context, status=status)


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
