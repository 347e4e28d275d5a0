"""Reports as the API answers them: their dataclasses as serializers, made once, by type.

A report's fields keep their names. Left out is what only a page can use: drawn pictures, chart
figures, widths of bars, and accounts, whom nothing outside names.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date, datetime
from enum import StrEnum
from functools import cache
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin
from zoneinfo import ZoneInfo

from rest_framework import serializers

LEFT_OUT = re.compile(r"(.*_)?(picture|figure|width|strip|user|user_id)")


PAIRS = {
    "ClubReport.standings": ("standing", "meaning"),
    "ColumnMapping.penalties": ("word", "means"),
    "Lesson.families": ("family", "cases"),
    "Lesson.families.cases": ("case", "title"),
    "MappingReport.clubs": ("slug", "club"),
    "MembersReport.clubs": ("club", "members"),
    "MistakenLine.solves": ("solve_id", "done"),
    "MoveGroup.tokens": ("step", "token"),
    "OwnHomework.coached": ("club", "slug"),
    "PrivacyReport.uploads": ("id", "file_name", "received"),
    "StandingGrid.heads": ("family", "n_columns"),
}
"""What stands in each place of the tuples that reports hold; ``families.cases``: in another one."""


Made = serializers.Serializer[Any]


PLAIN: dict[type, type[serializers.Field[Any, Any, Any, Any]]] = {
    bool: serializers.BooleanField,
    int: serializers.IntegerField,
    float: serializers.FloatField,
    str: serializers.CharField,
    datetime: serializers.DateTimeField,
    date: serializers.DateField,
    ZoneInfo: serializers.CharField,
}


class Pair(Made):
    """A tuple as an object: each place has a name."""

    def to_representation(self, instance: Sequence[Any]) -> dict[str, Any]:
        """The names with what stands in their places."""
        return super().to_representation(dict(zip(self.fields, instance, strict=True)))


class ClubInView(serializers.Serializer[Any]):
    """A club by its name and its place in addresses."""

    name = serializers.CharField(read_only=True)
    slug = serializers.CharField(read_only=True)


@cache
def serializer_of(report: type) -> type[Made]:
    """The serializer of a dataclass.

    Raises:
        TypeError: One of its fields has a type that has no place in an answer.
    """
    made = {
        field.name: _field(report, field.name, field.type)
        for field in fields(report)
        if not LEFT_OUT.fullmatch(field.name)
    }
    words = " ".join((report.__doc__ or "").split("\n\n")[0].split())
    return type(report.__name__, (serializers.Serializer,), made | {"__doc__": words})


def _field(
    report: type, name: str, kind: object, *, can_be_null: bool = False
) -> serializers.Field[Any, Any, Any, Any]:
    """The field of a value of ``kind``; ``name`` is its place in ``report``."""
    said: dict[str, Any] = {"read_only": True, "allow_null": can_be_null}
    if getattr(kind, "__name__", "") == "Club":
        return ClubInView(**said)
    if isinstance(kind, type) and is_dataclass(kind):
        from logs.http import schema as new  # noqa: PLC0415 - each names the other

        return new.serializer_of(kind)(**said)
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return serializers.CharField(**said)
    if isinstance(kind, type) and kind in PLAIN:
        return PLAIN[kind](**said)
    origin, inner = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType) and NoneType in inner and len(inner) == 2:
        (known,) = (one for one in inner if one is not NoneType)
        return _field(report, name, known, can_be_null=True)
    if origin is tuple and inner[-1] is not Ellipsis:
        return _pair(report, name, inner)(**said)
    if origin in (tuple, list, Sequence):
        return serializers.ListField(child=_field(report, name, inner[0]), **said)
    if origin in (dict, Mapping):
        return serializers.DictField(child=_field(report, name, inner[1]), **said)
    raise TypeError(f"{report.__name__}.{name} is a {kind}, which no answer holds.")


def _pair(report: type, name: str, kinds: Sequence[Any]) -> type[Pair]:
    place = f"{report.__name__}.{name}"
    names = PAIRS.get(place, tuple(f"unnamed_{i}" for i in range(len(kinds))))  # refused by a test
    made: dict[str, Any] = {
        one: _field(report, f"{name}.{one}", kind) for one, kind in zip(names, kinds, strict=True)
    }
    title = "".join(word.title() for word in re.split(r"[._]", name))
    return type(f"{report.__name__}{title}", (Pair,), made | {"__doc__": f"One of {name}."})
