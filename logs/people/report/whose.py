"""Whose page it is: the actor's own, or a member's whose log they may read."""

from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.people.sight import clubs_of, members_visible, membership_get, own_membership


@dataclass(frozen=True, slots=True)
class Whose:
    """The member a page is about.

    Attributes:
        user: Their account.
        name: What the page calls them.
        is_own: Whether the reader is this member.
        membership_id: Names the member in addresses; None on the reader's own pages.
        zone: Their club's time zone.
    """

    user: User
    name: str
    is_own: bool
    membership_id: int | None
    zone: ZoneInfo


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


def whose(*, actor: User, membership_id: int | None = None) -> Whose:
    """The member that a page is about: the actor, or the one of the membership.

    Raises:
        NotFoundError: There is no such member, or their log is not the actor's to read.
    """
    if membership_id is None:
        return Whose(actor, actor.get_username(), True, None, time_zone_of(actor=actor))
    membership = membership_get(actor=actor, membership_id=membership_id)
    return Whose(
        user=membership.user,
        name=membership.display_name,
        is_own=membership.user_id == actor.pk,
        membership_id=membership.pk,
        zone=ZoneInfo(membership.club.time_zone),
    )


def time_zone_of(*, actor: User) -> ZoneInfo:
    """The zone of the actor's club, the first by name; UTC for somebody in no club."""
    clubs = clubs_of(actor=actor)
    return ZoneInfo(clubs[0].time_zone if clubs else "UTC")


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


def whose_solve(*, actor: User, member: User) -> Whose:
    """The member of a solve that the actor may read, by the name the club knows them by."""
    if member.pk == actor.pk:
        return whose(actor=actor)
    for club in clubs_of(actor=actor):
        for membership in members_visible(actor=actor, club=club):
            if membership.user_id == member.pk:
                return Whose(
                    member, membership.display_name, False, membership.pk, ZoneInfo(club.time_zone)
                )
    raise NotFoundError("solve")
