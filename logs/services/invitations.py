"""Invitations: made, withdrawn, accepted by somebody signed in or by signing up."""

import secrets
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F

from logs.errors import ConflictError, NotAllowedError, NotFoundError
from logs.models import Club, Invitation, Membership, Role, Verb
from logs.selectors.clubs import own_membership
from logs.selectors.coaching import coached_club_get
from logs.selectors.invitations import hash_code, invitation_open
from logs.services.audit import event_write
from logs.services.clubs import membership_add
from logs.services.relabel_jobs import relabel_start_if_behind

if TYPE_CHECKING:
    from clubsite.accounts.models import User

LETTERS = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
"""No 0 O, 1 I L, U V pairs: a code is read off a board and typed."""
N_LETTERS = 12
MAX_USES = 60
MAX_DAYS = 60


def code_make() -> str:
    """A fresh code, in groups of four: 30 letters to the 12th, 58 bits."""
    letters = "".join(secrets.choice(LETTERS) for _ in range(N_LETTERS))
    return "-".join(letters[i : i + 4] for i in range(0, N_LETTERS, 4))


@transaction.atomic
def invitation_create(
    *,
    actor: "User",
    slug: str,
    role: Role,
    max_uses: int,
    days: int,
    now: datetime,
    origin: str = "",
) -> tuple[Invitation, str]:
    """Make an invitation; it and its code, which is kept nowhere.

    Args:
        actor: A coach of the club; its owner, to invite coaches.
        slug: The club's.
        role: What those who use it become.
        max_uses: How many people may use it, at most ``MAX_USES``.
        days: How long it works, at most ``MAX_DAYS``.
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
    actor: "User | None",
    role: Role,
    max_uses: int,
    days: int,
    now: datetime,
    origin: str,
) -> tuple[Invitation, str]:
    if not 1 <= max_uses <= MAX_USES:
        raise ValidationError({"max_uses": f"Write a number from 1 to {MAX_USES}."})
    if not 1 <= days <= MAX_DAYS:
        raise ValidationError({"days": f"Write a number from 1 to {MAX_DAYS}."})
    code = code_make()
    invitation = Invitation(
        club=club,
        role=role,
        code_hash=hash_code(code),
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
    *, actor: "User", slug: str, invitation_id: int, now: datetime, origin: str = ""
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
    *, actor: "User", code: str, display_name: str, now: datetime, origin: str = ""
) -> Membership:
    """Join the club of an invitation, showing one's log to nobody.

    Raises:
        NotFoundError: No invitation with this code works now.
        ConflictError: ``actor`` is in the club already; the invitation is not used.
        ValidationError: The name is empty or too long.
    """
    invitation = _locked(code, now)
    club = invitation.club
    if Membership.objects.filter(club=club, user=actor).exists():
        raise ConflictError(f"You are in {club.name} already.")
    if invitation.role == Role.OWNER:
        _refuse_second_owner(club)
    invitation.n_uses = F("n_uses") + 1
    invitation.save(update_fields=["n_uses"])
    membership = membership_add(
        club=club, user=actor, display_name=display_name, role=Role(invitation.role)
    )
    relabel_start_if_behind(member=actor, now=now)
    detail = {"role": invitation.role}
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
        actor=user, code=code, display_name=display_name, now=now, origin=origin
    )


def _locked(code: str, now: datetime) -> Invitation:
    """The invitation, held until the transaction ends so that no two people use its last place."""
    Invitation.objects.select_for_update().filter(code_hash=hash_code(code)).first()
    return invitation_open(code=code, now=now)


def _refuse_second_owner(club: Club) -> None:
    if Membership.objects.filter(club=club, role=Role.OWNER).exists():
        raise ConflictError(f"{club.name} has an owner already.")
