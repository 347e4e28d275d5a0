"""A club's algorithm book: its algorithms by case, and the names it gives to runs of turns."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from logs import limits
from logs.algorithms.figures import BEFORE
from logs.cases.facts import case_known
from logs.people.models import Club


class BookAlgorithm(models.Model):
    """An algorithm of a club's book, proved when it was added.

    A club without any follows the standard book; its first change copies that here. Retired ones
    stay, so that it can be told what was taught when.

    Attributes:
        text: Its normal spelling; the engine proves from it.
        place: Its place among those of its case, from 1; the first is the one that is taught.
        retired_at: When it was taken out; null while it is in the book.
    """

    club = models.ForeignKey(
        Club, on_delete=models.CASCADE, related_name="algorithms", db_index=False
    )
    stage = models.CharField(max_length=3)
    case = models.CharField(max_length=4)
    text = models.CharField(max_length=300)
    place = models.PositiveSmallIntegerField()
    note = models.CharField(max_length=300, blank=True)
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    added_at = models.DateTimeField()
    retired_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("club", "stage", "case", "text"),
                condition=Q(retired_at=None),
                name="book_algorithm_once_in_book",
            ),
            models.CheckConstraint(name="book_algorithm_case_known", condition=case_known()),
            models.CheckConstraint(name="book_algorithm_written", condition=~Q(text="")),
            models.CheckConstraint(name="book_algorithm_placed", condition=Q(place__gte=1)),
        )
        indexes = (
            models.Index(fields=("club", "stage", "case", "place"), name="book_algorithm_by_place"),
        )

    def __str__(self) -> str:
        return self.text


class CaseWords(models.Model):
    """A coach's own words on a case of a club's book, and the hold they teach it in.

    Attributes:
        text: In any script, with its line breaks; empty where there is a hold alone.
        hold_angle: The angle at which the case is held, where that is not where the taught
            algorithm starts; else null.
        hold_before: What is turned between that hold and the algorithm; empty for nothing.
        written_by: Who wrote them last; null once their account is erased.
    """

    club = models.ForeignKey(
        Club, on_delete=models.CASCADE, related_name="case_words", db_index=False
    )
    stage = models.CharField(max_length=limits.STAGE)
    case = models.CharField(max_length=limits.CASE)
    text = models.CharField(max_length=limits.CASE_WORDS, blank=True)
    hold_angle = models.PositiveSmallIntegerField(null=True, blank=True)
    hold_before = models.CharField(max_length=2, blank=True)
    written_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    written_at = models.DateTimeField()

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("club", "stage", "case"), name="case_words_once_in_club"
            ),
            models.CheckConstraint(name="case_words_case_known", condition=case_known()),
            models.CheckConstraint(
                name="case_words_written", condition=~Q(text="") | Q(hold_angle__isnull=False)
            ),
            models.CheckConstraint(
                name="case_words_hold_known",
                condition=Q(hold_angle=None, hold_before="")
                | Q(hold_angle__isnull=False, hold_angle__range=(0, 3), hold_before__in=BEFORE),
            ),
        )

    def __str__(self) -> str:
        return self.text


class TriggerName(models.Model):
    """A club's own name for a run of turns, on top of the names everybody knows."""

    club = models.ForeignKey(
        Club, on_delete=models.CASCADE, related_name="trigger_names", db_index=False
    )
    name = models.CharField(max_length=40)
    turns = models.CharField(max_length=100)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("club", "name"), name="trigger_name_once_in_club"),
            models.UniqueConstraint(fields=("club", "turns"), name="trigger_turns_once_in_club"),
            models.CheckConstraint(
                name="trigger_name_written", condition=~Q(name="") & ~Q(turns="")
            ),
        )

    def __str__(self) -> str:
        return self.name
