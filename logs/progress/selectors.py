"""The version of a log, and the figures kept under it."""

from collections.abc import Sequence
from typing import Any

from clubsite.accounts.models import User
from logs.people.sight import Sight, check_sight, check_sight_of_all
from logs.progress.models import KeptFigures, TimeMark
from logs.solves.models.tallies import LogVersion


def log_version(*, actor: User, member: User | Sight) -> int:
    """How often the member's log changed, 0 before the first time.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    return LogVersion.objects.filter(member=member).values_list("version", flat=True).first() or 0


def figures_kept(*, actor: User, member: User | Sight, key: str) -> dict[str, dict[str, Any]]:
    """All figures of the member that were kept under just this key, by name.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    kept = KeptFigures.objects.filter(member=member, key=key)
    return dict(kept.values_list("name", "content"))


def log_versions(*, actor: User, members: Sequence[User]) -> dict[int, int]:
    """`log_version` of several members, by account.

    Raises:
        NotFoundError: One of their logs is not the actor's to read.
    """
    check_sight_of_all(actor, members)
    found = LogVersion.objects.filter(member__in=members).values_list("member", "version")
    return dict.fromkeys((member.pk for member in members), 0) | dict(found)


def figures_kept_of(
    *, actor: User, members: Sequence[User], name: str
) -> dict[int, tuple[str, dict[str, Any]]]:
    """The figures of one name of several members, each with its key, by account.

    Raises:
        NotFoundError: One of their logs is not the actor's to read.
    """
    check_sight_of_all(actor, members)
    kept = KeptFigures.objects.filter(member__in=members, name=name)
    return {
        member: (key, content)
        for member, key, content in kept.values_list("member", "key", "content")
    }


def time_mark_list(*, actor: User, member: User | Sight) -> list[TimeMark]:
    """The member's marks, the oldest first.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    member = check_sight(actor, member)
    return list(TimeMark.objects.filter(member=member).order_by("day", "id"))
