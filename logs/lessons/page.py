"""Lessons: the list, planning one, one with its sheet's list, and whether it took."""

from functools import partial

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from logs.algorithms.report import families
from logs.errors import ConflictError
from logs.homework.page import homework_form, homework_sent, tabs_of
from logs.http.pages import actor_of, answers_refusals, group_of, several, whole_number
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
from logs.lessons.services import (
    lesson_copy,
    lesson_create,
    lesson_delete,
    lesson_edit,
    lesson_make_homework,
    lesson_set_for_all,
    missing_mark,
)
from logs.lessons.took import took_report
from logs.people.services.trail import looked
from logs.people.sight import ClubView, club_tabs

UNPROCESSABLE = 422


def _note_looks(request: HttpRequest, report: LessonReport | ProposalReport) -> None:
    """Who comes and shows their log finds that what it says was looked at."""
    looked(request, "lesson", [m.membership_id for m in report.members if m.comes and m.is_visible])


@require_safe
@answers_refusals
def lesson_list(request: HttpRequest, slug: str) -> HttpResponse:
    """The lessons of a club."""
    report = lessons_report(actor=actor_of(request), slug=slug)
    context = {"report": report, "view": tabs_of(report.club)}
    return render(request, "lessons/lessons.html", context)


@require_safe
@answers_refusals
def lesson(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """One lesson."""
    report = lesson_report(actor=actor_of(request), lesson_id=lesson_id)
    _note_looks(request, report)
    return render(request, "lessons/lesson.html", {"report": report})


@require_safe
@answers_refusals
def took(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Whether a lesson took."""
    report = took_report(actor=actor_of(request), lesson_id=lesson_id, now=timezone.now())
    looked(request, "lesson", [member.membership_id for member in report.members])
    return render(request, "lessons/lesson_took.html", {"report": report})


@require_http_methods(["GET", "HEAD", "POST"])
@answers_refusals
def new(request: HttpRequest, slug: str) -> HttpResponse:
    """Choose who will come, look at what is proposed, and keep it as a lesson."""
    actor = actor_of(request)
    chosen = several(request.POST or request.GET, "member")
    members = [whole_number(member, 0) for member in chosen]
    report = partial(proposal_report, actor=actor, slug=slug, today=timezone.localdate())
    if request.method == "POST":
        form = LessonForm(request.POST)
        if form.is_valid():
            try:
                lesson = lesson_create(actor=actor, slug=slug, plan=form.plan())
            except ValidationError as error:
                form.add_error(None, error)
            else:
                return redirect("logs:lesson", lesson_id=lesson.pk)
        proposal = report(membership_ids=members)
        return _plan_page(request, proposal, form, several(request.POST, "case"))
    proposal = report(membership_ids=members)
    view = club_tabs(actor=actor, slug=slug, group_id=group_of(request.GET))
    if not members and (ticked := _ticked(request.GET.get("who", ""), proposal, view)):
        proposal = report(membership_ids=ticked)
    form = LessonForm(initial={"on": proposal.next_on, "title": "Last-layer evening"})
    codes = [line.case.code for line in proposal.cases]
    return _plan_page(request, proposal, form, codes, view)


def _ticked(who: str, proposal: ProposalReport, view: ClubView) -> tuple[int, ...]:
    """The memberships that one link ticks: a group's, everybody's, or those of the latest lesson."""
    if view.group is not None:
        return view.group.membership_ids
    if who == "all":
        return tuple(member.membership_id for member in proposal.members)
    return proposal.last_time if who == "last" else ()


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
        return _plan_page(request, report, form, several(request.POST, "case"))
    form = LessonForm(
        initial={
            "on": report.on,
            "title": report.title,
            "note": report.note,
            "guests": report.guests,
        }
    )
    return _plan_page(request, report, form, [line.case.code for line in report.cases])


def _plan_page(
    request: HttpRequest,
    report: ProposalReport | LessonReport,
    form: LessonForm,
    codes: list[str],
    view: ClubView | None = None,
) -> HttpResponse:
    """The page that plans a lesson: what is proposed or was kept, and what was picked besides."""
    _note_looks(request, report)
    listed = {line.case.code for line in report.cases}
    context = {
        "report": report,
        "is_kept": isinstance(report, LessonReport),
        "has_comers": any(member.comes for member in report.members),
        "form": form,
        "picked": picked_lines(
            [code for code in codes if code not in listed], first=len(report.cases) + 1
        ),
        "view": view,
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


@require_POST
@answers_refusals
def homework_for_all(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Set homework for all who came, of each one to three of the lesson's cases."""
    try:
        set_now = lesson_set_for_all(
            actor=actor_of(request), lesson_id=lesson_id, now=timezone.now()
        )
    except (ConflictError, ValidationError) as error:
        messages.info(request, " ".join(getattr(error, "messages", [str(error)])))
        return redirect("logs:lesson", lesson_id=lesson_id)
    messages.success(request, "Homework is set, for each what they need of these cases.")
    return redirect("logs:homework", homework_id=set_now.pk)


@require_POST
@answers_refusals
def copy(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Plan a lesson again, for all or for those who were missing."""
    is_for_missing = request.POST.get("who") == "missing"
    try:
        lesson = lesson_copy(
            actor=actor_of(request), lesson_id=lesson_id, is_for_missing=is_for_missing
        )
    except ValidationError as error:
        messages.info(request, " ".join(error.messages))
        return redirect("logs:lesson", lesson_id=lesson_id)
    messages.success(request, "Planned again, a week later.")
    return redirect("logs:lesson", lesson_id=lesson.pk)


@require_POST
@answers_refusals
def missing(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Keep who was missing."""
    members = [whole_number(member, 0) for member in several(request.POST, "missing")]
    missing_mark(actor=actor_of(request), lesson_id=lesson_id, membership_ids=members)
    return redirect("logs:lesson", lesson_id=lesson_id)


@require_POST
@answers_refusals
def delete(request: HttpRequest, lesson_id: int) -> HttpResponse:
    """Delete a lesson."""
    start = lesson_start(actor=actor_of(request), lesson_id=lesson_id)
    lesson_delete(actor=actor_of(request), lesson_id=lesson_id)
    messages.success(request, "The lesson is deleted. Homework set from it stays.")
    return redirect("logs:lesson-list", slug=start.slug)
