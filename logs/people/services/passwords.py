"""A forgotten password: a code that a club's owner makes, and the new password chosen with it.

How often each thing may be tried; how tries are counted stands in `clubsite.accounts.throttle`.
"""

import secrets
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from clubsite.accounts.models import User
from clubsite.accounts.names import caseless_name
from clubsite.accounts.throttle import Limit, count_try, forgive_try
from logs.errors import ConflictError, NotAllowedError, NotFoundError, TooManyTriesError
from logs.people.models import COACHING_ROLES, Membership, PasswordCode, Role, Verb
from logs.people.selectors import code_of_seed, hash_code
from logs.people.services.tokens import tokens_end
from logs.people.services.trail import event_write
from logs.people.sight import coached_club_get, own_membership

INVITATION = Limit(
    scope="invitation",
    n_account=10,
    n_address=30,
    window=timedelta(minutes=15),
    message="Too many codes were tried that do not work.",
)


EXPORT = Limit(
    scope="export",
    n_account=10,
    n_address=100,
    window=timedelta(hours=1),
    message="Copies were taken very often just now.",
)


API_WRONG_TOKEN = Limit(
    scope="api_wrong_token",
    n_account=30,
    n_address=30,
    window=timedelta(minutes=15),
    message="Too many tokens were shown that do not work.",
)


API = Limit(
    scope="api",
    n_account=600,
    n_address=3_000,
    window=timedelta(minutes=10),
    message="Your programs asked very often just now.",
)


API_CHANGE = Limit(
    scope="api_change",
    n_account=120,
    n_address=1_200,
    window=timedelta(minutes=10),
    message="Your programs sent or changed very much just now.",
)


def try_count(limit: Limit, *, actor: User | None, address: str, now: datetime) -> None:
    """Count a try; one that may be wrong is counted before it is judged.

    Raises:
        TooManyTriesError: It is one too many; then it does not count.
    """
    if wait_s := count_try(limit, _keys(limit, actor, address), now=now):
        raise TooManyTriesError(limit.message, wait_s=wait_s)


def try_forgive(limit: Limit, *, actor: User | None, address: str, now: datetime) -> None:
    """Take back a try counted at ``now``: it was no guess."""
    forgive_try(limit, _keys(limit, actor, address), now=now)


def _keys(limit: Limit, actor: User | None, address: str) -> dict[str, int]:
    keys = {f"address {address}": limit.n_address}
    if actor is not None:
        keys[f"account {actor.pk}"] = limit.n_account
    return keys


CODE_LIFE = timedelta(hours=1)

PASSWORD_CODE = Limit(
    scope="password_code",
    n_account=10,
    n_address=30,
    window=timedelta(minutes=15),
    message="Too many codes were tried that do not work.",
)

WRONG = "This user name and code do not belong together, or the code is used up or an hour old."


@transaction.atomic
def password_code_create(
    *, actor: User, slug: str, membership_id: int, now: datetime, origin: str = ""
) -> str:
    """Make the code with which a person of the actor's club chooses a new password; it ends others.

    Raises:
        NotFoundError: There is no such person in a club that the actor coaches.
        NotAllowedError: The actor is not the owner, or the person coaches another club, which a
            new password would open.
        ConflictError: It is the actor, or their account is locked.
    """
    club = coached_club_get(actor=actor, slug=slug)
    own = own_membership(actor=actor, club=club)
    person = Membership.objects.filter(club=club, pk=membership_id).select_related("user").first()
    if person is None:
        raise NotFoundError("member")
    if own.role != Role.OWNER:
        raise NotAllowedError("Only the owner helps with a forgotten password.")
    if person == own or not person.user.is_active:
        raise ConflictError("A code helps somebody else in the club whose account is not locked.")
    elsewhere = Membership.objects.filter(user=person.user, role__in=COACHING_ROLES)
    if person.user.is_staff or elsewhere.exclude(club=club).exists():
        raise NotAllowedError("They coach elsewhere: whoever runs the site helps them.")
    code = code_of_seed(secrets.token_hex(16))
    PasswordCode.objects.update_or_create(
        user=person.user,
        defaults={
            "code_hash": hash_code(code),
            "created_by": actor,
            "created_at": now,
            "expires_at": now + CODE_LIFE,
        },
    )
    event_write(
        Verb.PASSWORD_CODE, actor=actor, member=person.user, now=now, club=club, origin=origin
    )
    return code


def password_reset(
    *, username: str, code: str, password: str, address: str, now: datetime, origin: str = ""
) -> User:
    """Choose a new password with a code, which is used up; every device is signed out by it; whose.

    Raises:
        TooManyTriesError: Too many wrong codes were tried lately.
        ValidationError: Name and code do not fit, or the password is too weak.
    """
    try_count(PASSWORD_CODE, actor=None, address=address, now=now)
    try:
        user = _reset(username, code, password, now, origin)
    except NotFoundError as error:
        raise ValidationError({"code": WRONG}) from error
    except ValidationError:  # the code is right, the password too weak
        try_forgive(PASSWORD_CODE, actor=None, address=address, now=now)
        raise
    try_forgive(PASSWORD_CODE, actor=None, address=address, now=now)
    return user


@transaction.atomic
def _reset(username: str, code: str, password: str, now: datetime, origin: str) -> User:
    row = (
        PasswordCode.objects.select_for_update(of=("self",))
        .select_related("user")
        .filter(user__name_key=caseless_name(username), user__is_active=True, expires_at__gt=now)
        .first()
    )
    if row is None or not secrets.compare_digest(row.code_hash, hash_code(code)):
        raise NotFoundError("code")
    user = row.user
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise ValidationError({"password": error.messages}) from error
    user.set_password(password)
    user.save(update_fields=["password"])
    row.delete()
    password_note(user=user, now=now, origin=origin)
    return user


def password_note(*, user: User, now: datetime, origin: str = "") -> None:
    """Write into the trail that somebody chose a new password without the old one; tokens end."""
    event_write(Verb.PASSWORD_RESET, actor=user, member=user, now=now, origin=origin)
    tokens_end(actor=user, now=now, origin=origin)
