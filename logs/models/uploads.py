"""Files as they came in, and the rows of them that could not be taken."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q


class Upload(models.Model):
    """A file, kept byte for byte, and what became of its rows.

    Attributes:
        mapping: How it was read (`logs.intake.mapping`), so that it can be read again; null for a
            file in one of our own formats.
        is_repeat: Whether this answer is about a file that had been sent before. Set by
            `logs.services.uploads`; not stored.
    """

    is_repeat: bool = False

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="uploads"
    )
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    file_name = models.CharField(max_length=200)
    format = models.CharField(max_length=10)
    time_zone = models.CharField(max_length=50)
    columns = models.JSONField(default=list)
    unknown_columns = models.JSONField(default=list)
    mapping = models.JSONField(null=True)
    received_at = models.DateTimeField()
    n_rows = models.PositiveIntegerField()
    n_taken = models.PositiveIntegerField()
    n_doubled = models.PositiveIntegerField()
    n_set_aside = models.PositiveIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "sha256"), name="upload_once_for_member"),
            models.CheckConstraint(
                name="upload_rows_accounted",
                condition=Q(n_rows=F("n_taken") + F("n_doubled") + F("n_set_aside")),
            ),
            models.CheckConstraint(
                name="upload_format_known", condition=Q(format__in=("csv", "jsonl", "mapped"))
            ),
            models.CheckConstraint(
                name="upload_mapped_says_how",
                condition=Q(format="mapped", mapping__isnull=False)
                | ~Q(format="mapped") & Q(mapping__isnull=True),
            ),
        )
        indexes = (models.Index(fields=("member", "-received_at"), name="upload_newest"),)

    def __str__(self) -> str:
        return self.file_name


class SetAsideRow(models.Model):
    """A row that could not be taken, as it stands in the file, and why.

    ``mended_at`` is null until a mended text of it was taken.
    """

    upload = models.ForeignKey(Upload, on_delete=models.CASCADE, related_name="set_aside_rows")
    line = models.PositiveIntegerField()
    code = models.CharField(max_length=40)
    field = models.CharField(max_length=20, blank=True)
    message = models.TextField()
    text = models.TextField()
    mended_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("upload", "line"), name="set_aside_row_once"),
            models.CheckConstraint(
                name="set_aside_row_explained", condition=~Q(code="") & ~Q(message="")
            ),
            models.CheckConstraint(name="set_aside_row_has_line", condition=Q(line__gte=1)),
        )

    def __str__(self) -> str:
        return f"line {self.line}: {self.message}"
