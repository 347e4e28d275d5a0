"""Work behind the request: how far it is, and stopping and going on with it."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from logs.errors import ConflictError
from logs.http.pages import actor_of, answers_refusals
from logs.jobs.report import JobReport, job_report
from logs.jobs.services import job_cancel, job_resume


@require_safe
@answers_refusals
def job(request: HttpRequest, job_id: int) -> HttpResponse:
    """How far a job is: the piece of a page that its script asks for again and again."""
    report = job_report(actor=actor_of(request), job_id=job_id, now=timezone.now())
    return render(request, "jobs/job.html", {"job": report})


@require_POST
@answers_refusals
def cancel(request: HttpRequest, job_id: int) -> HttpResponse:
    """Stop a job where it is."""
    actor = actor_of(request)
    try:
        job_cancel(actor=actor, job_id=job_id, now=timezone.now())
    except ConflictError as error:
        messages.info(request, error.message)
    report = job_report(actor=actor, job_id=job_id, now=timezone.now())
    return _to_its_page(report)


@require_POST
@answers_refusals
def resume(request: HttpRequest, job_id: int) -> HttpResponse:
    """Go on with a job from where it was stopped."""
    actor = actor_of(request)
    try:
        job_resume(actor=actor, job_id=job_id, now=timezone.now())
    except ConflictError as error:
        messages.info(request, error.message)
    report = job_report(actor=actor, job_id=job_id, now=timezone.now())
    return _to_its_page(report)


def _to_its_page(report: JobReport) -> HttpResponse:
    if report.upload_id is not None:
        return redirect("logs:upload", upload_id=report.upload_id)
    if report.club_slug:
        return redirect("logs:book", slug=report.club_slug)
    return redirect("logs:log")
