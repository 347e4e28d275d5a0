"""Homework: what is asked of whom until when. How far it is, is worked out from the sightings.

Nothing here says that a case is learnt: no column could be ticked. What people decide, closing and
excusing, stays with its reason.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.cases.facts import case_known
from logs.people.models import Club


class Goal(models.TextChoices):
    """What is asked of each case of a homework."""

    ONE_LOOK = "one_look", "one look in real solves"
    RECOGNITION = "recognition", "recognition under a target"
    BOTH = "both", "one look, and recognition under a target"


class Homework(models.Model):
    """Cases set for members of a club by a coach.

    ``due_on`` is null where no date was set; ``recognition_target_ms`` where the goal has none.
    ``closed_at`` is null while it is open.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="homework")
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="homework_set"
    )
    set_at = models.DateTimeField()
    due_on = models.DateField(null=True, blank=True)
    goal = models.CharField(max_length=12, choices=Goal.choices)
    recognition_target_ms = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=1000, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="homework_closed",
    )
    close_reason = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = (
            models.CheckConstraint(name="homework_goal_known", condition=Q(goal__in=Goal.values)),
            models.CheckConstraint(
                name="homework_target_fits_goal",
                condition=Q(goal=Goal.ONE_LOOK, recognition_target_ms=None)
                | Q(
                    goal__in=(Goal.RECOGNITION, Goal.BOTH),
                    recognition_target_ms__isnull=False,
                    recognition_target_ms__gt=0,
                ),
            ),
            models.CheckConstraint(
                name="homework_closed_with_reason",
                condition=Q(closed_at=None, close_reason="")
                | (Q(closed_at__isnull=False) & ~Q(close_reason="")),
            ),
        )
        indexes = (models.Index(fields=("club", "-set_at"), name="homework_newest"),)

    def __str__(self) -> str:
        return f"homework {self.pk}"


class HomeworkCase(models.Model):
    """A case of a homework; ``place`` orders them from 1."""

    homework = models.ForeignKey(Homework, on_delete=models.CASCADE, related_name="cases")
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    place = models.PositiveSmallIntegerField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("homework", "stage", "case"), name="homework_case_once"
            ),
            models.CheckConstraint(name="homework_case_known", condition=case_known()),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}"


class Assignment(models.Model):
    """A homework set for a member."""

    homework = models.ForeignKey(Homework, on_delete=models.CASCADE, related_name="assignments")
    member = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="assignments"
    )

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("homework", "member"), name="assignment_once_for_member"
            ),
        )

    def __str__(self) -> str:
        return f"assignment {self.pk}"


class Excuse(models.Model):
    """A case that a member need not do after all, and why."""

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="excuses")
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    at = models.DateTimeField()
    reason = models.CharField(max_length=300)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("assignment", "stage", "case"), name="excuse_once_for_case"
            ),
            models.CheckConstraint(name="excuse_case_known", condition=case_known()),
            models.CheckConstraint(name="excuse_explained", condition=~Q(reason="")),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}: {self.reason}"
