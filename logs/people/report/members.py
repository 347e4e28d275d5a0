"""The members whose logs a reader may open, over all clubs."""

from dataclasses import dataclass

from clubsite.accounts.models import User
from logs.people.models import Role
from logs.people.sight import ClubName, clubs_of, members_visible, own_membership


@dataclass(frozen=True, slots=True)
class MemberLine:
    """A member whose log the reader may open.

    Attributes:
        membership_id: Names the member in addresses.
        name: As the club knows them.
        role: What they are in the club.
        is_own: Whether it is the reader.
    """

    membership_id: int
    name: str
    role: Role
    is_own: bool


@dataclass(frozen=True, slots=True)
class ClubMembers:
    """The members of one club whose logs the reader may open.

    Attributes:
        club: The club.
        members: By name.
    """

    club: ClubName
    members: tuple[MemberLine, ...]


@dataclass(frozen=True, slots=True)
class MembersReport:
    """The members of the reader's clubs whose logs they may open.

    Attributes:
        clubs: By the club's name.
        n_others: Members other than the reader, over all clubs.
        is_coach: Whether the reader coaches one of the clubs.
    """

    clubs: tuple[ClubMembers, ...]
    n_others: int
    is_coach: bool


def members_report(*, actor: User) -> MembersReport:
    """The members whose logs the actor may open."""
    clubs = []
    is_coach = False
    for row in clubs_of(actor=actor):
        is_coach = is_coach or own_membership(actor=actor, club=row).is_coach
        lines = tuple(
            MemberLine(
                member.pk, member.display_name, Role(member.role), member.user_id == actor.pk
            )
            for member in members_visible(actor=actor, club=row)
        )
        clubs.append(ClubMembers(ClubName(row.name, row.slug), lines))
    n_others = sum(not line.is_own for club in clubs for line in club.members)
    return MembersReport(tuple(clubs), n_others, is_coach)
