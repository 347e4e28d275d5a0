"""The clubs a person is in, and the people and invitations of one, for its coaches."""

from dataclasses import dataclass
from datetime import datetime
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.errors import NotAllowedError, NotFoundError
from logs.people.models import Invitation, Membership
from logs.people.report.members import ClubView, club_view
from logs.people.selectors import club_people, invitation_list, invitation_open, own_memberships
from logs.people.services.throttles import INVITATION, try_check, try_count
from logs.words import moment

ROLE_WORDS = {"owner": "owner and coach", "coach": "coach", "member": "member"}


INVITED_AS = {"owner": "its owner", "coach": "a coach", "member": "a member"}


WRONG_CODE = (
    "This code does not work. It may be mistyped, used up, too old or withdrawn."
    " Look at it again, or ask for a new one."
)


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


def clubs_report(*, actor: User) -> tuple[ClubLine, ...]:
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


def club_line(*, actor: User, slug: str) -> ClubLine:
    """One of the actor's clubs.

    Raises:
        NotFoundError: There is none, or ``actor`` is not in it.
    """
    lines = [line for line in clubs_report(actor=actor) if line.slug == slug]
    if not lines:
        raise NotFoundError("club")
    return lines[0]


def people_report(*, actor: User, slug: str, now: datetime) -> PeopleReport:
    """The people of a club that ``actor`` coaches, and its invitations.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
    """
    people = club_people(actor=actor, slug=slug)
    club = people[0].club
    own = _own(people, actor)
    zone = ZoneInfo(club.time_zone)
    invitations = invitation_list(actor=actor, slug=slug)
    return PeopleReport(
        slug=club.slug,
        club=club.name,
        view=club_view(actor=actor, slug=slug),
        is_owner=own.role == "owner",
        people=tuple(_person_line(person, own) for person in people),
        invitations=tuple(_invitation_line(one, zone, now) for one in invitations),
    )


def person_line(*, actor: User, slug: str, membership_id: int) -> PersonLine:
    """Somebody in a club that ``actor`` coaches.

    Raises:
        NotFoundError: There is no such person in a club that ``actor`` coaches.
    """
    people = club_people(actor=actor, slug=slug)
    found = [person for person in people if person.pk == membership_id]
    if not found:
        raise NotFoundError("member")
    return _person_line(found[0], _own(people, actor))


def _own(people: list[Membership], actor: User) -> Membership:
    return next(person for person in people if person.user_id == actor.pk)


def _person_line(person: Membership, own: Membership) -> PersonLine:
    """``person`` as ``own``, a coach of the club, sees them."""
    is_other, is_owner = person.pk != own.pk, own.role == "owner"
    other_role = "coach" if person.role == "member" else "member"
    return PersonLine(
        membership_id=person.pk,
        name=person.display_name,
        role=ROLE_WORDS[person.role],
        is_own=not is_other,
        can_remove=is_other and person.role != "owner" and (is_owner or person.role == "member"),
        new_role=other_role if is_owner and is_other else "",
        can_own=is_owner and is_other,
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


def join_report(*, code: str, actor: User | None, address: str, now: datetime) -> JoinReport:
    """What the invitation behind ``code`` opens; a code that opens nothing counts as a guess.

    Args:
        code: As it was given.
        actor: Who asks; None for a stranger.
        address: Where the request comes from.
        now: When.

    Raises:
        NotFoundError: No invitation with this code works now.
        TooManyTriesError: Too many such codes were tried lately.
    """
    try_check(INVITATION, actor=actor, address=address, now=now)
    try:
        invitation = invitation_open(code=code, now=now)
    except NotFoundError:
        try_count(INVITATION, actor=actor, address=address, now=now)
        raise
    return JoinReport(code, invitation.club.name, INVITED_AS[invitation.role])


def _invitation_line(one: Invitation, zone: ZoneInfo, now: datetime) -> InvitationLine:
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


VISIBILITIES = (
    ("only_me", "Only me", "Nobody else sees your log or any figure made from it."),
    (
        "coach",
        "My coaches",
        "The coaches of this club see your log and your figures. Other members do not.",
    ),
    (
        "club",
        "Everyone in the club",
        "The coaches and all members of this club see your log and your figures.",
    ),
)
"""Value, name and meaning, the most private first."""
