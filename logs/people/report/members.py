"""A club as its reader sees it, by the names of before: see `logs.people.sight`."""

from clubsite.accounts.models import User
from logs.people.sight import (
    ClubMember,
    ClubSight,
    ClubView,
    SightedMember,
    club_sight,
    letter_name,
)

__all__ = ["ClubMember", "ClubSight", "ClubView", "SightedMember", "club_view", "letter_name"]


def club_view(*, actor: User, slug: str, hides_names: bool = False) -> ClubSight:
    """`club_sight` by the name of before.

    Raises:
        NotFoundError: There is none, or ``actor`` is not in it.
    """
    return club_sight(actor=actor, slug=slug, hides_names=hides_names)
