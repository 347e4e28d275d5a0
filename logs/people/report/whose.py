"""Whose page it is: the actor's own, or a member's whose log they may read."""

from dataclasses import dataclass
from datetime import date, datetime

from clubsite.accounts.models import User
from logs.people.sight import (
    Sight,
    Whose,
    clubs_of,
    members_visible,
    own_membership,
    sight_of,
    sight_of_member,
    time_zone_of,
)

__all__ = [
    "MemberLine",
    "MembersReport",
    "Sight",
    "Whose",
    "members_report",
    "time_zone_of",
    "today_of",
    "whose",
    "whose_solve",
]


@dataclass(frozen=True, slots=True)
class MemberLine:
    """A member whose log the reader may open."""

    membership_id: int
    name: str
    role: str
    is_own: bool


@dataclass(frozen=True, slots=True)
class MembersReport:
    """The members of the reader's clubs whose logs they may open, by club name."""

    clubs: tuple[tuple[str, tuple[MemberLine, ...]], ...]
    n_others: int
    is_coach: bool


def whose(*, actor: User, membership_id: int | None = None) -> Sight:
    """`sight_of` by the name of before.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    return sight_of(actor=actor, membership_id=membership_id)


def today_of(*, actor: User, now: datetime) -> date:
    """The day that the actor has at ``now``."""
    return now.astimezone(time_zone_of(actor=actor)).date()


def members_report(*, actor: User) -> MembersReport:
    """The members whose logs the actor may open."""
    clubs = []
    is_coach = False
    for club in clubs_of(actor=actor):
        is_coach = is_coach or own_membership(actor=actor, club=club).is_coach
        lines = tuple(
            MemberLine(member.pk, member.display_name, member.role, member.user_id == actor.pk)
            for member in members_visible(actor=actor, club=club)
        )
        clubs.append((club.name, lines))
    n_others = sum(not line.is_own for _, lines in clubs for line in lines)
    return MembersReport(tuple(clubs), n_others, is_coach)


def whose_solve(*, actor: User, member: User) -> Sight:
    """`sight_of_member` by the name of before.

    Raises:
        NotFoundError: The member's log is not the actor's to read.
    """
    return sight_of_member(actor=actor, member=member)
