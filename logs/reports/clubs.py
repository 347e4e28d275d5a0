"""The clubs a person is in, and the people and invitations of one, for its coaches."""

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from logs.errors import NotAllowedError, NotFoundError
from logs.reports.club_members import ClubView, club_view
from logs.reports.words import moment
from logs.selectors.invitations import invitation_list, invitation_open
from logs.selectors.people import club_people, own_memberships

if TYPE_CHECKING:
    from clubsite.accounts.models import User
    from logs.models import Invitation

ROLE_WORDS = {"owner": "owner and coach", "coach": "coach", "member": "member"}
INVITED_AS = {"owner": "its owner", "coach": "a coach", "member": "a member"}


@dataclass(frozen=True, slots=True)
class ClubLine:
    """A club that the reader is in."""

    slug: str
    name: str
    role: str
    display_name: str
    is_coach: bool
    is_owner: bool


@dataclass(frozen=True, slots=True)
class PersonLine:
    """Somebody in a club, as its coaches see them. What they show of their log is not here.

    Attributes:
        membership_id: Names them in addresses.
        name: As the club knows them.
        role: In words.
        is_own: Whether it is the reader.
        can_remove: Whether the reader may take them out of the club.
        new_role: The role the reader may give them, or empty.
        can_own: Whether the reader may hand the club over to them.
    """

    membership_id: int
    name: str
    role: str
    is_own: bool
    can_remove: bool
    new_role: str
    can_own: bool


@dataclass(frozen=True, slots=True)
class InvitationLine:
    """An invitation as its club's coaches see it; its code is kept nowhere.

    Attributes:
        id: Names it in addresses.
        role: What those who use it become.
        made: When.
        ends: When it stops to work.
        n_uses: How many people have used it.
        max_uses: How many may.
        state: ``open``, ``withdrawn``, ``out of date`` or ``used up``.
    """

    id: int
    role: str
    made: str
    ends: str
    n_uses: int
    max_uses: int
    state: str


@dataclass(frozen=True, slots=True)
class PeopleReport:
    """The people of a club and its invitations."""

    slug: str
    club: str
    view: ClubView
    is_owner: bool
    people: tuple[PersonLine, ...]
    invitations: tuple[InvitationLine, ...]


@dataclass(frozen=True, slots=True)
class JoinReport:
    """What an invitation opens."""

    code: str
    club: str
    role: str


def clubs_report(*, actor: "User") -> tuple[ClubLine, ...]:
    """The clubs that ``actor`` is in, by name."""
    return tuple(
        ClubLine(
            slug=own.club.slug,
            name=own.club.name,
            role=ROLE_WORDS[own.role],
            display_name=own.display_name,
            is_coach=own.is_coach,
            is_owner=own.role == "owner",
        )
        for own in own_memberships(actor=actor)
    )


def club_line(*, actor: "User", slug: str) -> ClubLine:
    """One of the actor's clubs.

    Raises:
        NotFoundError: There is none, or ``actor`` is not in it.
    """
    lines = [line for line in clubs_report(actor=actor) if line.slug == slug]
    if not lines:
        raise NotFoundError("club")
    return lines[0]


def people_report(*, actor: "User", slug: str, now: datetime) -> PeopleReport:
    """The people of a club that ``actor`` coaches, and its invitations.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
    """
    people = club_people(actor=actor, slug=slug)
    club = people[0].club
    own = next(person for person in people if person.user_id == actor.pk)
    is_owner = own.role == "owner"
    zone = ZoneInfo(club.time_zone)
    lines = []
    for person in people:
        is_other = person.pk != own.pk
        below = is_other and person.role != "owner" and (is_owner or person.role == "member")
        other_role = "coach" if person.role == "member" else "member"
        lines.append(
            PersonLine(
                membership_id=person.pk,
                name=person.display_name,
                role=ROLE_WORDS[person.role],
                is_own=not is_other,
                can_remove=below,
                new_role=other_role if is_owner and is_other else "",
                can_own=is_owner and is_other,
            )
        )
    invitations = invitation_list(actor=actor, slug=slug)
    return PeopleReport(
        slug=club.slug,
        club=club.name,
        view=club_view(actor=actor, slug=slug),
        is_owner=is_owner,
        people=tuple(lines),
        invitations=tuple(_invitation_line(one, zone, now) for one in invitations),
    )


def heir(report: PeopleReport, membership_id: int) -> PersonLine:
    """The person that the reader may hand the club over to.

    Raises:
        NotFoundError: Nobody of that number is in the club.
        NotAllowedError: The reader is not the owner, or the person is the reader.
    """
    found = [person for person in report.people if person.membership_id == membership_id]
    if not found:
        raise NotFoundError("member")
    if not found[0].can_own:
        raise NotAllowedError("Only the owner hands the club over, to somebody else.")
    return found[0]


def join_report(*, code: str, now: datetime) -> JoinReport:
    """What the invitation behind ``code`` opens.

    Raises:
        NotFoundError: No invitation with this code works now.
    """
    invitation = invitation_open(code=code, now=now)
    return JoinReport(code, invitation.club.name, INVITED_AS[invitation.role])


def _invitation_line(one: "Invitation", zone: ZoneInfo, now: datetime) -> InvitationLine:
    if one.withdrawn_at is not None:
        state = "withdrawn"
    elif one.n_uses >= one.max_uses:
        state = "used up"
    else:
        state = "open" if one.expires_at > now else "out of date"
    return InvitationLine(
        id=one.pk,
        role=ROLE_WORDS[one.role],
        made=moment(one.created_at, zone),
        ends=moment(one.expires_at, zone),
        n_uses=one.n_uses,
        max_uses=one.max_uses,
        state=state,
    )
