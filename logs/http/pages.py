"""What every request shares: who asks and from where, and how refusals are answered."""

from collections.abc import Callable
from functools import wraps
from ipaddress import IPv6Address, ip_address, ip_network
from typing import Concatenate, ParamSpec, cast

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from clubsite.accounts.models import User
from logs.errors import NotAllowedError, NotFoundError, TooManyTriesError


def actor_of(request: HttpRequest) -> User:
    """Who asks; every page of the app has a signed-in user (`LoginRequiredMiddleware`)."""
    return cast(User, request.user)


def whole_number(text: str | None, default: int) -> int:
    """The number in an address, or ``default`` for what is none."""
    if text and text.isascii() and text.isdecimal() and len(text) < 10:
        return int(text)
    return default


P = ParamSpec("P")


View = Callable[Concatenate[HttpRequest, P], HttpResponse]


def answers_refusals(view: View[P]) -> View[P]:
    """Have ``view`` answer the site's page for each refusal."""

    @wraps(view)
    def answer(request: HttpRequest, /, *args: P.args, **kwargs: P.kwargs) -> HttpResponse:
        try:
            return view(request, *args, **kwargs)
        except NotFoundError as error:
            raise Http404(error.message) from error
        except NotAllowedError as error:
            raise PermissionDenied(error.message) from error
        except TooManyTriesError as error:
            return _too_many(request, error)

    return answer


def address_of(request: HttpRequest) -> str:
    """The address a request comes from: the peer's, or what the configured proxy says of it.

    waitress has put it there and believes nobody else (`clubsite.management.commands.serve`).
    """
    return str(request.META.get("REMOTE_ADDR", ""))


def origin_of(request: HttpRequest) -> str:
    """The network a request comes from, as the audit trail keeps it."""
    return truncate_origin(address_of(request))


def truncate_origin(address: str) -> str:
    """The network of ``address``, enough to tell home from elsewhere; empty for no address.

    IPv4 keeps 24 bits and IPv6 48: what a provider gives to many customers, or to one site
    (RFC 6177, section 2, names 48 as the longest-standing size for a site).
    """
    try:
        parsed = ip_address(address)
    except ValueError:
        return ""
    if isinstance(parsed, IPv6Address) and parsed.ipv4_mapped is not None:
        parsed = parsed.ipv4_mapped
    bits = 24 if parsed.version == 4 else 48
    return str(ip_network((parsed, bits), strict=False))


def _too_many(request: HttpRequest, error: TooManyTriesError) -> HttpResponse:
    minutes = -(-error.wait_s // 60)
    context = {"message": error.message, "wait_minutes": minutes}
    page = render(request, "http/too_many.html", context, status=429)
    page["Retry-After"] = str(error.wait_s)
    return page
