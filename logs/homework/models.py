"""Homework: what is asked of whom until when. How far it is, is worked out from what was done.

No column says that a case is verified: sightings alone do. What people say stays as their own word:
a coach that they were shown a case, a member how a drill went, and why one closed or excused.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.cases.facts import case_known
from logs.homework.figures import MOST_WANTED, DrillWord, Way
from logs.limits import CASE, NOTE, REASON, STAGE
from logs.people.models import Club

_WAYS = [(way.value, way.value) for way in Way]


_WORDS = [(word.value, word.value) for word in DrillWord]


class Goal(models.TextChoices):
    """What is asked of each case of a homework."""

    ONE_LOOK = "one_look", "one look in real solves"
    RECOGNITION = "recognition", "recognition under a target"
    BOTH = "both", "one look, and recognition under a target"


class Homework(models.Model):
    """Cases set for members of a club by a coach.

    Attributes:
        due_on: The date to learn the cases by; null where none was set.
        way: How they are learnt.
        n_wanted: Clean drills, or right answers running; null where the coach is shown the case.
        goal: What solves show afterwards.
        recognition_target_ms: Null where the goal has none.
        closed_at: Null while it is open.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="homework")
    set_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="homework_set"
    )
    set_at = models.DateTimeField()
    due_on = models.DateField(null=True, blank=True)
    way = models.CharField(max_length=8, choices=_WAYS, default=Way.DRILLS.value)
    n_wanted = models.PositiveSmallIntegerField(null=True, blank=True, default=5)
    goal = models.CharField(max_length=12, choices=Goal.choices)
    recognition_target_ms = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=NOTE, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.SET_NULL,
        null=True,
        blank=True,
        related_name="homework_closed",
    )
    close_reason = models.CharField(max_length=REASON, blank=True)

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
                name="homework_number_fits_way",
                condition=Q(way=Way.COACH.value, n_wanted=None)
                | Q(
                    way__in=(Way.DRILLS.value, Way.PRACTICE.value),
                    n_wanted__isnull=False,
                    n_wanted__range=(1, MOST_WANTED),
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
    """A case that a homework asks of some member; ``place`` orders them from 1."""

    homework = models.ForeignKey(Homework, on_delete=models.CASCADE, related_name="cases")
    stage = models.CharField(max_length=STAGE)
    case = models.CharField(max_length=CASE)
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


class AssignmentCase(models.Model):
    """A case that is asked of a member.

    Attributes:
        asked_at: Since when; what was done before does not count.
        shown_at: When a coach said that the member showed it to them; null while none did.
    """

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="cases")
    stage = models.CharField(max_length=STAGE)
    case = models.CharField(max_length=CASE)
    asked_at = models.DateTimeField()
    shown_at = models.DateTimeField(null=True, blank=True)
    shown_to = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("assignment", "stage", "case"), name="assignment_case_once"
            ),
            models.CheckConstraint(name="assignment_case_known", condition=case_known()),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}"


class DrillAnswer(models.Model):
    """How a drill that the house dealt went, by the member's own word. No figure of solves reads it.

    Attributes:
        drill: What tells the drill from the member's others; a second answer to it is none.
        scramble: As it was dealt: a log that holds it too counts in its place.
        time_ms: How long it took, as the member wrote it; null where they did not.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="drill_answers",
        db_index=False,
    )
    drill = models.CharField(max_length=32)
    at = models.DateTimeField()
    stage = models.CharField(max_length=STAGE)
    case = models.CharField(max_length=CASE)
    scramble = models.CharField(max_length=200)
    word = models.CharField(max_length=12, choices=_WORDS)
    time_ms = models.PositiveIntegerField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("member", "drill"), name="drill_answer_once"),
            models.CheckConstraint(name="drill_answer_case_known", condition=case_known()),
            models.CheckConstraint(
                name="drill_answer_word_known",
                condition=Q(word__in=[word.value for word in DrillWord]),
            ),
        )
        indexes = (models.Index(fields=("member", "at"), name="drill_answer_by_time"),)

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}: {self.word}"


class Excuse(models.Model):
    """A case that a member need not do after all, and why."""

    assignment = models.ForeignKey(Assignment, on_delete=models.CASCADE, related_name="excuses")
    stage = models.CharField(max_length=STAGE)
    case = models.CharField(max_length=CASE)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    at = models.DateTimeField()
    reason = models.CharField(max_length=REASON)

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
