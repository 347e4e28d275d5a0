"""Lessons: the cases for an evening, for the members who will come."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs.cases.facts import case_known
from logs.homework.models import Homework
from logs.limits import NOTE, TITLE
from logs.people.models import Club


class Lesson(models.Model):
    """A planned evening.

    Attributes:
        guests: Names of others who come, as the coach writes them; nothing is said of them.
        homework: What was set from it, if anything was.
    """

    club = models.ForeignKey(Club, on_delete=models.CASCADE, related_name="lessons")
    on = models.DateField()
    title = models.CharField(max_length=TITLE)
    note = models.CharField(max_length=NOTE, blank=True)
    guests = models.CharField(max_length=NOTE, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="lessons"
    )
    homework = models.OneToOneField(
        Homework, on_delete=models.SET_NULL, null=True, blank=True, related_name="lesson"
    )

    class Meta:
        constraints = (models.CheckConstraint(name="lesson_titled", condition=~Q(title="")),)
        indexes = (models.Index(fields=("club", "-on"), name="lesson_newest"),)

    def __str__(self) -> str:
        return self.title


class LessonCase(models.Model):
    """A case of a lesson in its place, from 1, and why it is there."""

    lesson = models.ForeignKey(Lesson, on_delete=models.CASCADE, related_name="cases")
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    place = models.PositiveSmallIntegerField()
    reason = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("lesson", "stage", "case"), name="lesson_case_once"),
            models.CheckConstraint(name="lesson_case_known", condition=case_known()),
        )

    def __str__(self) -> str:
        return f"{self.stage.upper()} {self.case}"


class LessonMember(models.Model):
    """A member who will come to a lesson; ``is_missing`` once a coach says that they did not."""

    lesson = models.ForeignKey(Lesson, on_delete=models.CASCADE, related_name="members")
    member = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    is_missing = models.BooleanField(default=False)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("lesson", "member"), name="lesson_member_once"),
        )

    def __str__(self) -> str:
        return f"member {self.member_id} in lesson {self.lesson_id}"
