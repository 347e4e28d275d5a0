"""Invitations: made, withdrawn, accepted by somebody signed in or by signing up."""

import secrets
from dataclasses import dataclass
from datetime import datetime, timedelta
from smtplib import SMTPException

from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.core.mail import send_mail
from django.db import transaction
from django.db.models import F

from clubsite.accounts.models import User
from clubsite.accounts.throttle import Limit
from logs.errors import ConflictError, NotAllowedError, NotFoundError
from logs.limits import INVITATION_DAYS, INVITATION_USES
from logs.people.models import AuditEvent, Club, Invitation, Membership, Role, Verb, Visibility
from logs.people.selectors import code_of_seed, hash_code, invitation_open
from logs.people.services.memberships import club_create, membership_add, membership_changed
from logs.people.services.passwords import try_count
from logs.people.services.trail import event_write
from logs.people.sight import coached_club_get, own_membership


@transaction.atomic
def invitation_create(
    *,
    actor: User,
    slug: str,
    role: Role,
    max_uses: int,
    days: int,
    now: datetime,
    origin: str = "",
) -> tuple[Invitation, str]:
    """Make an invitation; it and its code.

    Args:
        actor: A coach of the club; its owner, to invite coaches.
        slug: The club's.
        role: What those who use it become.
        max_uses: How many people may use it, within ``INVITATION_USES``.
        days: How long it works, within ``INVITATION_DAYS``.
        now: When.
        origin: The actor's network.

    Raises:
        NotFoundError: There is no such club, or ``actor`` does not coach it.
        NotAllowedError: ``actor`` may not invite to that role.
        ValidationError: Uses or days are out of range.
    """
    club = coached_club_get(actor=actor, slug=slug)
    own = own_membership(actor=actor, club=club)
    if role == Role.OWNER or (role == Role.COACH and own.role != Role.OWNER):  # a form sends text
        raise NotAllowedError("Only the owner of the club invites coaches.")
    return _create(club, actor, role, max_uses, days, now, origin)


@transaction.atomic
def invitation_create_for_owner(*, club: Club, days: int, now: datetime) -> tuple[Invitation, str]:
    """Make the invitation of a new club's owner, for whoever runs the site; it and its code.

    Raises:
        ConflictError: The club has an owner.
    """
    _refuse_second_owner(club)
    return _create(club, None, Role.OWNER, 1, days, now, "")


def _create(
    club: Club,
    actor: User | None,
    role: Role,
    max_uses: int,
    days: int,
    now: datetime,
    origin: str,
) -> tuple[Invitation, str]:
    for name, number, (low, high) in (
        ("max_uses", max_uses, INVITATION_USES),
        ("days", days, INVITATION_DAYS),
    ):
        if not low <= number <= high:
            raise ValidationError({name: f"Write a number from {low} to {high}."})
    seed = secrets.token_hex(16)
    code = code_of_seed(seed)
    invitation = Invitation(
        club=club,
        role=role,
        code_hash=hash_code(code),
        seed=seed,
        created_by=actor,
        created_at=now,
        expires_at=now + timedelta(days=days),
        max_uses=max_uses,
    )
    invitation.full_clean(exclude=["created_by", "withdrawn_at"])
    invitation.save()
    detail = {"role": str(role), "max_uses": max_uses, "days": days}
    event_write(Verb.INVITE, actor=actor, now=now, club=club, detail=detail, origin=origin)
    return invitation, code


@transaction.atomic
def invitation_withdraw(
    *, actor: User, slug: str, invitation_id: int, now: datetime, origin: str = ""
) -> Invitation:
    """Have an invitation work no more; one withdrawn before stays as it is.

    Raises:
        NotFoundError: There is no such invitation in a club that ``actor`` coaches.
    """
    club = coached_club_get(actor=actor, slug=slug)
    invitation = Invitation.objects.select_for_update().filter(club=club, pk=invitation_id).first()
    if invitation is None:
        raise NotFoundError("invitation")
    if invitation.withdrawn_at is None:
        invitation.withdrawn_at = now
        invitation.save(update_fields=["withdrawn_at"])
        event_write(Verb.INVITE_WITHDRAW, actor=actor, now=now, club=club, origin=origin)
    return invitation


@transaction.atomic
def invitation_accept(
    *,
    actor: User,
    code: str,
    display_name: str,
    visibility: str = Visibility.ONLY_ME,
    now: datetime,
    origin: str = "",
) -> Membership:
    """Join the club of an invitation, showing one's log to those chosen.

    Raises:
        NotFoundError: No invitation with this code works now.
        ConflictError: ``actor`` is in the club already, or was taken out of it since the invitation
            was made; the invitation is not used.
        ValidationError: The name is empty or too long, or nobody was chosen.
    """
    if visibility not in Visibility.values:
        known = ", ".join(Visibility.values)
        raise ValidationError({"visibility": f"{visibility!r} is none of: {known}."})
    invitation = _locked(code, now)
    club = invitation.club
    if Membership.objects.filter(club=club, user=actor).exists():
        raise ConflictError(f"You are in {club.name} already.")
    removed = AuditEvent.objects.filter(verb=Verb.REMOVE, member=actor, club=club)
    if removed.filter(at__gte=invitation.created_at).exists():
        raise ConflictError(
            f"You were taken out of {club.name}. Only a code made after that lets you in again."
        )
    if invitation.role == Role.OWNER:
        _refuse_second_owner(club)
    invitation.n_uses = F("n_uses") + 1
    invitation.save(update_fields=["n_uses"])
    membership = membership_add(
        club=club,
        user=actor,
        display_name=display_name,
        role=Role(invitation.role),
        visibility=Visibility(visibility),
    )
    membership_changed.send(Membership, member=actor, now=now)
    detail = {"role": invitation.role, "visibility": visibility}
    event_write(
        Verb.JOIN, actor=actor, member=actor, now=now, club=club, detail=detail, origin=origin
    )
    return membership


@transaction.atomic
def invitation_sign_up(
    *,
    code: str,
    username: str,
    password: str,
    display_name: str,
    visibility: str = Visibility.ONLY_ME,
    now: datetime,
    origin: str = "",
) -> Membership:
    """Make an account and join the club of an invitation with it.

    Raises:
        NotFoundError: No invitation with this code works now.
        ValidationError: The user name is taken or malformed, the password too weak, or the name
            empty or too long; nothing is kept.
    """
    _locked(code, now)
    user = get_user_model()(username=get_user_model().normalize_username(username))
    problems: dict[str, list[str]] = {}
    try:
        user.full_clean(exclude=["password"])
    except ValidationError as error:
        # A name that is taken stands against the field and against the caseless constraint.
        said = [text for texts in error.message_dict.values() for text in texts]
        problems["username"] = list(dict.fromkeys(said))
    try:
        validate_password(password, user)
    except ValidationError as error:
        problems["password"] = list(error.messages)
    if problems:
        raise ValidationError(problems)
    user.set_password(password)
    user.date_joined = now
    user.save()
    return invitation_accept(
        actor=user,
        code=code,
        display_name=display_name,
        visibility=visibility,
        now=now,
        origin=origin,
    )


def _locked(code: str, now: datetime) -> Invitation:
    """The invitation, held until the transaction ends so that no two people use its last place."""
    Invitation.objects.select_for_update().filter(code_hash=hash_code(code)).first()
    return invitation_open(code=code, now=now)


def _refuse_second_owner(club: Club) -> None:
    if Membership.objects.filter(club=club, role=Role.OWNER).exists():
        raise ConflictError(f"{club.name} has an owner already.")


MAIL = Limit(
    scope="mail",
    n_account=60,
    n_address=120,
    window=timedelta(days=1),
    message="Very many invitations were mailed today.",
)


TEXT = """{club} invites you to its notebook.

Open this address to join:
{link}

Or sign in and type this code: {code}

If you do not know the club, leave it be: nothing happens until somebody uses the code.
"""


@dataclass(frozen=True, slots=True)
class Letter:
    """An invitation to be mailed: to whom, to which club, by which link and code."""

    to: str
    club: str
    link: str
    code: str


def invitation_mail(*, actor: User, letter: Letter, now: datetime, address: str) -> None:
    """Mail an invitation.

    Args:
        actor: The coach who made it; counted for the limit.
        letter: What to send.
        now: When.
        address: The actor's network address; counted too.

    Raises:
        TooManyTriesError: Too many were mailed today.
        ConflictError: The mail server did not take it; the code works all the same.
    """
    try_count(MAIL, actor=actor, address=address, now=now)
    text = TEXT.format(club=letter.club, link=letter.link, code=letter.code)
    # A club's name is one line: a break in it would start a header of its own.
    subject = " ".join(f"Join {letter.club}".split())
    try:
        send_mail(subject, text, None, [letter.to])
    except (SMTPException, OSError) as error:
        raise ConflictError(
            "The mail server did not take the invitation. The code works: pass it on yourself."
        ) from error


@transaction.atomic
def club_found(*, name: str, slug: str, time_zone: str, days: int, now: datetime) -> str:
    """Found a club; the code that makes whoever uses it first the owner.

    A club at ``slug`` that has lost its owner is not founded again: it gets the code alone.

    Args:
        name: The club's.
        slug: What its addresses begin with.
        time_zone: IANA name.
        days: How long the code works.
        now: When.

    Raises:
        ConflictError: The club has an owner.
        ValidationError: The name is empty, the slug malformed or the zone no IANA time zone.
    """
    club = Club.objects.filter(slug=slug).first()
    if club is None:
        club = club_create(name=name, slug=slug, time_zone=time_zone)
        event_write(Verb.CLUB_FOUND, actor=None, now=now, club=club)
    _, code = invitation_create_for_owner(club=club, days=days, now=now)
    return code
