"""Invitations: who may join a club without being added by hand."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from logs.models.clubs import Club, Role


class Invitation(models.Model):
    """A code that lets people join a club. The code itself is shown once and not kept.

    Attributes:
        code_hash: What the code is found by: `logs.services.invitations.hash_code` of it.
        withdrawn_at: Null while it was not taken back.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="invitations")
    role = models.CharField(max_length=10, choices=Role.choices)
    code_hash = models.CharField(max_length=64, unique=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    max_uses = models.PositiveSmallIntegerField()
    n_uses = models.PositiveSmallIntegerField(default=0)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="invitation_role_known", condition=Q(role__in=Role.values)),
            models.CheckConstraint(
                name="invitation_used_within_limit",
                condition=Q(max_uses__gte=1, n_uses__lte=F("max_uses")),
            ),
            models.CheckConstraint(
                name="invitation_expires_after_made", condition=Q(expires_at__gt=F("created_at"))
            ),
        )
        indexes = (models.Index(fields=("club", "-created_at"), name="invitation_newest"),)

    def __str__(self) -> str:
        return f"invitation {self.pk}"
