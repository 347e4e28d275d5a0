"""What every request shares: who asks and from where, and how refusals are answered.

What addresses may ask for; what they ask wrongly is refused, with the name of the field.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from functools import wraps
from ipaddress import IPv6Address, ip_address, ip_network
from typing import Any, Concatenate, ParamSpec, cast

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from rest_framework import serializers

from clubsite.accounts.models import User
from cubecore.cases import Stage
from logs import limits
from logs.errors import NotAllowedError, NotFoundError, TooManyTriesError


def actor_of(request: HttpRequest) -> User:
    """Who asks; every page of the app has a signed-in user (`LoginRequiredMiddleware`)."""
    return cast(User, request.user)


def whole_number(text: str | None, default: int) -> int:
    """The number in an address, or ``default`` for what is none."""
    if text and text.isascii() and text.isdecimal() and len(text) < 10:
        return int(text)
    return default


def group_of(query: QueryDict) -> int | None:
    """The group of a club that an address asks for; None for everybody."""
    return whole_number(query.get("group"), 0) or None


def several(sent: QueryDict, name: str) -> list[str]:
    """What was sent under a name, each value once and no more of them than a form can send."""
    return list(dict.fromkeys(sent.getlist(name)))[: limits.MEMBERS_CHOSEN]


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


Query = serializers.Serializer[Any]


class Items(serializers.ListField):
    """Several of one kind. Too many are refused before one is looked at; each has the same name."""

    def get_value(self, dictionary: Mapping[str, Any]) -> Any:  # noqa: ANN401 - as the framework's
        """What was sent under the field's name, in an address every one of them."""
        name = self.field_name or ""
        if isinstance(dictionary, QueryDict) and name in dictionary:
            return dictionary.getlist(name)
        return dictionary.get(name, serializers.empty)

    def to_internal_value(self, data: Any) -> list[Any]:  # noqa: ANN401 - as the framework's
        """The items as read.

        Raises:
            ValidationError: It is no list, there are too many, or one cannot be read.
        """
        if self.max_length is not None and isinstance(data, list) and len(data) > self.max_length:
            self.fail("max_length", max_length=self.max_length)
        items: list[Any] = super().to_internal_value(data)
        return items


def choice(values: Iterable[str], default: str, words: str) -> serializers.ChoiceField:
    """One of ``values``, ``default`` when not asked for."""
    return serializers.ChoiceField(
        [str(value) for value in values], default=default, help_text=words
    )


class PageQuery(Query):
    """A page of a list."""

    page = serializers.IntegerField(
        min_value=1, max_value=limits.PAGE, default=1, help_text="Which page, the first being 1."
    )


class StageQuery(Query):
    """One set of cases."""

    stage = choice(Stage, Stage.OLL, "The set of cases.")


class NamesQuery(Query):
    """Whether names are hidden."""

    names = choice(["shown", "hidden"], "shown", "Letters in the place of names.")


class TriedQuery(Query):
    """An algorithm to try out against the book."""

    tried = serializers.CharField(
        default="",
        allow_blank=True,
        max_length=limits.TRIED_ALGORITHM,
        help_text="An algorithm to try out.",
    )


Sent = serializers.Serializer[Any]


@dataclass(frozen=True, slots=True)
class Made:
    """Something that was made.

    Attributes:
        id: Its number.
    """

    id: int


def _members() -> Items:
    number = serializers.IntegerField(min_value=0, max_value=10**9)
    return Items(child=number, max_length=limits.MEMBERS_CHOSEN, help_text="Membership ids.")


def _reason() -> serializers.CharField:
    return serializers.CharField(max_length=limits.REASON, help_text="Why; the member reads it.")


class SentReason(Sent):
    """Why a coach does something."""

    reason = _reason()


MAX_NUMBER = limits.NUMBER
