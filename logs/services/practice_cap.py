"""The most practice a day that the coaches of a club want, written."""

from typing import TYPE_CHECKING

from django.core.exceptions import ValidationError
from django.db import transaction

from logs.models import MOST_PRACTICE, Club
from logs.selectors.coaching import coached_club_get

if TYPE_CHECKING:
    from clubsite.accounts.models import User


@transaction.atomic
def practice_cap_change(*, actor: "User", slug: str, practice_cap: int) -> Club:
    """Have a club's members practise at most ``practice_cap`` drills a day.

    Raises:
        NotFoundError: There is no such club, or the actor does not coach it.
        ValidationError: The number is not from 1 to ``MOST_PRACTICE``.
    """
    club = coached_club_get(actor=actor, slug=slug)
    if not 1 <= practice_cap <= MOST_PRACTICE:
        raise ValidationError({"practice_cap": f"Give a number from 1 to {MOST_PRACTICE}."})
    club.practice_cap = practice_cap
    club.save(update_fields=["practice_cap"])
    return club
