"""Adding to a log: a file, one solve, a row mended; and how far the work behind it is."""

from typing import Any

from django.utils import timezone
from rest_framework.request import Request

from logs.http.api import UPLOAD, ApiView, answers
from logs.http.pages import PageQuery, actor_of
from logs.jobs.report import JobPage, JobReport, job_page, job_report
from logs.jobs.services import job_cancel, job_resume


class Jobs(ApiView):
    """Work behind requests."""

    @answers(JobPage, query=PageQuery)
    def get(self, request: Request, query: dict[str, Any]) -> JobPage:
        """A page of your jobs and those of clubs you coach, newest first."""
        return job_page(actor=actor_of(request), now=timezone.now(), page=query["page"])


class Job(ApiView):
    """One job."""

    @answers(JobReport)
    def get(self, request: Request, job_id: int) -> JobReport:
        """How far a job is: rows read, taken, doubled, set aside, and the time left."""
        return job_report(actor=actor_of(request), job_id=job_id, now=timezone.now())


class JobCancel(ApiView):
    """A job, stopped."""

    @answers(JobReport, scope=UPLOAD, body=None)
    def post(self, request: Request, job_id: int) -> JobReport:
        """Stop a job where it is. What was done stays done."""
        actor, now = actor_of(request), timezone.now()
        job_cancel(actor=actor, job_id=job_id, now=now)
        return job_report(actor=actor, job_id=job_id, now=now)


class JobResume(ApiView):
    """A job, gone on with."""

    @answers(JobReport, scope=UPLOAD, body=None)
    def post(self, request: Request, job_id: int) -> JobReport:
        """Go on with a job that was stopped or failed, from where it stands."""
        actor, now = actor_of(request), timezone.now()
        job_resume(actor=actor, job_id=job_id, now=now)
        return job_report(actor=actor, job_id=job_id, now=now)
