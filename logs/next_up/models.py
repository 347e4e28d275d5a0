"""A coach's word on the order of a member's next cases: laid on top of what is worked out."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.cases.facts import case_known
from logs.next_up.order import OverrideKind
from logs.people.models import Club


class Override(models.Model):
    """A coach's word on one case for one member, with its reason.

    It holds until it is withdrawn: ``withdrawn_at`` is null. What is withdrawn, or replaced by a
    newer word, stays for the trail.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="overrides")
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="overrides"
    )
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    kind = models.CharField(max_length=4)
    place = models.PositiveSmallIntegerField(null=True, blank=True)
    reason = models.CharField(max_length=300)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("club", "member", "stage", "case"),
                condition=Q(withdrawn_at=None),
                name="override_one_in_force",
            ),
            models.CheckConstraint(name="override_case_known", condition=case_known()),
            models.CheckConstraint(
                name="override_kind_known",
                condition=Q(kind__in=[kind.value for kind in OverrideKind]),
            ),
            models.CheckConstraint(
                name="override_place_for_move",
                condition=Q(kind=OverrideKind.MOVE.value, place__isnull=False, place__gte=1)
                | (~Q(kind=OverrideKind.MOVE.value) & Q(place=None)),
            ),
            models.CheckConstraint(name="override_explained", condition=~Q(reason="")),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.stage.upper()} {self.case}"
