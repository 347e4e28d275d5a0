"""Who coaches a club, and whom: what may be set, planned and put in order hangs on it."""

from typing import TYPE_CHECKING

from logs.errors import NotFoundError
from logs.models import Club, Membership, Role
from logs.selectors.clubs import visible_memberships

if TYPE_CHECKING:
    from clubsite.accounts.models import User

COACHING_ROLES = tuple(role for role in Role if role is not Role.MEMBER)


def coached_clubs(*, actor: "User") -> list[Club]:
    """The clubs that ``actor`` coaches, by name."""
    if not actor.is_active:
        return []
    coached = Club.objects.filter(memberships__user=actor, memberships__role__in=COACHING_ROLES)
    return list(coached.order_by("name", "id"))


def coached_club_get(*, actor: "User", slug: str) -> Club:
    """The club at ``slug``, for its coaches.

    Raises:
        NotFoundError: There is none, or ``actor`` does not coach it.
    """
    found = [club for club in coached_clubs(actor=actor) if club.slug == slug]
    if not found:
        raise NotFoundError("club")
    return found[0]


def coaches(*, actor: "User", club_id: int) -> bool:
    """Whether ``actor`` coaches the club."""
    return any(club.pk == club_id for club in coached_clubs(actor=actor))


def coached_membership_get(*, actor: "User", membership_id: int) -> Membership:
    """A membership of a club that ``actor`` coaches, whose log they may read.

    Raises:
        NotFoundError: There is none, or it is not theirs to coach or to read.
    """
    visible = visible_memberships(actor).select_related("club", "user")
    found = visible.filter(
        pk=membership_id, club__in=[club.pk for club in coached_clubs(actor=actor)]
    ).first()
    if found is None:
        raise NotFoundError("member")
    return found
