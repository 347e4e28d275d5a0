"""A forgotten password: a code that a club's owner makes, and the new password chosen with it.

How often something may be tried: so many times in a window that slides.

A try made while the door is shut is not counted: nobody is held out for longer by somebody who
goes on knocking.
"""

import secrets
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.crypto import salted_hmac

from clubsite.accounts.models import User
from logs.errors import ConflictError, NotAllowedError, NotFoundError, TooManyTriesError
from logs.people.models import COACHING_ROLES, Membership, PasswordCode, Role, Throttle, Verb
from logs.people.selectors import code_of_seed, hash_code
from logs.people.services.trail import event_write
from logs.people.sight import coached_club_get, own_membership


@dataclass(frozen=True, slots=True)
class Limit:
    """How often one thing may be tried.

    Attributes:
        scope: Its name in the table.
        n_account: Tries from one account in the window.
        n_address: Tries from one address; a club's room shares one.
        window: How long a try counts.
        message: What is said when it was too often.
    """

    scope: str
    n_account: int
    n_address: int
    window: timedelta
    message: str


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


def try_check(limit: Limit, *, actor: User | None, address: str, now: datetime) -> None:
    """Make sure that it may be tried now.

    Raises:
        TooManyTriesError: It was tried too often, from the account or from the address.
    """
    keys = _keys(limit, actor, address)
    counters = Throttle.objects.filter(scope=limit.scope, key__in=keys)
    _check(limit, counters, keys, now)


def try_count(limit: Limit, *, actor: User | None, address: str, now: datetime) -> None:
    """Count a try.

    Raises:
        TooManyTriesError: It is one too many; then it does not count.
    """
    keys = _keys(limit, actor, address)
    with transaction.atomic():
        Throttle.objects.filter(scope=limit.scope, last_at__lt=now - limit.window).delete()
        Throttle.objects.bulk_create(
            [Throttle(scope=limit.scope, key=key, last_at=now) for key in sorted(keys)],
            ignore_conflicts=True,
        )
        counters = list(
            Throttle.objects.select_for_update()
            .filter(scope=limit.scope, key__in=keys)
            .order_by("key")
        )
        _check(limit, counters, keys, now)
        for counter in counters:
            counter.tries = [*_counting(counter, limit, now), int(now.timestamp())]
            counter.last_at = now
            counter.save(update_fields=["tries", "last_at"])


def throttle_forget(*, actor: User) -> None:
    """Delete the counters of an account."""
    Throttle.objects.filter(key=_hash(f"account {actor.pk}")).delete()


def _keys(limit: Limit, actor: User | None, address: str) -> dict[str, int]:
    keys = {_hash(f"address {address}"): limit.n_address}
    if actor is not None:
        keys[_hash(f"account {actor.pk}")] = limit.n_account
    return keys


def _check(limit: Limit, counters: Iterable[Throttle], keys: dict[str, int], now: datetime) -> None:
    waits = []
    for counter in counters:
        tries = _counting(counter, limit, now)
        if len(tries) >= keys[counter.key]:
            # Open again once so many have left the window that one more fits.
            leaves = tries[len(tries) - keys[counter.key]] + limit.window.total_seconds()
            waits.append(int(leaves - now.timestamp()) + 1)
    if waits:
        raise TooManyTriesError(limit.message, wait_s=max(waits))


def _counting(counter: Throttle, limit: Limit, now: datetime) -> list[int]:
    opens = now.timestamp() - limit.window.total_seconds()
    return [second for second in counter.tries if second > opens]


def _hash(whose: str) -> str:
    return salted_hmac("logs.throttle", whose, algorithm="sha256").hexdigest()


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
) -> None:
    """Choose a new password with a code, which is used up; every device is signed out by it.

    Raises:
        TooManyTriesError: Too many wrong codes were tried lately.
        ValidationError: Name and code do not fit, or the password is too weak.
    """
    try_check(PASSWORD_CODE, actor=None, address=address, now=now)
    try:
        _reset(username, code, password, now, origin)
    except NotFoundError as error:
        try_count(PASSWORD_CODE, actor=None, address=address, now=now)
        raise ValidationError({"code": WRONG}) from error


@transaction.atomic
def _reset(username: str, code: str, password: str, now: datetime, origin: str) -> None:
    row = (
        PasswordCode.objects.select_for_update(of=("self",))
        .select_related("user")
        .filter(user__username__iexact=username, user__is_active=True, expires_at__gt=now)
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


def password_note(*, user: User, now: datetime, origin: str = "") -> None:
    """Write into the trail that somebody chose a new password without the old one."""
    event_write(Verb.PASSWORD_RESET, actor=user, member=user, now=now, origin=origin)
