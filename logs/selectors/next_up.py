"""What the order of a member's next cases is worked out from, and the coach's words on it."""

from typing import TYPE_CHECKING

from logs.errors import NotFoundError
from logs.models import Membership, Override
from logs.selectors.clubs import visible_memberships
from logs.selectors.coaching import coached_membership_get

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def overrides_in_force(
    *, actor: "User", member: "User", membership: Membership | None = None
) -> list[Override]:
    """The coaches' words on a member's list that hold, oldest first.

    Args:
        actor: Who asks, and may read the member's log.
        member: Whose list.
        membership: The club whose coaches are heard; on the member's own page, None, all of them.
    """
    words = Override.objects.filter(member=member, withdrawn_at=None)
    clubs = visible_memberships(actor).filter(user=member)
    if membership is not None:
        clubs = clubs.filter(pk=membership.pk)
    words = words.filter(club__in=clubs.values("club"))
    return list(words.select_related("by", "club").order_by("at", "id"))


def override_get(*, actor: "User", membership_id: int, override_id: int) -> Override:
    """A word in force on the list of a member whom ``actor`` coaches.

    Raises:
        NotFoundError: There is none, or the member is not theirs to coach or to read.
    """
    membership = coached_membership_get(actor=actor, membership_id=membership_id)
    for word in overrides_in_force(actor=actor, member=membership.user, membership=membership):
        if word.pk == override_id:
            return word
    raise NotFoundError("override")
