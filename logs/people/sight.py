"""Clubs and their members, as far as the actor may see them. The rule of sight stands here."""

from collections.abc import Iterable

from django.db.models import Q, QuerySet

from clubsite.accounts.models import User
from logs.errors import NotFoundError
from logs.people.models import COACHING_ROLES, Club, Membership, Visibility


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


def check_sight(actor: User, member: User) -> None:
    """Make sure that ``actor`` may read the log of ``member``.

    Raises:
        NotFoundError: They may not, or there is no such member.
    """
    if not actor.is_active:
        raise NotFoundError("member")
    if actor.pk != member.pk and not visible_memberships(actor).filter(user=member).exists():
        raise NotFoundError("member")


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
