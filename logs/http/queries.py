"""What addresses may ask for; what they ask wrongly is refused, with the name of the field."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from django.http import QueryDict
from rest_framework import serializers

from cubecore.cases import Stage
from logs import limits

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
    return serializers.ChoiceField([str(one) for one in values], default=default, help_text=words)


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
