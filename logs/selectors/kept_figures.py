"""The version of a log, and the figures kept under it."""

from typing import TYPE_CHECKING, Any, cast

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


def figures_kept(*, actor: "User", member: "User", name: str, key: str) -> dict[str, Any] | None:
    """The figures of that name if they were kept under just this key.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    check_sight(actor, member)
    kept = KeptFigures.objects.filter(member=member, name=name, key=key)
    return cast("dict[str, Any] | None", kept.values_list("content", flat=True).first())
