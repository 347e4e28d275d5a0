"""The days that a member marked on the axis of their times."""

from typing import TYPE_CHECKING

from logs.models import TimeMark
from logs.selectors.clubs import check_sight

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def time_mark_list(*, actor: "User", member: "User") -> list[TimeMark]:
    """The member's marks, the oldest first.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    return list(TimeMark.objects.filter(member=member).order_by("day", "id"))
