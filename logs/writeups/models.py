"""Solutions that are being written down."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.solves.models.solves import Solve


class Writeup(models.Model):
    """A solve as far as it is written.

    Attributes:
        solve: The solve of the log that has no solution yet; null for a new one.
        time: The timer's reading as it was typed; of a new solve alone.
        done_at: When, as it was typed; of a new solve alone.
        turn_ms: The end of each turn of a layer, in ms from where the hands start, ``-`` for one
            that has none yet; read off a video.
        start_ms: Where in that video the hands start, ms; null for not said.
        marks: The five marks in seconds, as they were typed or read off, ``-`` for none.
        timed_by: What the marks were taken with.
        step_ms: How fine that, or the video, is, ms; null for not said.
        edition: Counts what the page sent, so that an outdated text never replaces a newer one.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="writeups"
    )
    solve = models.ForeignKey(Solve, on_delete=models.CASCADE, null=True, related_name="+")
    scramble = models.TextField()
    time = models.CharField(max_length=40, blank=True)
    penalty = models.CharField(max_length=3, blank=True)
    done_at = models.CharField(max_length=40, blank=True)
    solution = models.TextField(blank=True)
    turn_ms = models.TextField(blank=True, default="")
    start_ms = models.PositiveIntegerField(null=True)
    marks = models.TextField(blank=True, default="")
    timed_by = models.CharField(max_length=10, blank=True, default="")
    step_ms = models.PositiveSmallIntegerField(null=True)
    edition = models.PositiveIntegerField(default=0)
    begun_at = models.DateTimeField()
    changed_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("member", "solve"),
                condition=Q(solve__isnull=False),
                name="writeup_once_for_solve",
            ),
        )
        indexes = (models.Index(fields=("member", "-changed_at"), name="writeup_newest"),)

    def __str__(self) -> str:
        return f"writeup {self.pk}"
