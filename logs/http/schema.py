"""How the schema is drawn from the views.

Reports as the API answers them: a kept library makes the fields, docstrings describe them.

A report is a dataclass of data whose docstring describes each field under ``Attributes:``, with
its unit; that text stands in the schema. Names, types and nesting come from the annotations
(djangorestframework-dataclasses).
"""

import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass, fields
from functools import cache
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Choices
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from drf_spectacular.openapi import AutoSchema
from rest_framework import serializers
from rest_framework_dataclasses.field_utils import TypeInfo
from rest_framework_dataclasses.serializers import DataclassSerializer

PLACES = {
    "slug": "The club, as answers name it in addresses.",
    "stage": "The set of cases: oll or pll.",
    "number": "Number of an OLL, letters of a PLL.",
    "code": "The wall's code, as it stands on it.",
    "draft_id": "Number of the waiting file.",
    "group_id": "Number of the group.",
    "homework_id": "Number of the homework.",
    "invitation_id": "Number of the invitation.",
    "job_id": "Number of the job.",
    "lesson_id": "Number of the lesson.",
    "mapping_id": "Number of the kept mapping.",
    "mark_id": "Number of the mark.",
    "membership_id": "Number of the member in their club.",
    "override_id": "Number of the coach's word.",
    "row_id": "Number of the row on hold.",
    "set_aside_id": "Number of the row that waits.",
    "solve_id": "Number of the solve.",
    "draw_id": "Number of the draw.",
    "upload_id": "Number of the upload.",
}
"""What stands in the places of an address."""


class Schema(AutoSchema):
    """Names operations by their method and address, which no two share."""

    def get_operation_id(self) -> str:
        """Such as ``get_members_membership_id_solves``."""
        place = self.path.removeprefix("/api/v1/")
        return "_".join([self.method.lower(), *re.findall(r"\w+", place)])

    def get_description(self) -> str:  # type: ignore[override]  # as the class above has it
        """The method's own words."""
        words = getattr(self.view, self.method.lower()).__doc__ or ""
        return " ".join(words.split())

    def get_tags(self) -> list[str]:
        """The first part of the address."""
        return [self.path.removeprefix("/api/v1/").partition("/")[0]]

    def get_operation(self, *args: Any, **kwargs: Any) -> dict[str, Any] | None:
        """The operation, with the scope that a token needs for it."""
        operation: dict[str, Any] | None = super().get_operation(*args, **kwargs)
        if operation is not None:
            operation["x-scope"] = getattr(self.view, self.method.lower()).scope
            for place in operation.get("parameters", []):
                if place["in"] == "path":
                    place["description"] = PLACES.get(place["name"], "")
        return operation


class TokenScheme(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]  # its hook for subclasses has no types
    """How the schema names the token."""

    target_class = "logs.people.authentication.TokenAuthentication"
    name = "token"

    def get_security_definition(self, auto_schema: object) -> dict[str, str]:
        """The scheme, in the schema's words."""
        return {"type": "http", "scheme": "bearer"}


Document = dict[str, Any]


METHODS = ("get", "post", "put", "patch", "delete")


@dataclass(frozen=True, slots=True)
class Named:
    """A part of an address, a field of a body or of an answer."""

    name: str
    kind: str
    words: str
    is_required: bool


@dataclass(frozen=True, slots=True)
class Body:
    """A body in one media type."""

    media_type: str
    fields: tuple[Named, ...]


@dataclass(frozen=True, slots=True)
class Operation:
    """What a program can ask."""

    id: str
    method: str
    path: str
    words: str
    scope: str
    parameters: tuple[Named, ...]
    bodies: tuple[Body, ...]
    answer: str
    fields: tuple[Named, ...]

    @property
    def gist(self) -> str:
        """Its words up to the first stop, for a line of a list."""
        return re.split(r"[.;:]", self.words, maxsplit=1)[0]


def operations(schema: Document) -> tuple[Operation, ...]:
    """The operations of a schema, in the order of their addresses."""
    return tuple(
        _operation(schema, path, method, operation)
        for path, methods in schema["paths"].items()
        for method, operation in methods.items()
        if method in METHODS
    )


def _operation(schema: Document, path: str, method: str, operation: Document) -> Operation:
    responses = operation["responses"]
    success = next(responses[code] for code in ("200", "201", "204") if code in responses)
    contents = success.get("content", {}).values()
    answer: Document = next((content["schema"] for content in contents), {})
    return Operation(
        id=operation["operationId"],
        method=method.upper(),
        path=path,
        words=operation.get("description", ""),
        scope=operation["x-scope"],
        parameters=tuple(
            Named(
                parameter["name"],
                _kind(parameter["schema"]),
                parameter.get("description", ""),
                parameter.get("required", False),
            )
            for parameter in operation.get("parameters", [])
        ),
        bodies=tuple(
            Body(media_type, tuple(_fields(schema, content["schema"])))
            for media_type, content in operation.get("requestBody", {}).get("content", {}).items()
        ),
        answer=_kind(answer) if answer else "nothing",
        fields=tuple(_fields(schema, answer)),
    )


def _fields(schema: Document, shape: Document) -> Iterator[Named]:
    """The fields of an object, or of each object in a list."""
    component = _component(schema, shape.get("items", shape))
    needed = component.get("required", [])
    for name, field in component.get("properties", {}).items():
        yield Named(name, _kind(field), field.get("description", ""), name in needed)


def _component(schema: Document, shape: Document) -> Document:
    """The shape itself, or that which it refers to."""
    if "$ref" in shape:
        component: Document = schema["components"]["schemas"][_name(shape)]
        return component
    return shape


def _name(shape: Document) -> str:
    return str(shape["$ref"]).rpartition("/")[2]


def _kind(shape: Document) -> str:
    """A type in words: ``string``, ``list of SolveLine``, ``one of oll, pll``."""
    if "$ref" in shape:
        return _name(shape)
    for together in ("allOf", "oneOf", "anyOf"):
        if together in shape:
            return " or ".join(_kind(part) for part in shape[together])
    if "enum" in shape:
        values = [str(value) or "nothing" for value in shape["enum"]]
        return f"one of {', '.join(values[:8])}{' …' if len(values) > 8 else ''}"
    if shape.get("type") == "array":
        return f"list of {_kind(shape['items'])}"
    if shape.get("format") == "binary":
        return "file"
    kind = shape.get("type", "anything")
    return " or ".join(kind) if isinstance(kind, list) else str(kind)


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
        TypeError: A field is not described.
    """
    described = described_fields(report)
    bare = [field.name for field in fields(report) if field.name not in described]
    if bare:
        raise TypeError(f"Describe {', '.join(bare)} of {report.__name__} under Attributes.")
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
