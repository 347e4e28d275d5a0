"""The rule of sight: whose log an account may read, and the values that prove it.

A page or an endpoint asks once, by `sight_of`, `sight_of_member` or `club_sight`, and hands the
value on; a selector that takes a `Sight` asks the database nothing about rights again.
"""

from collections.abc import Iterable
from dataclasses import InitVar, dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.db.models import Q, QuerySet
from django.db.models.functions import Lower

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.people.models import COACHING_ROLES, Club, Group, Membership, Visibility

_PROOF = object()
"""What only this module hands to the values that prove the rule was asked."""


def _check_proof(proof: object) -> None:
    """Refuse a value that the rule of sight did not make.

    Raises:
        TypeError: It was made elsewhere.
    """
    if proof is not _PROOF:
        raise TypeError("Only the rule of sight makes this value: see logs/people/sight.py.")


@dataclass(frozen=True, slots=True)
class Whose:
    """The member that a page is about, as data.

    Attributes:
        name: The user name on one's own pages, else the name in the club.
        is_own: Whether the reader is this member.
        membership_id: Names the member in addresses; null on the reader's own pages.
        zone: Time zone of the club that the log is read in, an IANA name.
    """

    name: str
    is_own: bool
    membership_id: int | None
    zone: ZoneInfo


@dataclass(frozen=True, slots=True, kw_only=True)
class Sight(Whose):
    """Proof that ``reader`` may read the log of ``member``; a `Whose` with the accounts behind it.

    Attributes:
        reader: Who reads.
        member: Whose log.
        membership: The one through which it is read; None on the reader's own pages.
    """

    reader: User
    member: User
    membership: Membership | None
    proof: InitVar[object]

    def __post_init__(self, proof: object) -> None:
        """Refuse a value that the rule of sight did not make."""
        _check_proof(proof)

    @property
    def user(self) -> User:
        """The member's account."""
        return self.member

    @property
    def club(self) -> Club | None:
        """The club in which the log is read; None on the reader's own pages."""
        return None if self.membership is None else self.membership.club


@dataclass(frozen=True, slots=True)
class ClubName:
    """A club in a report.

    Attributes:
        name: Its name.
        slug: Names it in addresses.
    """

    name: str
    slug: str


@dataclass(frozen=True, slots=True)
class ClubMember:
    """A member of a club whose log the reader may open.

    Attributes:
        membership_id: Names the member in addresses.
        name: The name in the club, or ``Member A`` and so on where names are hidden.
        is_own: Whether it is the reader.
    """

    membership_id: int
    name: str
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SightedMember(ClubMember):
    """A `ClubMember` with the proof that their log may be read.

    Attributes:
        sight: The proof.
    """

    sight: Sight

    @property
    def user_id(self) -> int:
        """Number of the member's account."""
        return self.sight.member.pk


@dataclass(frozen=True, slots=True)
class ClubGroup:
    """A group of a club's people, as its coaches named it.

    Attributes:
        id: Its number.
        name: Its name.
        membership_ids: Who is in it, whatever they show of their logs.
    """

    id: int
    name: str
    membership_ids: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class ClubView:
    """A club as one reader sees it, as data.

    Attributes:
        club: The club.
        is_coach: Whether the reader coaches it.
        members: Those whose logs the reader may open, by name; of the group alone where one is
            chosen.
        hides_names: Whether letters stand in place of names, as for a picture of the screen.
        groups: The club's groups, by name; empty for who does not coach it.
        group: The group that is chosen; null for everybody.
    """

    club: ClubName
    is_coach: bool
    members: tuple[ClubMember, ...]
    hides_names: bool
    groups: tuple[ClubGroup, ...] = ()
    group: ClubGroup | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ClubSight(ClubView):
    """Proof of what ``reader`` may read in a club; a `ClubView` with the rows behind it.

    Attributes:
        reader: Who reads.
        membership: The reader's own.
        members: As in a `ClubView`, each with the proof.
    """

    reader: User
    membership: Membership
    members: tuple[SightedMember, ...]
    proof: InitVar[object]

    def __post_init__(self, proof: object) -> None:
        """Refuse a value that the rule of sight did not make."""
        _check_proof(proof)

    @property
    def club_row(self) -> Club:
        """The club as it is stored."""
        return self.membership.club

    @property
    def zone(self) -> ZoneInfo:
        """The club's time zone."""
        return ZoneInfo(self.club_row.time_zone)

    @property
    def user_ids(self) -> tuple[int, ...]:
        """Numbers of the accounts whose logs the reader may open."""
        return tuple(member.user_id for member in self.members)


def sight_of(*, actor: User, membership_id: int | None = None) -> Sight:
    """Proof that ``actor`` may read the log behind a membership; their own when None.

    Raises:
        NotFoundError: There is no such membership, or its log is not the actor's to read.
    """
    if membership_id is not None:
        membership = membership_get(actor=actor, membership_id=membership_id)
        return _sight(actor, membership)
    if not actor.is_active:
        raise NotFoundError("member")
    return Sight(
        reader=actor,
        member=actor,
        membership=None,
        name=actor.get_username(),
        is_own=True,
        membership_id=None,
        zone=time_zone_of(actor=actor),
        proof=_PROOF,
    )


def sight_of_member(*, actor: User, member: User) -> Sight:
    """Proof that ``actor`` may read the log of ``member``, in the first by name of their clubs.

    Raises:
        NotFoundError: They may not, or there is no such member.
    """
    if actor.pk == member.pk:
        return sight_of(actor=actor)
    visible = visible_memberships(actor).filter(user=member).select_related("club", "user")
    membership = visible.order_by("club__name", "club_id").first()
    if membership is None:
        raise NotFoundError("member")
    return _sight(actor, membership)


def club_sight(
    *, actor: User, slug: str, hides_names: bool = False, group_id: int | None = None
) -> ClubSight:
    """What ``actor`` may read in the club at ``slug``.

    Args:
        actor: Who reads.
        slug: The club.
        hides_names: Whether letters stand in place of names.
        group_id: The group whose members alone are meant; one that the club has not, or that the
            actor does not coach, is as if none was chosen.

    Raises:
        NotFoundError: There is none, or ``actor`` is not in it.
    """
    own = Membership.objects.filter(user=actor, club__slug=slug).select_related("club").first()
    if own is None:
        raise NotFoundError("club")
    groups = club_groups(own)
    group = next((one for one in groups if one.id == group_id), None)
    visible = enumerate(members_visible(actor=actor, club=own.club))
    return ClubSight(
        reader=actor,
        membership=own,
        club=ClubName(own.club.name, own.club.slug),
        is_coach=own.is_coach,
        members=tuple(
            SightedMember(
                membership_id=member.pk,
                name=letter_name(place) if hides_names else member.display_name,
                is_own=member.user_id == actor.pk,
                sight=_sight(actor, member),
            )
            for place, member in visible
            if group is None or member.pk in group.membership_ids
        ),
        hides_names=hides_names,
        groups=groups,
        group=group,
        proof=_PROOF,
    )


def club_groups(own: Membership) -> tuple[ClubGroup, ...]:
    """The groups of a club, by name, for a coach of it; none for others."""
    if not own.is_coach:
        return ()
    rows = Group.objects.filter(club=own.club_id).annotate(place=Lower("name"))
    members: dict[tuple[int, str], list[int]] = {}
    for pk, name, member in rows.order_by("place", "pk", "members").values_list(
        "pk", "name", "members"
    ):
        members.setdefault((pk, name), []).extend(one for one in (member,) if one)
    return tuple(ClubGroup(pk, name, tuple(ids)) for (pk, name), ids in members.items())


def club_tabs(*, actor: User, slug: str, group_id: int | None = None) -> ClubView:
    """A club as the tabs of its coaches' pages read it, with the group that is chosen.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
    """
    coached = Membership.objects.filter(user=actor, club__slug=slug, role__in=COACHING_ROLES)
    own = coached.select_related("club").first()
    if own is None or not actor.is_active:
        raise NotFoundError("club")
    groups = club_groups(own)
    return ClubView(
        club=ClubName(own.club.name, own.club.slug),
        is_coach=True,
        members=(),
        hides_names=False,
        groups=groups,
        group=next((one for one in groups if one.id == group_id), None),
    )


def _sight(actor: User, membership: Membership) -> Sight:
    """The value for a membership that the rule let ``actor`` fetch."""
    return Sight(
        reader=actor,
        member=membership.user,
        membership=membership,
        name=membership.display_name,
        is_own=membership.user_id == actor.pk,
        membership_id=membership.pk,
        zone=ZoneInfo(membership.club.time_zone),
        proof=_PROOF,
    )


def letter_name(place: int) -> str:
    """``Member A`` to ``Member Z``, ``Member AA`` and so on, from place 0."""
    letters = ""
    place += 1
    while place:
        place, rest = divmod(place - 1, 26)
        letters = chr(ord("A") + rest) + letters
    return f"Member {letters}"


def time_zone_of(*, actor: User) -> ZoneInfo:
    """The zone of the actor's club, the first by name; UTC for somebody in no club."""
    clubs = clubs_of(actor=actor)
    return ZoneInfo(clubs[0].time_zone if clubs else "UTC")


def today_of(*, actor: User, now: datetime) -> date:
    """The day that the actor has at ``now``."""
    return now.astimezone(time_zone_of(actor=actor)).date()


def visible_memberships(actor: User) -> QuerySet[Membership]:
    """The memberships whose logs ``actor`` may read.

    Their own; as a coach, those of the club who show theirs to coaches or to the club; as a member,
    those of the club who show theirs to the club. Nobody's for an account that is locked.
    """
    if not actor.is_active:
        return Membership.objects.none()
    own = Membership.objects.filter(user=actor)
    clubs = own.values("club")
    coached = own.filter(role__in=COACHING_ROLES).values("club")
    return Membership.objects.filter(
        Q(user=actor)
        | Q(club__in=clubs, visibility=Visibility.CLUB)
        | Q(club__in=coached, visibility=Visibility.COACH)
    )


def check_sight(actor: User, member: User | Sight) -> User:
    """The account of ``member``, once it is sure that ``actor`` may read their log.

    A `Sight` of the actor's answers without asking the database: selectors that still take
    ``actor=`` and ``member=`` may be handed one as the member.

    Raises:
        NotFoundError: They may not, or there is no such member.
    """
    if isinstance(member, Sight):
        if member.reader.pk != actor.pk:
            raise NotFoundError("member")
        return member.member
    if not actor.is_active:
        raise NotFoundError("member")
    if actor.pk != member.pk and not visible_memberships(actor).filter(user=member).exists():
        raise NotFoundError("member")
    return member


def check_sight_of_all(actor: User, members: Iterable[User]) -> None:
    """`check_sight` of several members.

    Raises:
        NotFoundError: Of one of them ``actor`` may not read the log, or there is none.
    """
    others = {member.pk for member in members} - {actor.pk}
    shown = visible_memberships(actor).filter(user__in=others).values_list("user", flat=True)
    if not actor.is_active or (others and not others <= set(shown)):
        raise NotFoundError("member")


def clubs_of(*, actor: User) -> list[Club]:
    """The clubs ``actor`` is in, by name."""
    return list(Club.objects.filter(memberships__user=actor).order_by("name", "id"))


def club_get(*, actor: User, slug: str) -> Club:
    """The club at ``slug``.

    Raises:
        NotFoundError: There is none, or ``actor`` is not in it.
    """
    club = Club.objects.filter(slug=slug, memberships__user=actor).first()
    if club is None:
        raise NotFoundError("club")
    return club


def own_membership(*, actor: User, club: Club) -> Membership:
    """The membership of ``actor`` in ``club``.

    Raises:
        NotFoundError: They are not in it.
    """
    own = Membership.objects.filter(user=actor, club=club).select_related("club", "user").first()
    if own is None:
        raise NotFoundError("club")
    return own


def membership_get(*, actor: User, membership_id: int) -> Membership:
    """A membership whose log ``actor`` may read, with its club and user.

    Raises:
        NotFoundError: There is none, or its log is not theirs to read.
    """
    visible = visible_memberships(actor).select_related("club", "user")
    membership = visible.filter(pk=membership_id).first()
    if membership is None:
        raise NotFoundError("member")
    return membership


def members_visible(*, actor: User, club: Club) -> list[Membership]:
    """The memberships of ``club`` whose logs ``actor`` may read, by display name, with users."""
    visible = visible_memberships(actor).filter(club=club).select_related("club", "user")
    return list(visible.order_by("display_name", "id"))


def coached_clubs(*, actor: User) -> list[Club]:
    """The clubs that ``actor`` coaches, by name."""
    if not actor.is_active:
        return []
    coached = Club.objects.filter(memberships__user=actor, memberships__role__in=COACHING_ROLES)
    return list(coached.order_by("name", "id"))


def coached_club_get(*, actor: User, slug: str) -> Club:
    """The club at ``slug``, for its coaches.

    Raises:
        NotFoundError: There is none, or ``actor`` does not coach it.
    """
    found = [club for club in coached_clubs(actor=actor) if club.slug == slug]
    if not found:
        raise NotFoundError("club")
    return found[0]


def coaches(*, actor: User, club_id: int) -> bool:
    """Whether ``actor`` coaches the club."""
    return any(club.pk == club_id for club in coached_clubs(actor=actor))


def coached_membership_get(*, actor: User, membership_id: int) -> Membership:
    """A membership of a club that ``actor`` coaches, whose log they may read.

    Raises:
        NotFoundError: There is none, or it is not theirs to coach or to read.
    """
    visible = visible_memberships(actor).select_related("club", "user")
    found = visible.filter(
        pk=membership_id, club__in=[club.pk for club in coached_clubs(actor=actor)]
    ).first()
    if found is None:
        raise NotFoundError("member")
    return found
