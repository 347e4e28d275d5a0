"""Rows of uploads that do not stand in the log themselves, and what members changed by hand."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.solves.models.solves import Upload


class Fate(models.TextChoices):
    """What became of a row that was read.

    ``taken`` here is a row whose solve left the log with its upload; as long as the solve stands in
    the log its row is the `Solve` itself.
    """

    TAKEN = "taken", "taken"
    DOUBLED = "doubled", "doubled"
    COMPLETES = "completes", "completes a solve"
    CORRECTS = "corrects", "corrects a solve"
    ON_HOLD = "on_hold", "on hold"
    DELETED = "deleted", "deleted"


TELLING = (Fate.DOUBLED, Fate.COMPLETES, Fate.CORRECTS)
"""Fates of rows that tell of a solve which stands as another row."""


class KeptRow(models.Model):
    """A row that could be read and is no solve of the log by itself.

    Attributes:
        solve_number: The number of the solve that it tells of, contradicts, or was.
        is_away: Whether its upload is taken back, or not put back so far: then it counts for nothing.
        key: As `Solve.key`; empty where the row is the same as the solve's first one.
        place: As `Solve.place`; null where the key is empty.
        sent: The row (`logs.solves.services.sent.Sent`); null where the key is empty.
        correction: Of a solve that left the log, as `Solve.correction`.
        decided_at: When its member decided about it; null where nobody did.
    """

    upload = models.ForeignKey(
        Upload, on_delete=models.CASCADE, related_name="kept_rows", db_index=False
    )
    line = models.PositiveIntegerField()
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+", db_index=False
    )
    fate = models.CharField(max_length=10)
    solve_number = models.BigIntegerField(db_index=True)
    is_away = models.BooleanField(default=False)
    key = models.CharField(max_length=64, blank=True)
    place = models.BigIntegerField(null=True)
    sent = models.JSONField(null=True)
    correction = models.JSONField(null=True)
    decided_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("upload", "line"), name="kept_row_once_for_line"),
            models.CheckConstraint(
                name="kept_row_fate_known", condition=Q(fate__in=[fate.value for fate in Fate])
            ),
            models.CheckConstraint(
                name="kept_row_whole_or_same",
                condition=Q(fate=Fate.DOUBLED, key="", place=None, sent=None)
                | ~Q(key="") & Q(place__isnull=False, sent__isnull=False),
            ),
            models.CheckConstraint(
                name="kept_row_taken_is_away", condition=~Q(fate=Fate.TAKEN) | Q(is_away=True)
            ),
        )
        indexes = (
            models.Index(fields=("member", "key"), condition=~Q(key=""), name="kept_row_by_key"),
            models.Index(
                fields=("member", "place"),
                condition=Q(fate=Fate.DELETED),
                name="kept_row_deleted_by_place",
            ),
        )

    def __str__(self) -> str:
        return f"line {self.line}: {self.fate}"


class Change(models.TextChoices):
    """What a member did to a solve by hand."""

    CORRECTED = "corrected", "corrected"
    DELETED = "deleted", "deleted"
    PUT_BACK = "put_back", "put back"
    DECIDED = "decided", "decided between two rows"


class SolveChange(models.Model):
    """A change of a solve by hand: it is kept as long as a row of the solve is.

    Attributes:
        solve_number: Which solve.
        before: The fields that differ, as they were.
        after: The same fields, as they are.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+", db_index=False
    )
    solve_number = models.BigIntegerField()
    change = models.CharField(max_length=10)
    at = models.DateTimeField()
    before = models.JSONField(default=dict)
    after = models.JSONField(default=dict)

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="solve_change_known",
                condition=Q(change__in=[change.value for change in Change]),
            ),
        )
        indexes = (models.Index(fields=("member", "solve_number"), name="solve_change_by_solve"),)

    def __str__(self) -> str:
        return f"solve {self.solve_number}: {self.change}"
