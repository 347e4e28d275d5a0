"""Who is in a club as what, and who sees their log.

Clubs and who is in them, written.

What other rooms are told of: they listen, and this room need not know them.
"""

from collections.abc import Collection
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.dispatch import Signal

from clubsite.accounts.models import User
from logs.errors import ConflictError, NotAllowedError, NotFoundError
from logs.limits import GROUPS
from logs.people.locks import lock_people
from logs.people.models import (
    Club,
    Group,
    Invitation,
    Membership,
    PasswordCode,
    Role,
    Verb,
    Visibility,
)
from logs.people.services.trail import event_write
from logs.people.sight import club_get, coached_club_get, own_membership

membership_changed = Signal()
"""Somebody joined or left a club. Sent within the transaction, with ``member`` and ``now``."""


@transaction.atomic
def visibility_change(
    *, actor: User, slug: str, visibility: str, now: datetime, origin: str = ""
) -> Membership:
    """Have the actor's log be seen by others, or by nobody, in one club, from now on.

    Raises:
        NotFoundError: There is no such club, or the actor is not in it.
        ValidationError: There is no such visibility.
    """
    if visibility not in Visibility.values:
        known = ", ".join(Visibility.values)
        raise ValidationError({"visibility": f"{visibility!r} is none of: {known}."})
    own = _own(actor, slug)
    before, own.visibility = own.visibility, visibility
    if before != visibility:
        own.save(update_fields=["visibility"])
        detail = {"before": before, "after": visibility}
        event_write(
            Verb.VISIBILITY,
            actor=actor,
            member=actor,
            now=now,
            club=own.club,
            detail=detail,
            origin=origin,
        )
    return own


@transaction.atomic
def display_name_change(
    *, actor: User, slug: str, display_name: str, now: datetime, origin: str = ""
) -> Membership:
    """Change the name a club knows the actor by. The trail keeps that it changed, not the names.

    Raises:
        NotFoundError: There is no such club, or the actor is not in it.
        ValidationError: The name is empty or too long.
    """
    own = _own(actor, slug)
    before, own.display_name = own.display_name, display_name.strip()
    own.clean_fields(exclude=["user", "club"])
    if before != own.display_name:
        own.save(update_fields=["display_name"])
        event_write(Verb.RENAME, actor=actor, member=actor, now=now, club=own.club, origin=origin)
    return own


@transaction.atomic
def membership_leave(*, actor: User, slug: str, now: datetime, origin: str = "") -> None:
    """Leave a club; nobody there sees the actor's log any more.

    A club whose owner is alone in it is closed with that.

    Raises:
        NotFoundError: There is no such club, or the actor is not in it.
        ConflictError: The actor owns it and others are in it.
    """
    own = _own(actor, slug)
    club = own.club
    if own.role == Role.OWNER:
        if club.memberships.exclude(pk=own.pk).exists():
            raise ConflictError(
                f"You are the owner of {club.name}. Hand it over to somebody first."
            )
        event_write(Verb.CLUB_CLOSE, actor=actor, now=now, club=club, origin=origin)
        club.delete()
        membership_changed.send(Membership, member=actor, now=now)
        return
    own.delete()
    membership_changed.send(Membership, member=actor, now=now)
    event_write(Verb.LEAVE, actor=actor, member=actor, now=now, club=club, origin=origin)


@transaction.atomic
def membership_remove(
    *, actor: User, slug: str, membership_id: int, now: datetime, origin: str = ""
) -> None:
    """Take somebody out of a club; their log stays theirs, and nobody there sees it any more.

    The invitations they made work no more, and none that was made before lets them in again
    (`invitation_accept`).

    Raises:
        NotFoundError: There is no such person in a club that the actor coaches.
        NotAllowedError: They are the owner, or a coach and the actor is not the owner.
        ConflictError: They are the actor, who leaves instead.
    """
    own, other = _person(actor, slug, membership_id)
    if own == other:
        raise ConflictError("To leave the club yourself, use “Leave”.")
    if other.role == Role.OWNER or (other.is_coach and own.role != Role.OWNER):
        raise NotAllowedError("Only the owner takes a coach out of the club.")
    member, club = other.user, other.club
    other.delete()
    _end_doors(member, club, now)
    membership_changed.send(Membership, member=member, now=now)
    event_write(Verb.REMOVE, actor=actor, member=member, now=now, club=club, origin=origin)


@transaction.atomic
def role_change(
    *,
    actor: User,
    slug: str,
    membership_id: int,
    role: str,
    now: datetime,
    origin: str = "",
) -> Membership:
    """Make a member a coach, or a coach a member, whose invitations then work no more.

    Raises:
        NotFoundError: There is no such person in a club that the actor coaches.
        NotAllowedError: The actor is not the owner, or the person is.
        ValidationError: There is no such role to give.
    """
    if role not in {Role.COACH, Role.MEMBER}:
        raise ValidationError({"role": f"{role!r} is none of: coach, member."})
    own, other = _person(actor, slug, membership_id)
    if own.role != Role.OWNER or other.role == Role.OWNER:
        raise NotAllowedError("Only the owner changes roles; to change the owner, hand over.")
    before, other.role = other.role, role
    if before != role:
        other.save(update_fields=["role"])
        if not other.is_coach:
            _end_doors(other.user, other.club, now)
        detail = {"before": before, "after": role}
        event_write(
            Verb.ROLE,
            actor=actor,
            member=other.user,
            now=now,
            club=other.club,
            detail=detail,
            origin=origin,
        )
    return other


@transaction.atomic
def ownership_hand_over(
    *, actor: User, slug: str, membership_id: int, now: datetime, origin: str = ""
) -> Membership:
    """Make another person the owner; the actor stays as a coach.

    Raises:
        NotFoundError: There is no such person in a club that the actor coaches.
        NotAllowedError: The actor is not the owner.
        ConflictError: The person is the owner already, or their account is locked.
    """
    own, other = _person(actor, slug, membership_id)
    if own.role != Role.OWNER:
        raise NotAllowedError("Only the owner hands the club over.")
    if own == other:
        raise ConflictError("You are the owner already.")
    if not other.user.is_active:
        raise ConflictError("Their account is locked, so that nobody could run the club.")
    own.role, other.role = Role.COACH, Role.OWNER
    own.save(update_fields=["role"])
    other.save(update_fields=["role"])
    event_write(
        Verb.HAND_OVER, actor=actor, member=other.user, now=now, club=other.club, origin=origin
    )
    return other


def _end_doors(maker: User, club: Club, now: datetime) -> None:
    """Have what somebody made to let people into a club work no more."""
    made = Invitation.objects.filter(club=club, created_by=maker, withdrawn_at=None)
    made.update(withdrawn_at=now)
    in_club = Membership.objects.filter(club=club).values("user")
    PasswordCode.objects.filter(created_by=maker, user__in=in_club).delete()


def _own(actor: User, slug: str) -> Membership:
    club = club_get(actor=actor, slug=slug)
    lock_people(club.pk)
    return own_membership(actor=actor, club=club)


def _person(actor: User, slug: str, membership_id: int) -> tuple[Membership, Membership]:
    """The actor's membership of a club they coach, and somebody's in the same club."""
    club = coached_club_get(actor=actor, slug=slug)
    lock_people(club.pk)
    # Asked again: the actor may have lost the role while this waited for the lock.
    coached_club_get(actor=actor, slug=slug)
    people = Membership.objects.filter(club=club).select_related("club", "user")
    other = people.filter(pk=membership_id).first()
    if other is None:
        raise NotFoundError("member")
    return own_membership(actor=actor, club=club), other


@transaction.atomic
def club_create(*, name: str, slug: str, time_zone: str = "UTC") -> Club:
    """Found a club.

    Raises:
        ValidationError: The slug is taken, or the zone is no IANA time zone.
    """
    club = Club(name=name, slug=slug, time_zone=time_zone)
    club.full_clean()
    club.save()
    return club


@transaction.atomic
def membership_add(
    *,
    club: Club,
    user: User,
    display_name: str,
    role: Role = Role.MEMBER,
    visibility: Visibility = Visibility.ONLY_ME,
) -> Membership:
    """Add a person to a club; unless said otherwise nobody else sees their log.

    Raises:
        ValidationError: They are in it already, or have no name there.
    """
    membership = Membership(
        club=club, user=user, display_name=display_name, role=role, visibility=visibility
    )
    membership.full_clean()
    membership.save()
    return membership


@transaction.atomic
def contact_change(
    *, actor: User, slug: str, name: str, reach: str, now: datetime, origin: str = ""
) -> Club:
    """Say who answers for the club and how to reach them; two empty texts take it back.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
        NotAllowedError: ``actor`` is not its owner.
        ValidationError: One of the two is missing or too long.
    """
    club = coached_club_get(actor=actor, slug=slug)
    if own_membership(actor=actor, club=club).role != Role.OWNER:
        raise NotAllowedError("Only the owner says who answers for the club.")
    club.contact_name, club.contact_reach = name.strip(), reach.strip()
    club.contact_by = actor if club.contact_name else None
    if bool(club.contact_name) != bool(club.contact_reach):
        empty = "contact_reach" if club.contact_name else "contact_name"
        raise ValidationError({empty: "Write both the name and how to reach them, or neither."})
    club.clean_fields(exclude=["contact_by"])
    club.save(update_fields=["contact_name", "contact_reach", "contact_by"])
    event_write(Verb.CONTACT, actor=actor, now=now, club=club, origin=origin)
    return club


@transaction.atomic
def group_keep(
    *,
    actor: User,
    slug: str,
    name: str,
    membership_ids: Collection[int],
    group_id: int | None = None,
) -> Group:
    """Keep a group of a club's people: a new one, or ``group_id`` under this name with these people.

    Numbers of people who are not in the club are left out.

    Raises:
        NotFoundError: There is no such club or group, or ``actor`` does not coach it.
        ValidationError: The name is missing, too long or taken by another group of the club.
        ConflictError: The club has ``GROUPS`` groups already.
    """
    club = coached_club_get(actor=actor, slug=slug)
    lock_people(club.pk)
    group = Group(club=club) if group_id is None else _group_get(club, group_id)
    if group_id is None and club.groups.count() >= GROUPS:
        raise ConflictError(f"The club has {GROUPS} groups. Delete one that is not in use.")
    group.name = " ".join(name.split())
    if club.groups.filter(name__iexact=group.name).exclude(pk=group.pk).exists():
        raise ValidationError({"name": f"There is a group called “{group.name}” already."})
    group.clean_fields()
    group.save()
    group.members.set(club.memberships.filter(pk__in=membership_ids))
    return group


@transaction.atomic
def group_delete(*, actor: User, slug: str, group_id: int) -> None:
    """Delete a group; its people stay in the club.

    Raises:
        NotFoundError: There is no such club or group, or ``actor`` does not coach it.
    """
    _group_get(coached_club_get(actor=actor, slug=slug), group_id).delete()


def _group_get(club: Club, group_id: int) -> Group:
    group = club.groups.filter(pk=group_id).first()
    if group is None:
        raise NotFoundError("group")
    return group
