"""Lessons: the list, planning one, one with its sheet's list."""

from functools import partial

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from logs.algorithms.report import families
from logs.homework.page import homework_form, homework_sent
from logs.http.pages import actor_of, answers_refusals, whole_number
from logs.lessons.forms import LessonForm
from logs.lessons.report import (
    LessonReport,
    ProposalReport,
    lesson_report,
    lesson_start,
    lessons_report,
    picked_lines,
    proposal_report,
)
from logs.lessons.services import lesson_create, lesson_edit, lesson_make_homework
from logs.people.services.trail import looked

UNPROCESSABLE = 422


@require_safe
@answers_refusals
def lesson_list(request: HttpRequest, slug: str) -> HttpResponse:
    """The lessons of a club."""
    report = lessons_report(actor=actor_of(request), slug=slug)
    return render(request, "lessons/lessons.html", {"report": report, "tab": "lessons"})


@require_safe
@answers_refusals
def lesson(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """One lesson."""
    report = lesson_report(actor=actor_of(request), lesson_id=lesson_id)
    return render(request, "lessons/lesson.html", {"report": report})


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def new(request: HttpRequest, slug: str) -> HttpResponse:
    """Choose who will come, look at what is proposed, and keep it as a lesson."""
    actor = actor_of(request)
    chosen = (request.POST or request.GET).getlist("member")
    members = [whole_number(member, 0) for member in chosen]
    if request.method == "POST":
        form = LessonForm(request.POST)
        if form.is_valid():
            try:
                made = lesson_create(actor=actor, slug=slug, plan=form.plan())
            except ValidationError as error:
                form.add_error(None, error)
            else:
                return redirect("logs:lesson", lesson_id=made.pk)
        report = proposal_report(actor=actor, slug=slug, membership_ids=members)
        return _plan_page(request, report, form, request.POST.getlist("case"))
    report = proposal_report(actor=actor, slug=slug, membership_ids=members)
    today = timezone.localdate()
    form = LessonForm(initial={"on": today, "title": "Last-layer evening"})
    return _plan_page(request, report, form, [line.taught.code for line in report.cases])


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def edit(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Change a lesson."""
    actor = actor_of(request)
    report = lesson_report(actor=actor, lesson_id=lesson_id)
    if request.method == "POST":
        form = LessonForm(request.POST)
        if form.is_valid():
            try:
                lesson_edit(actor=actor, lesson_id=lesson_id, plan=form.plan())
            except ValidationError as error:
                form.add_error(None, error)
            else:
                return redirect("logs:lesson", lesson_id=lesson_id)
        return _plan_page(request, report, form, request.POST.getlist("case"))
    form = LessonForm(initial={"on": report.on, "title": report.title, "note": report.note})
    return _plan_page(request, report, form, [line.taught.code for line in report.cases])


def _plan_page(
    request: HttpRequest,
    report: ProposalReport | LessonReport,
    form: LessonForm,
    codes: list[str],
) -> HttpResponse:
    """The page that plans a lesson: what is proposed or was kept, and what was picked besides."""
    if isinstance(report, ProposalReport):
        looked(request, "lesson", [one.membership_id for one in report.members if one.comes])
    known = {line.taught.code for line in report.cases}
    picked = picked_lines([code for code in codes if code not in known])
    context = {
        "report": report,
        "form": form,
        "picked": picked,
        "chosen": set(codes),
        "families": families(),
    }
    status = UNPROCESSABLE if form.is_bound and form.errors else 200
    return render(request, "lessons/lesson_plan.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def homework(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Set homework from a lesson: the form begins with its cases and with who came."""
    start = lesson_start(actor=actor_of(request), lesson_id=lesson_id)
    if request.method == "POST":
        make = partial(lesson_make_homework, lesson_id=lesson_id)
        return homework_sent(request, start.slug, make)
    return homework_form(request, start.slug, start.codes, start.membership_ids)
