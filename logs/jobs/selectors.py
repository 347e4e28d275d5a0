"""Jobs: those about the actor's own log, and those about clubs that they coach."""

from collections.abc import Sequence

from django.db.models import Q, QuerySet

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.jobs.models import ACTIVE, Job, JobKind, JobStatus
from logs.people.models import Club
from logs.people.sight import coached_clubs


def _own_jobs(actor: User) -> QuerySet[Job]:
    if not actor.is_active:
        return Job.objects.none()
    clubs = [club.pk for club in coached_clubs(actor=actor)]
    of_clubs = Q(club__in=clubs, member=None)  # a letter is its coach's own
    jobs = Job.objects.filter(Q(member=actor) | of_clubs, part_of=None)
    return jobs.filter(upload__taken_back_at=None).select_related("club")


def job_get(*, actor: User, job_id: int) -> Job:
    """A job that is about the actor's log, or about a club that they coach.

    Raises:
        NotFoundError: There is none, or it is not theirs.
    """
    job = _own_jobs(actor).filter(pk=job_id).first()
    if job is None:
        raise NotFoundError("job")
    return job


def job_list(*, actor: User) -> QuerySet[Job]:
    """The actor's jobs, newest first."""
    return _own_jobs(actor).order_by("-pk")


def relabelling_of_log(*, actor: User) -> Job | None:
    """The newest relabelling of the actor's own log that goes on."""
    jobs = _own_jobs(actor).filter(member=actor, kind=JobKind.RELABEL)
    return jobs.filter(status__in=ACTIVE).order_by("-pk").first()


def relabelling_of_club(*, actor: User, club: Club) -> Job | None:
    """The newest relabelling of a club that the actor coaches and that has not come to its end."""
    job = _own_jobs(actor).filter(club=club).order_by("-pk").first()
    is_over = job is None or all(part.status == JobStatus.DONE for part in with_parts(job=job))
    return None if is_over else job


def is_being_relabelled(*, club: Club) -> bool:
    """Whether a relabelling of a club that the caller was given goes on by itself."""
    return Job.objects.filter(club=club, kind=JobKind.RELABEL, status__in=ACTIVE).exists()


def with_parts(*, job: Job) -> list[Job]:
    """A job that the caller was given, and its parts."""
    return list(Job.objects.filter(Q(pk=job.pk) | Q(part_of=job)).order_by("pk"))


def each_with_parts(*, jobs: Sequence[Job]) -> list[list[Job]]:
    """Each of the jobs that the caller was given, and its parts."""
    found = {job.pk: [job] for job in jobs}
    for part in Job.objects.filter(part_of__in=list(found)).order_by("pk"):
        assert part.part_of_id is not None
        found[part.part_of_id].append(part)
    return list(found.values())
