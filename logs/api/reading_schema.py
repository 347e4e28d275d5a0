"""The schema as the guide's page reads it."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

Schema = dict[str, Any]
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


def operations(schema: Schema) -> tuple[Operation, ...]:
    """The operations of a schema, in the order of their addresses."""
    return tuple(
        _operation(schema, path, method, said)
        for path, methods in schema["paths"].items()
        for method, said in methods.items()
        if method in METHODS
    )


def _operation(schema: Schema, path: str, method: str, said: Schema) -> Operation:
    done = next(
        said["responses"][code] for code in ("200", "201", "204") if code in said["responses"]
    )
    answer: Schema = next((one["schema"] for one in done.get("content", {}).values()), {})
    return Operation(
        id=said["operationId"],
        method=method.upper(),
        path=path,
        words=said.get("description", ""),
        scope=said["x-scope"],
        parameters=tuple(
            Named(
                one["name"],
                _kind(one["schema"]),
                one.get("description", ""),
                one.get("required", False),
            )
            for one in said.get("parameters", [])
        ),
        bodies=tuple(
            Body(media_type, tuple(_fields(schema, content["schema"])))
            for media_type, content in said.get("requestBody", {}).get("content", {}).items()
        ),
        answer=_kind(answer) if answer else "nothing",
        fields=tuple(_fields(schema, answer)),
    )


def _fields(schema: Schema, said: Schema) -> Iterator[Named]:
    """The fields of an object, or of each object in a list."""
    found = _found(schema, said.get("items", said))
    needed = found.get("required", [])
    for name, one in found.get("properties", {}).items():
        yield Named(name, _kind(one), one.get("description", ""), name in needed)


def _found(schema: Schema, said: Schema) -> Schema:
    if "$ref" in said:
        found: Schema = schema["components"]["schemas"][_name(said)]
        return found
    return said


def _name(said: Schema) -> str:
    return str(said["$ref"]).rpartition("/")[2]


def _kind(said: Schema) -> str:
    """A type in words: ``string``, ``list of SolveLine``, ``one of oll, pll``."""
    if "$ref" in said:
        return _name(said)
    for together in ("allOf", "oneOf", "anyOf"):
        if together in said:
            return " or ".join(_kind(one) for one in said[together])
    if "enum" in said:
        return (
            "one of "
            + ", ".join(str(one) or "nothing" for one in said["enum"][:8])
            + (" …" if len(said["enum"]) > 8 else "")
        )
    if said.get("type") == "array":
        return f"list of {_kind(said['items'])}"
    if said.get("format") == "binary":
        return "file"
    kind = said.get("type", "anything")
    return " or ".join(kind) if isinstance(kind, list) else str(kind)
