"""How often something may be tried: so many times in a window that slides; and guesses of passwords.

A try made while the door is shut is not counted: nobody is held out for longer by somebody who goes
on knocking. What may be wrong is counted *before* it is judged, so that of many guesses at once no
more are judged than of one after another; the count of a right one is taken back.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.contrib.auth import authenticate
from django.core import signing
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.utils.crypto import get_random_string, salted_hmac

from clubsite.accounts.models import Throttle, User
from clubsite.accounts.names import caseless_name


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


PASSWORD = Limit(
    scope="password",
    n_account=10,
    n_address=100,
    window=timedelta(minutes=15),
    message="Too many wrong passwords were tried.",
)

Keys = Mapping[str, int]
"""What tries are counted under, each with how many there may be: ``account 7``, ``address 192.0.2.1``."""


def count_try(limit: Limit, keys: Keys, *, now: datetime) -> int:
    """Count a try; the seconds to wait where it is one too many, which then does not count, else 0."""
    hashed = {_hash(key): most for key, most in keys.items()}
    with transaction.atomic():
        Throttle.objects.filter(scope=limit.scope, last_at__lt=now - limit.window).delete()
        Throttle.objects.bulk_create(
            [Throttle(scope=limit.scope, key=key, last_at=now) for key in sorted(hashed)],
            ignore_conflicts=True,
        )
        counters = _locked(limit, hashed)
        wait_s = _wait_s(limit, counters, hashed, now)
        if not wait_s:
            for counter in counters:
                counter.tries = [*_counting(counter, limit, now), int(now.timestamp())]
                counter.last_at = now
                counter.save(update_fields=["tries", "last_at"])
    return wait_s


def forgive_try(limit: Limit, keys: Keys, *, now: datetime) -> None:
    """Take back a try that `count_try` counted at ``now``: it was no guess."""
    second = int(now.timestamp())
    with transaction.atomic():
        for counter in _locked(limit, {_hash(key) for key in keys}):
            if second in counter.tries:
                counter.tries.remove(second)
            if counter.tries:
                counter.save(update_fields=["tries"])
            else:
                counter.delete()


def forget_tries(*keys: str) -> None:
    """Delete all that was counted under ``keys``."""
    Throttle.objects.filter(key__in=[_hash(key) for key in keys]).delete()


def _locked(limit: Limit, hashes: Iterable[str]) -> list[Throttle]:
    counters = Throttle.objects.select_for_update()
    return list(counters.filter(scope=limit.scope, key__in=list(hashes)).order_by("key"))


def _wait_s(limit: Limit, counters: Iterable[Throttle], keys: Keys, now: datetime) -> int:
    waits = [0]
    for counter in counters:
        tries = _counting(counter, limit, now)
        if len(tries) >= keys[counter.key]:
            # Open again once so many have left the window that one more fits.
            leaves = tries[len(tries) - keys[counter.key]] + limit.window.total_seconds()
            waits.append(int(leaves - now.timestamp()) + 1)
    return max(waits)


def _counting(counter: Throttle, limit: Limit, now: datetime) -> list[int]:
    opens = now.timestamp() - limit.window.total_seconds()
    return [second for second in counter.tries if second > opens]


def _hash(whose: str) -> str:
    return salted_hmac("clubsite.throttle", whose, algorithm="sha256").hexdigest()


# Passwords: one counter for every door that asks for one ------------------------------------------


class DoorShutError(Exception):
    """Too many passwords were guessed lately.

    Attributes:
        wait_s: Seconds until one may be tried again.
    """

    def __init__(self, wait_s: int) -> None:
        super().__init__(PASSWORD.message)
        self.wait_s = wait_s


def account_key(name: str) -> str:
    """What guesses at the account of this name are counted under, whether there is one or not."""
    return f"name {caseless_name(name)}"


def password_owner(request: HttpRequest, *, name: str, password: str) -> User | None:
    """Who signs in with this name and password; None where they do not belong together.

    A guess counts for the account and for the address. One from a device on which the account was
    signed in before counts for that device alone: strangers who guess do not hold its owner out.

    Raises:
        DoorShutError: It was guessed too often lately; nothing was judged.
    """
    now = timezone.now()
    device = _device_of(request)
    if device is not None and _mark(name) in device.marks:
        keys = {f"device {device.number} {_mark(name)}": PASSWORD.n_account}
    else:
        address = request.META.get("REMOTE_ADDR", "")
        keys = {account_key(name): PASSWORD.n_account, f"address {address}": PASSWORD.n_address}
    if wait_s := count_try(PASSWORD, keys, now=now):
        raise DoorShutError(wait_s)
    user = authenticate(request, username=name, password=password)
    if not isinstance(user, User):
        return None
    forgive_try(PASSWORD, keys, now=now)
    return user


# A device on which somebody was signed in before --------------------------------------------------

DEVICE_LIFE = timedelta(days=180)
DEVICE_ACCOUNTS = 20
_SALT = "clubsite.device"


@dataclass(frozen=True, slots=True)
class _Device:
    """A browser: a random number, and marks of the accounts that signed in there, newest last."""

    number: str
    marks: list[str]


def _mark(name: str) -> str:
    return salted_hmac(_SALT, caseless_name(name), algorithm="sha256").hexdigest()[:32]


def _device_of(request: HttpRequest) -> _Device | None:
    """The browser that asks, if its cookie is one of ours and not too old."""
    text = request.COOKIES.get(_cookie_name(), "")
    try:
        return _Device(*signing.loads(text, salt=_SALT, max_age=DEVICE_LIFE))
    except signing.BadSignature:
        return None


def _cookie_name() -> str:
    return "__Host-device" if settings.SESSION_COOKIE_SECURE else "device"


def device_know(request: HttpRequest, user: User) -> None:
    """Have the answer to ``request`` make its browser one on which ``user`` was signed in before."""
    request.device_owner = user  # type: ignore[attr-defined]  # the middleware below reads it off the request


class DoorMiddleware:
    """Answers 429 while a door is shut, and gives a browser the cookie that it is known by."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, with the cookie where somebody has just signed in."""
        response = self.get_response(request)
        user: User | None = getattr(request, "device_owner", None)
        if user is not None:
            device = _device_of(request) or _Device(get_random_string(22), [])
            mark = _mark(user.get_username())
            marks = [*(other for other in device.marks if other != mark), mark][-DEVICE_ACCOUNTS:]
            response.set_cookie(
                _cookie_name(),
                signing.dumps([device.number, marks], salt=_SALT),
                max_age=DEVICE_LIFE,
                secure=settings.SESSION_COOKIE_SECURE,
                httponly=True,
                samesite="Lax",
            )
        return response

    def process_exception(self, request: HttpRequest, exception: Exception) -> HttpResponse | None:
        """The page shown while the door is shut: 429, with the seconds to wait."""
        if not isinstance(exception, DoorShutError):
            return None
        minutes = -(-exception.wait_s // 60)
        page = render(request, "429.html", {"wait_minutes": minutes}, status=429)
        page["Retry-After"] = str(exception.wait_s)
        return page
