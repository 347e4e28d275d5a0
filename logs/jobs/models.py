"""Work that goes on behind a request: this row is the truth about it, whatever runs it."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from logs.people.models import Club


class JobKind(models.TextChoices):
    """What a job does: take in the rows of a log, make labels anew, or send a coach's letter."""

    UPLOAD = "upload"
    RELABEL = "relabel"
    LETTER = "letter"


class JobStatus(models.TextChoices):
    """Where a job stands. Queued and running ones go on by themselves; the others have ended."""

    QUEUED = "queued"
    RUNNING = "running"
    DONE = "done"
    CANCELLED = "cancelled"
    FAILED = "failed"


ACTIVE = (JobStatus.QUEUED, JobStatus.RUNNING)


class Job(models.Model):
    """A job, and how far it has come.

    A worker holds a job by a lease: it may write for it as long as ``token`` is the worker's own.
    When ``lease_until`` has passed another may take the job, from where it stands.

    Attributes:
        member: Whose log it is about; null when it is a club's or everybody's.
        club: Whose members' logs are labelled anew.
        part_of: The first of several jobs that share one relabelling and run side by side; null in
            that one, which stands for them all.
        at_solve: The last id done of the range of solves that is labelled anew.
        last_solve: The last id of that range.
        n_total: Rows or solves there are to read; 1 once a letter is written.
        n_read: Those read, or the letter, once it goes out; of an upload, each was taken, doubled or set aside.
        n_before: Those that were read when it was last begun, for the pace.
        attempts: How often it was begun since it last got on.
        delivered_at: When its id was last handed to the task engine, where there is one.
    """

    kind = models.CharField(max_length=10)
    status = models.CharField(max_length=10, default=JobStatus.QUEUED)
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="jobs"
    )
    club = models.ForeignKey(Club, on_delete=models.CASCADE, null=True, related_name="jobs")
    upload = models.OneToOneField(
        "logs.Upload", on_delete=models.CASCADE, null=True, related_name="job"
    )
    part_of = models.ForeignKey("self", on_delete=models.CASCADE, null=True, related_name="parts")
    last_solve = models.BigIntegerField(default=0)
    at_solve = models.BigIntegerField(default=0)

    n_total = models.PositiveIntegerField(default=0)
    n_read = models.PositiveIntegerField(default=0)
    n_before = models.PositiveIntegerField(default=0)
    n_taken = models.PositiveIntegerField(default=0)
    n_doubled = models.PositiveIntegerField(default=0)
    n_set_aside = models.PositiveIntegerField(default=0)
    n_changed = models.PositiveIntegerField(default=0)
    n_refused = models.PositiveIntegerField(default=0)

    token = models.CharField(max_length=100, blank=True)
    lease_until = models.DateTimeField(null=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    delivered_at = models.DateTimeField(null=True)

    made_at = models.DateTimeField()
    started_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True)
    error_code = models.CharField(max_length=40, blank=True)
    error_message = models.TextField(blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="job_status_known", condition=Q(status__in=JobStatus.values)
            ),
            models.CheckConstraint(
                name="job_kind_fits",
                condition=Q(
                    kind=JobKind.UPLOAD,
                    upload__isnull=False,
                    member__isnull=False,
                    club=None,
                    part_of=None,
                )
                | Q(kind=JobKind.RELABEL, upload=None)
                | Q(
                    kind=JobKind.LETTER,
                    upload=None,
                    member__isnull=False,
                    club__isnull=False,
                    part_of=None,
                ),
            ),
            models.CheckConstraint(
                name="job_rows_accounted",
                condition=Q(
                    kind=JobKind.UPLOAD,
                    n_read=F("n_taken") + F("n_doubled") + F("n_set_aside"),
                    n_read__lte=F("n_total"),
                    n_changed=0,
                    n_refused=0,
                )
                | Q(
                    kind=JobKind.LETTER,
                    n_read__lte=F("n_total"),
                    n_total__lte=1,
                    n_taken=0,
                    n_doubled=0,
                    n_set_aside=0,
                    n_changed=0,
                    n_refused=0,
                )
                | Q(
                    kind=JobKind.RELABEL,
                    n_read__gte=F("n_changed") + F("n_refused"),
                    n_taken=0,
                    n_doubled=0,
                    n_set_aside=0,
                ),
            ),
            models.CheckConstraint(
                name="job_upload_done_whole",
                condition=~Q(kind=JobKind.UPLOAD, status=JobStatus.DONE) | Q(n_read=F("n_total")),
            ),
            models.CheckConstraint(
                name="job_held_while_running",
                condition=Q(status=JobStatus.RUNNING, lease_until__isnull=False) & ~Q(token="")
                | ~Q(status=JobStatus.RUNNING) & Q(token="", lease_until=None),
            ),
            models.CheckConstraint(
                name="job_ended_when_over",
                condition=Q(status__in=ACTIVE, ended_at=None)
                | ~Q(status__in=ACTIVE) & Q(ended_at__isnull=False),
            ),
            models.CheckConstraint(
                name="job_failure_explained",
                condition=Q(status=JobStatus.FAILED) & ~Q(error_code="") & ~Q(error_message="")
                | ~Q(status=JobStatus.FAILED) & Q(error_code="", error_message=""),
            ),
        )
        indexes = (
            models.Index(
                fields=("lease_until", "id"),
                condition=Q(status__in=ACTIVE),
                name="job_to_do",
            ),
        )

    def __str__(self) -> str:
        return f"{self.kind} job {self.pk}: {self.status}"
