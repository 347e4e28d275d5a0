"""A lesson that is on the wall, and the seats in front of it."""

from datetime import timedelta

from django.db import models
from django.db.models import Q

from logs.lessons.models import Lesson
from logs.limits import WALL_CODE

OPEN_FOR = timedelta(hours=6)
"""A wall that nobody closed ends after so long."""


class Wall(models.Model):
    """A lesson on the wall, for phones to answer.

    Attributes:
        code: What members type to join; of no use to anybody else.
        questions: What is asked in its order, as `logs.wall.figures` writes it: kept, so that wall
            and phones ask the same whatever becomes of the lesson meanwhile.
        colour: Name of the last layer's colour in its pictures.
        asked: Place of the question that is on the wall now, from 0; null for none.
        is_told: Whether that question is turned over: its answer shows and no more is taken.
    """

    lesson = models.OneToOneField(Lesson, on_delete=models.CASCADE, related_name="wall")
    code = models.CharField(max_length=WALL_CODE, unique=True)
    opened_at = models.DateTimeField()
    questions = models.JSONField()
    colour = models.CharField(max_length=6)
    asked = models.PositiveSmallIntegerField(null=True)
    is_told = models.BooleanField(default=False)

    class Meta:
        constraints = (
            models.CheckConstraint(name="wall_coded", condition=~Q(code="")),
            models.CheckConstraint(
                name="wall_tells_what_it_asked",
                condition=Q(is_told=False) | Q(asked__isnull=False),
            ),
        )

    def __str__(self) -> str:
        return self.code


class WallSeat(models.Model):
    """A phone in front of a wall; it holds nobody's name.

    Attributes:
        seat: Worked out from wall and member with the site's secret, so that nobody sits twice.
        answers: By place of the question what was answered; the first answer stands.
    """

    wall = models.ForeignKey(Wall, on_delete=models.CASCADE, related_name="seats", db_index=False)
    seat = models.CharField(max_length=64)
    answers = models.JSONField(default=dict)

    class Meta:
        constraints = (models.UniqueConstraint(fields=("wall", "seat"), name="wall_seat_once"),)

    def __str__(self) -> str:
        return f"a seat at {self.wall_id}"
