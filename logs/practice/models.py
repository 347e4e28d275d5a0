"""What members answered on the practice page. No log, and no figure of a solve, comes from here."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q

from cubecore.questions import Task
from logs.cases.facts import case_known

MAX_RECOGNITION_MS = 120_000
"""A longer time than this was a pause, and is not kept."""


_TASKS = ((Task.CASE.value, "which case it is"), (Task.HOLD.value, "how to hold it"))


class PracticeAnswer(models.Model):
    """One answer to one question.

    Attributes:
        question: What tells the question from the member's others; a second answer is none.
        case: The case shown, of ``stage``.
        angle: The angle it was shown at.
        answered: The case it was taken for; ``case`` itself where the hold was asked.
        answered_side: Where the hold was asked, how many quarter turns of the layer bring the
            side that was chosen to the front; else null.
        is_turned: Whether a cube was scrambled for it: hands tire of that, not of tapping.
        recognition_ms: From the picture to the answer, measured by the browser; null where it
            could not tell.
    """

    member = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.CASCADE,
        related_name="practice_answers",
        db_index=False,
    )
    question = models.CharField(max_length=32)
    at = models.DateTimeField()
    task = models.CharField(max_length=4, choices=_TASKS)
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    angle = models.PositiveSmallIntegerField()
    answered = models.CharField(max_length=4)
    answered_side = models.PositiveSmallIntegerField(null=True)
    is_right = models.BooleanField()
    is_turned = models.BooleanField(default=False)
    recognition_ms = models.PositiveIntegerField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("member", "question"), name="practice_answer_once_for_question"
            ),
            models.CheckConstraint(name="practice_answer_case_known", condition=case_known()),
            models.CheckConstraint(
                name="practice_answer_angle_in_range", condition=Q(angle__lte=3)
            ),
            models.CheckConstraint(
                name="practice_answer_fits_task",
                condition=Q(task=Task.CASE.value, answered_side=None, is_right=True)
                & Q(answered=F("case"))
                | Q(task=Task.CASE.value, answered_side=None, is_right=False)
                & ~Q(answered=F("case"))
                | Q(task=Task.HOLD.value, answered_side__range=(0, 3), answered=F("case")),
            ),
            models.CheckConstraint(
                name="practice_answer_time_in_range",
                condition=Q(recognition_ms=None)
                | Q(recognition_ms__gt=0, recognition_ms__lte=MAX_RECOGNITION_MS),
            ),
        )
        indexes = (models.Index(fields=("member", "at"), name="practice_answer_by_time"),)

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}: {self.task}"
