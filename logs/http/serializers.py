"""Reports as the API answers them: a kept library makes the fields, docstrings describe them.

A report is a dataclass of data whose docstring describes each field under ``Attributes:``, with
its unit; that text stands in the schema. Names, types and nesting come from the annotations
(djangorestframework-dataclasses).
"""

import inspect
import re
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, get_args
from zoneinfo import ZoneInfo

from django.db.models import Choices
from rest_framework import serializers
from rest_framework_dataclasses.field_utils import TypeInfo
from rest_framework_dataclasses.serializers import DataclassSerializer

from logs.http import old_serializers

ENTRY = re.compile(r"^ {4}(\w[\w, ]*): (.*)$")
SECTION = re.compile(r"^[A-Z]\w+:$")


@cache
def described_fields(report: type) -> dict[str, str]:
    """What the docstring of a dataclass says of each of its fields, by name.

    Several names before one colon share what follows it.
    """
    described: dict[str, str] = {}
    names: list[str] = []
    is_inside = False
    for line in (inspect.getdoc(report) or "").splitlines():
        if SECTION.match(line):
            is_inside = line == "Attributes:"
        elif is_inside and (entry := ENTRY.match(line)):
            names = [name.strip() for name in entry[1].split(",")]
            described |= dict.fromkeys(names, entry[2])
        elif is_inside and line.strip():
            described |= {name: f"{described[name]} {line.strip()}" for name in names}
    return described


def is_described(report: type) -> bool:
    """Whether every field of a report, and of those within it, is described."""
    own = described_fields(report)
    return all(
        field.name in own and not old_serializers.LEFT_OUT.fullmatch(field.name)
        for field in fields(report)
    ) and all(is_described(kind) for field in fields(report) for kind in _reports_in(field.type))


def _reports_in(kind: object) -> set[type]:
    if isinstance(kind, type) and is_dataclass(kind):
        return {kind}
    return {found for part in get_args(kind) for found in _reports_in(part)}


class ReportSerializer(DataclassSerializer[Any]):
    """A report as an object; every field described by its docstring."""

    serializer_field_mapping = {  # noqa: RUF012 - the library's own name, of an instance to its stubs
        **DataclassSerializer.serializer_field_mapping,
        ZoneInfo: serializers.CharField,
    }

    def build_dataclass_field(
        self, field_name: str, type_info: TypeInfo
    ) -> tuple[type[serializers.Serializer[Any]], dict[str, bool]]:
        """A field that is itself a report."""
        return serializer_of(type_info.base_type), {"many": type_info.is_many}

    def build_enum_field(
        self, field_name: str, type_info: TypeInfo
    ) -> tuple[type[serializers.Field[Any, Any, Any, Any]], dict[str, Any]]:
        """A kind; of a model's choices the same set as a body that sends one of them."""
        field, arguments = super().build_enum_field(field_name, type_info)
        if issubclass(type_info.base_type, Choices):
            arguments["choices"] = [(value, value) for value in type_info.base_type.values]
        return field, arguments


@cache
def serializer_of(report: type) -> type[serializers.Serializer[Any]]:
    """The serializer of a report.

    Raises:
        TypeError: A field has a type that has no place in an answer.
    """
    if not is_described(report):
        return old_serializers.serializer_of(report)
    described = described_fields(report)
    meta = type(
        "Meta",
        (),
        {
            "dataclass": report,
            "extra_kwargs": {name: {"help_text": text} for name, text in described.items()},
        },
    )
    summary = " ".join((inspect.getdoc(report) or "").split("\n\n")[0].split())
    return type(report.__name__, (ReportSerializer,), {"Meta": meta, "__doc__": summary})
