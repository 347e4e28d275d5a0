"""How many wrong passwords are borne, from one address and for one account.

A wrong try counts for fifteen minutes (``AXES_COOLOFF_TIME``) towards two limits: ten for the
account, whatever addresses the tries come from, and a hundred for the address, whatever accounts
they name. A club's room shares one address, so that limit is the wider one. Tries made while the
door is shut are not counted: a stranger cannot hold a member out for longer.
"""

import unicodedata

from axes.handlers.database import AxesDatabaseHandler
from django.conf import settings
from django.db.models import Sum
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

ADDRESS_LIMIT = 100


class SignInHandler(AxesDatabaseHandler):  # type: ignore[misc]  # axes is untyped
    """Counts wrong passwords, with a wider limit for an address than for an account."""

    def get_failures(self, request: HttpRequest, credentials: dict[str, str] | None = None) -> int:
        """The wrong tries that count, on the scale of ``AXES_FAILURE_LIMIT``."""
        by_account, by_address = (
            attempts.aggregate(total=Sum("failures_since_start"))["total"] or 0
            for attempts in self.get_user_attempts(request, credentials)
        )
        return max(by_account, by_address * settings.AXES_FAILURE_LIMIT // ADDRESS_LIMIT)


def counted_username(request: HttpRequest, credentials: dict[str, str] | None) -> str:
    """The name that tries are counted under: as accounts are found, without regard to capitals."""
    return counted_form((credentials or {}).get("username") or request.POST.get("username", ""))


def counted_form(username: str) -> str:
    """A user name as its tries are stored."""
    return unicodedata.normalize("NFKC", username).lower()[:255]


def too_many_tries(
    request: HttpRequest, response: HttpResponse, credentials: dict[str, str] | None
) -> HttpResponse:
    """The page shown while the door is shut: 429, with the seconds to wait."""
    wait_s = int(settings.AXES_COOLOFF_TIME.total_seconds())
    page = render(request, "429.html", {"wait_minutes": wait_s // 60}, status=429)
    page["Retry-After"] = str(wait_s)
    return page
