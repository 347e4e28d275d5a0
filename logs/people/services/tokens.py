"""Tokens for members' own programs: made, used, withdrawn."""

import secrets
from collections.abc import Collection
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction

from clubsite.accounts.models import User
from clubsite.accounts.passwords import password_changed
from logs.errors import ConflictError, NotFoundError
from logs.http.pages import truncate_origin
from logs.limits import LABEL, TOKEN_DAYS, TOKENS
from logs.people.locks import lock_log
from logs.people.models import ApiToken, Scope, Verb
from logs.people.selectors import hash_token, token_get
from logs.people.services.trail import event_write

N_BYTES = 32


USE_IS_NOTED_EVERY = timedelta(hours=1)


@transaction.atomic
def token_make(
    *,
    actor: User,
    name: str,
    scopes: Collection[str],
    days: int,
    now: datetime,
    origin: str = "",
) -> tuple[ApiToken, str]:
    """Make a token; it and its text, which is kept nowhere.

    Args:
        actor: In whose name programs act with it.
        name: The member's word for the program; each of their tokens has another.
        scopes: What it is good for: values of `logs.models.Scope`, at least one.
        days: How long it works, within ``TOKEN_DAYS``.
        now: When.
        origin: The actor's network.

    Raises:
        ValidationError: The name, the scopes or the days cannot be taken.
        ConflictError: The actor has ``TOKENS`` tokens already.
    """
    lock_log(actor.pk)
    name = name.strip()
    _check(name, scopes, days)
    own = ApiToken.objects.filter(member=actor)
    if own.filter(name=name).exists():
        raise ValidationError({"name": f"You have a token called “{name}”. Choose another name."})
    if own.count() >= TOKENS:
        raise ConflictError(f"You have {TOKENS} tokens. Withdraw one that is not in use.")
    text = secrets.token_urlsafe(N_BYTES)
    token = ApiToken.objects.create(
        member=actor,
        name=name,
        token_hash=hash_token(text),
        scopes=[scope.value for scope in Scope if scope in scopes],
        made_at=now,
        expires_at=now + timedelta(days=days),
    )
    detail = {"token": token.pk, "scopes": token.scopes, "days": days}
    event_write(Verb.TOKEN_MAKE, actor=actor, member=actor, now=now, detail=detail, origin=origin)
    return token, text


def _check(name: str, scopes: Collection[str], days: int) -> None:
    faults = {}
    if not name or len(name) > LABEL or not name.isprintable():
        faults["name"] = f"Give the token a name of 1 to {LABEL} letters."
    if not scopes or not set(scopes) <= set(Scope.values):
        faults["scopes"] = "Choose at least one thing that the token is good for."
    least, most = TOKEN_DAYS
    if not least <= days <= most:
        faults["days"] = f"Write a number of days from {least} to {most}."
    if faults:
        raise ValidationError(faults)


@transaction.atomic
def token_withdraw(*, actor: User, token_id: int, now: datetime, origin: str = "") -> None:
    """Have a token work no more, from the next request on.

    Raises:
        NotFoundError: There is no such token, or it is somebody else's.
    """
    token = token_get(actor=actor, token_id=token_id)
    n_deleted, _ = ApiToken.objects.filter(pk=token.pk).delete()
    if not n_deleted:  # withdrawn twice at once
        raise NotFoundError("token")
    detail = {"token": token.pk}
    event_write(
        Verb.TOKEN_WITHDRAW, actor=actor, member=actor, now=now, detail=detail, origin=origin
    )


def tokens_end(*, actor: User, now: datetime, origin: str = "") -> None:
    """Withdraw all the actor's tokens: their password is another, or was forgotten."""
    for token in ApiToken.objects.filter(member=actor).order_by("pk"):
        token_withdraw(actor=actor, token_id=token.pk, now=now, origin=origin)


def _note_password(
    user: User, now: datetime, address: str, keeps_programs: bool, **kwargs: object
) -> None:
    """Write a new password into the trail, and end the tokens that were made under the old one."""
    origin = truncate_origin(address)
    detail = {"keeps_programs": keeps_programs}
    event_write(
        Verb.PASSWORD_CHANGE, actor=user, member=user, now=now, detail=detail, origin=origin
    )
    if not keeps_programs:
        tokens_end(actor=user, now=now, origin=origin)


def listen() -> None:
    """Hear of every new password."""
    password_changed.connect(_note_password, dispatch_uid="note_password")


def token_use(token: ApiToken, *, now: datetime) -> None:
    """Note that a token was used, once in an hour: reading should not write each time."""
    last = token.last_used_at
    if last is None or now - last >= USE_IS_NOTED_EVERY:
        ApiToken.objects.filter(pk=token.pk).update(last_used_at=now)
