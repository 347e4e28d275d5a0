"""The clubs a person is in and their tokens; the people and invitations of one, for its coaches."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from zoneinfo import ZoneInfo

from clubsite.accounts.models import User
from logs.errors import NotAllowedError, NotFoundError
from logs.people.models import Club, Invitation, Membership, Role, Scope, Visibility
from logs.people.selectors import (
    club_people,
    contacts,
    invitation_code,
    invitation_list,
    invitation_open,
    own_memberships,
    token_list,
)
from logs.people.services.passwords import INVITATION, try_count, try_forgive
from logs.people.sight import ClubView, club_sight


@dataclass(frozen=True, slots=True)
class ClubLine:
    """A club that the reader is in.

    Attributes:
        slug: Names the club in addresses.
        name: The club's name.
        role: What the reader is in it.
        display_name: What the club calls the reader.
        visibility: Who but the reader sees the reader's log there.
        is_coach: Whether the reader coaches the club.
        is_owner: Whether the reader owns it.
    """

    slug: str
    name: str
    role: Role
    display_name: str
    visibility: Visibility
    is_coach: bool
    is_owner: bool


@dataclass(frozen=True, slots=True)
class PersonLine:
    """Somebody in a club, as its coaches see them. What they show of their log is not here.

    Attributes:
        membership_id: Names them in addresses.
        name: As the club knows them.
        role: What they are in the club.
        is_own: Whether it is the reader.
        can_remove: Whether the reader may take them out of the club.
        new_role: The role that the reader may give them; null where none.
        can_own: Whether the reader may hand the club over to them.
        can_help: Whether the reader may make a code for a password that they forgot.
    """

    membership_id: int
    name: str
    role: Role
    is_own: bool
    can_remove: bool
    new_role: Role | None
    can_own: bool
    can_help: bool


class InvitationState(StrEnum):
    """Whether an invitation works, or why not."""

    OPEN = "open"
    WITHDRAWN = "withdrawn"
    EXPIRED = "expired"
    USED_UP = "used_up"


@dataclass(frozen=True, slots=True)
class InvitationLine:
    """An invitation as its club's coaches see it.

    Attributes:
        id: Names it in addresses.
        role: What those who use it become.
        created_at: When it was made.
        expires_at: When it stops to work.
        n_uses: How many people have used it.
        max_uses: How many may.
        state: Whether it works, or why not.
        code: The code while it works; empty once it does not, and to those who may not invite to
            its role.
    """

    id: int
    role: Role
    created_at: datetime
    expires_at: datetime
    n_uses: int
    max_uses: int
    state: InvitationState
    code: str


@dataclass(frozen=True, slots=True)
class Contact:
    """Who answers for a club, in its owner's words.

    Attributes:
        club: The club's name.
        name: The person's.
        reach: How to reach them, such as a telephone number.
    """

    club: str
    name: str
    reach: str


@dataclass(frozen=True, slots=True)
class PeopleReport:
    """The people of a club and its invitations.

    Attributes:
        view: The club as the reader sees it.
        zone: The club's time zone, an IANA name.
        is_owner: Whether the reader owns the club.
        people: Everybody in the club.
        n_not_shared: Others in the club who show their log to nobody; who they are is not told.
        invitations: The newest first.
        contact: Who answers for the club; null where the owner named nobody.
    """

    view: ClubView
    zone: ZoneInfo
    is_owner: bool
    people: tuple[PersonLine, ...]
    n_not_shared: int
    invitations: tuple[InvitationLine, ...]
    contact: Contact | None


@dataclass(frozen=True, slots=True)
class JoinReport:
    """What an invitation opens.

    Attributes:
        code: As it was given.
        club: Name of the club.
        role: What those who use it become.
    """

    code: str
    club: str
    role: Role


def clubs_report(*, actor: User) -> tuple[ClubLine, ...]:
    """The clubs that ``actor`` is in, by name."""
    return tuple(
        ClubLine(
            slug=own.club.slug,
            name=own.club.name,
            role=Role(own.role),
            display_name=own.display_name,
            visibility=Visibility(own.visibility),
            is_coach=own.is_coach,
            is_owner=own.role == Role.OWNER,
        )
        for own in own_memberships(actor=actor)
    )


def club_line(*, actor: User, slug: str) -> ClubLine:
    """One of the actor's clubs.

    Raises:
        NotFoundError: There is none, or ``actor`` is not in it.
    """
    line = next((line for line in clubs_report(actor=actor) if line.slug == slug), None)
    if line is None:
        raise NotFoundError("club")
    return line


def people_report(*, actor: User, slug: str, now: datetime) -> PeopleReport:
    """The people of a club that ``actor`` coaches, and its invitations.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
    """
    people = club_people(actor=actor, slug=slug)
    club = people[0].club
    own = _own(people, actor)
    return PeopleReport(
        view=club_sight(actor=actor, slug=slug),
        zone=ZoneInfo(club.time_zone),
        is_owner=own.role == Role.OWNER,
        people=tuple(_person_line(person, own) for person in people),
        n_not_shared=sum(
            person.visibility == Visibility.ONLY_ME and person.pk != own.pk for person in people
        ),
        invitations=tuple(
            _invitation_line(invitation, own, now)
            for invitation in invitation_list(actor=actor, slug=slug)
        ),
        contact=_contact(club),
    )


def person_line(*, actor: User, slug: str, membership_id: int) -> PersonLine:
    """Somebody in a club that ``actor`` coaches.

    Raises:
        NotFoundError: There is no such person in a club that ``actor`` coaches.
    """
    people = club_people(actor=actor, slug=slug)
    person = next((person for person in people if person.pk == membership_id), None)
    if person is None:
        raise NotFoundError("member")
    return _person_line(person, _own(people, actor))


def _own(people: list[Membership], actor: User) -> Membership:
    return next(person for person in people if person.user_id == actor.pk)


def _person_line(person: Membership, own: Membership) -> PersonLine:
    """``person`` as ``own``, a coach of the club, sees them."""
    is_other, is_owner = person.pk != own.pk, own.role == Role.OWNER
    other_role = Role.COACH if person.role == Role.MEMBER else Role.MEMBER
    return PersonLine(
        membership_id=person.pk,
        name=person.display_name,
        role=Role(person.role),
        is_own=not is_other,
        can_remove=is_other
        and person.role != Role.OWNER
        and (is_owner or person.role == Role.MEMBER),
        new_role=other_role if is_owner and is_other else None,
        can_own=is_owner and is_other,
        can_help=is_owner and is_other,
    )


def heir(report: PeopleReport, membership_id: int) -> PersonLine:
    """The person that the reader may hand the club over to.

    Raises:
        NotFoundError: Nobody of that number is in the club.
        NotAllowedError: The reader is not the owner, or the person is the reader.
    """
    person = next((line for line in report.people if line.membership_id == membership_id), None)
    if person is None:
        raise NotFoundError("member")
    if not person.can_own:
        raise NotAllowedError("Only the owner hands the club over, to somebody else.")
    return person


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
    try_count(INVITATION, actor=actor, address=address, now=now)
    invitation = invitation_open(code=code, now=now)
    try_forgive(INVITATION, actor=actor, address=address, now=now)
    return JoinReport(code, invitation.club.name, Role(invitation.role))


def _invitation_line(invitation: Invitation, own: Membership, now: datetime) -> InvitationLine:
    if invitation.withdrawn_at is not None:
        state = InvitationState.WITHDRAWN
    elif invitation.n_uses >= invitation.max_uses:
        state = InvitationState.USED_UP
    else:
        is_open = invitation.expires_at > now
        state = InvitationState.OPEN if is_open else InvitationState.EXPIRED
    can_invite = invitation.role == Role.MEMBER or own.role == Role.OWNER
    is_told = state is InvitationState.OPEN and can_invite
    return InvitationLine(
        id=invitation.pk,
        role=Role(invitation.role),
        created_at=invitation.created_at,
        expires_at=invitation.expires_at,
        n_uses=invitation.n_uses,
        max_uses=invitation.max_uses,
        state=state,
        code=invitation_code(invitation) if is_told else "",
    )


def _contact(club: Club) -> Contact | None:
    return Contact(club.name, club.contact_name, club.contact_reach) if club.contact_name else None


def contacts_report() -> tuple[Contact, ...]:
    """Who answers for each club that named somebody, by the club's name; for anybody to read."""
    return tuple(Contact(club.name, club.contact_name, club.contact_reach) for club in contacts())


@dataclass(frozen=True, slots=True)
class TokenLine:
    """A token on a line.

    Attributes:
        id: Names it in addresses.
        name: The member's own word for the program.
        scopes: What it is good for.
        created_at: When it was made.
        expires_at: When it stops to work.
        last_used_at: When it last let a program in, to the hour; null where it never did.
        is_expired: Whether its days are up.
    """

    id: int
    name: str
    scopes: tuple[Scope, ...]
    created_at: datetime
    expires_at: datetime
    last_used_at: datetime | None
    is_expired: bool


def tokens_report(*, actor: User, now: datetime) -> tuple[TokenLine, ...]:
    """The actor's tokens, the newest first."""
    return tuple(
        TokenLine(
            id=token.pk,
            name=token.name,
            scopes=tuple(Scope(scope) for scope in token.scopes),
            created_at=token.made_at,
            expires_at=token.expires_at,
            last_used_at=token.last_used_at,
            is_expired=token.expires_at <= now,
        )
        for token in token_list(actor=actor)
    )
