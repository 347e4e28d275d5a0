"""How files of other shapes are read: files that wait for the answer, and answers that are kept."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.models.clubs import Club


class UploadDraft(models.Model):
    """A file that waits until its member has said how it is to be read; byte for byte.

    Attributes:
        mapping: What was said so far (`logs.intake.mapping`), None in it is not answered.
        reasons: Why the rest was guessed so, by field.
        kept_name: The kept mapping it was begun from; empty when none fitted.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="upload_drafts"
    )
    sha256 = models.CharField(max_length=64)
    content = models.BinaryField()
    file_name = models.CharField(max_length=200)
    mapping = models.JSONField()
    reasons = models.JSONField(default=dict)
    kept_name = models.CharField(max_length=60, blank=True)
    made_at = models.DateTimeField(db_index=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "sha256"), name="upload_draft_once"),
        )

    def __str__(self) -> str:
        return self.file_name


class KeptMapping(models.Model):
    """A mapping kept under a name: for all in a club, or for one member alone.

    Attributes:
        header_key: What files of its shape share (`logs.intake.mapping.header_key`).
        mapping: What was said (`logs.intake.mapping.mapping_to_json`).
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, null=True, related_name="mappings")
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, null=True, related_name="mappings"
    )
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    name = models.CharField(max_length=60)
    header_key = models.CharField(max_length=64)
    mapping = models.JSONField()
    changed_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.CheckConstraint(
                name="kept_mapping_is_somebodys",
                condition=Q(club=None, member__isnull=False) | Q(club__isnull=False, member=None),
            ),
            models.CheckConstraint(name="kept_mapping_named", condition=~Q(name="")),
            models.UniqueConstraint(
                fields=("club", "name"),
                condition=Q(member=None),
                name="kept_mapping_name_once_in_club",
            ),
            models.UniqueConstraint(
                fields=("member", "name"),
                condition=Q(club=None),
                name="kept_mapping_name_once_for_member",
            ),
        )

    def __str__(self) -> str:
        return self.name
