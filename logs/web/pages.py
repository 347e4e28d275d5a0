"""What every page of the app shares: who asks, and the numbers in its address."""

from typing import TYPE_CHECKING, cast

from django.http import HttpRequest

if TYPE_CHECKING:
    from clubsite.accounts.models import User


def actor_of(request: HttpRequest) -> "User":
    """Who asks; every page of the app has a signed-in user (`LoginRequiredMiddleware`)."""
    return cast("User", request.user)


def whole_number(text: str | None, default: int) -> int:
    """The number in an address, or ``default`` for what is none."""
    if text and text.isascii() and text.isdecimal() and len(text) < 10:
        return int(text)
    return default
