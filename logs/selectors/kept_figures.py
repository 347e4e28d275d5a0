"""The version of a log, and the figures kept under it."""

from typing import TYPE_CHECKING, Any

from logs.models import KeptFigures, LogVersion
from logs.selectors.clubs import check_sight

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def log_version(*, actor: "User", member: "User") -> int:
    """How often the member's log changed, 0 before the first time.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    return LogVersion.objects.filter(member=member).values_list("version", flat=True).first() or 0


def figures_kept(*, actor: "User", member: "User", key: str) -> dict[str, dict[str, Any]]:
    """All figures of the member that were kept under just this key, by name.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    kept = KeptFigures.objects.filter(member=member, key=key)
    return dict(kept.values_list("name", "content"))
