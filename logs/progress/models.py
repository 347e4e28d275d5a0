"""What a member's figures over time stand on beside the log: its version, kept figures, own marks."""

from django.conf import settings
from django.db import models
from django.db.models import Q

LONGEST_MARK = 40


class KeptFigures(models.Model):
    """Figures worked out from a member's whole log, kept until what they stand on changes.

    Attributes:
        name: Which figures.
        key: All they stand on, as `logs.progress.services` writes it; another key is a miss.
        content: Plain values.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="kept_figures",
        db_index=False,
    )
    name = models.CharField(max_length=40)
    key = models.CharField(max_length=200)
    content = models.JSONField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "name"), name="kept_figures_once"),
        )

    def __str__(self) -> str:
        return self.name


class TimeMark(models.Model):
    """A day that a member marked on the axis of their times, such as that of a new cube."""

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="time_marks",
        db_index=False,
    )
    day = models.DateField()
    word = models.CharField(max_length=LONGEST_MARK)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "day", "word"), name="time_mark_once"),
            models.CheckConstraint(name="time_mark_has_word", condition=~Q(word="")),
        )

    def __str__(self) -> str:
        return f"{self.day}: {self.word}"
