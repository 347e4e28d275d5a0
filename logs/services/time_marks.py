"""Marks on the axis of a member's times: made and removed by the member alone."""

from datetime import date
from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.db import transaction

from logs.errors import NotFoundError
from logs.models import LONGEST_MARK, TimeMark
from logs.services.locks import lock_log

if TYPE_CHECKING:
    from clubsite.accounts.models import User

MOST_MARKS = 50
MAX_WORD = LONGEST_MARK


@transaction.atomic
def time_mark_add(*, actor: "User", day: date, word: str, today: date) -> tuple[TimeMark, bool]:
    """Mark a day of the actor's own; the same mark again is the same. It, and whether it is new.

    Args:
        actor: Whose axis.
        day: Which day, ``today`` at the latest.
        word: What happened, 1 to ``LONGEST_MARK`` characters.
        today: The day that the actor has.

    Raises:
        ValidationError: There is no word, it is too long, the day is to come, or there are
            ``MOST_MARKS`` marks already.
    """
    word = " ".join(word.split())
    if not word:
        raise ValidationError({"word": "Give the mark a word, such as: new cube."})
    if len(word) > LONGEST_MARK:
        raise ValidationError({"word": f"Use {LONGEST_MARK} characters at most."})
    if day > today:
        raise ValidationError({"day": "That day is to come. Mark it when it is there."})
    lock_log(actor.pk)
    known = TimeMark.objects.filter(member=actor, day=day, word=word).first()
    if known is None and TimeMark.objects.filter(member=actor).count() >= MOST_MARKS:
        raise ValidationError(f"You have {MOST_MARKS} marks. Remove one first.")
    if known is not None:
        return known, False
    return TimeMark.objects.create(member=actor, day=day, word=word), True


@transaction.atomic
def time_mark_remove(*, actor: "User", mark_id: int) -> None:
    """Remove a mark of the actor's own.

    Raises:
        NotFoundError: There is none, or it is somebody else's.
    """
    n_removed, _ = TimeMark.objects.filter(member=actor, pk=mark_id).delete()
    if not n_removed:
        raise NotFoundError("mark")
