"""Members' own words on cases that no solve of theirs shows."""

from django.conf import settings
from django.db import models

from logs import limits
from logs.cases.facts import case_known


class KnownByWord(models.Model):
    """A case of which a member says that it goes in one look."""

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="known_by_word",
        db_index=False,
    )
    stage = models.CharField(max_length=limits.STAGE)
    case = models.CharField(max_length=limits.CASE)
    said_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "stage", "case"), name="known_by_word_once"),
            models.CheckConstraint(name="known_by_word_case_known", condition=case_known()),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}"
