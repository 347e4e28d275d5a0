"""Reports hold data: a text is a name, a code, turns or somebody's own words, never a figure.

Two nets. A field of a report that is a text must bear one of the names below; and whatever the API
answers about two clubs is looked through for what only a person should read.
"""

import importlib
import inspect
import json
import pkgutil
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any, get_args

import pytest
from django.test import Client

import logs
from logs.people.page.clubs import made_schema
from tests.logs.http.test_schema import things
from tests.logs.web.access_world import World

TEXTS: Mapping[str, str] = {
    "names of people, clubs, cases, files, columns": (
        "by club display_name file_name guests joined kept_name names name needed_by read_out "
        "reach tables title triggers unknown_columns username columns family families "
        "look_alike"
    ),
    "codes and places in addresses": (
        "case cases club_slug code codes number query slug value what standings tallies mix_ups looks "
        "looks_of_all template shown answered right choices version"
    ),
    "words of a set that is written down": (
        "after before colour colours error_code field fields goal penalty kind last page questions seen separator "
        "state status task usual view"
    ),
    "turns, and their times as they were sent": "turn_ms mark_ms algorithm mirror other_hand scramble scrambles solution token turns",
    "somebody's own words, and cells of their files": (
        "above close_reason examples label note notes reason text word words"
    ),
    "what is wrong, for people, beside its code": "error_message message refusal",
    "files and seals": "log seal",
    "code, not text": "example work",
}
"""The names that a field which is a text may bear, by what stands in it."""

PAPER = {"sheets.report.Sheet.heading", "sheets.report.Sheet.lines"}
"""What is only ever printed, and no program is answered."""

FIGURE = re.compile(
    r"""
    [\N{EN DASH}\N{MINUS SIGN}]                       # a range, a dash for nothing, a minus
    | \d\s?(?:s|ms|%|seconds?|per\ cent)(?:\b|$)      # a number with its unit
    | \b\d[\d,]*\ (?:solves?|times?|cases?|days?|weeks?|hours?|turns?|looks?|drills?)\b
    | \b\d{1,2}\ (?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b   # a day in words
    | ^[+-]?\d+(?:[.:]\d+)+$                              # a number, or a time, as text
    | \d\ to\ \d
    """,
    re.VERBOSE,
)

WRITTEN = re.compile(
    r"^(above|after|before|columns|examples|file_name|meaning|message|note|questions|reason|refusal|scrambles?|"
    r"solution|text|token|algorithm|turns|log|seal|word|words|title|name|display_name|number|value)$"
)
"""Fields whose words are somebody's own, turns, names, what is wrong with a row, or what a column means."""


def reports() -> Iterator[tuple[str, type]]:
    """Every dataclass of a module that holds reports, with its place."""
    for module in pkgutil.walk_packages(logs.__path__, "logs."):
        if re.search(r"\.(report|api)(\.|$)", module.name):
            for name, kind in vars(importlib.import_module(module.name)).items():
                if not inspect.isclass(kind) or kind.__module__ != module.name:
                    continue
                if is_dataclass(kind):
                    yield f"{module.name.removeprefix('logs.')}.{name}", kind


def kinds_in(kind: Any) -> Iterator[Any]:
    """What a type is made of: ``str`` and ``None`` of ``str | None``."""
    parts = get_args(kind)
    if not parts:
        yield kind
    for part in parts:
        yield from kinds_in(part)


def text_fields(named: Iterable[tuple[str, type]]) -> set[str]:
    """The fields that are a text, or hold some, with their places."""
    return {
        f"{place}.{field.name}"
        for place, kind in named
        for field in fields(kind)
        if str in kinds_in(field.type)
    }


def unknown_texts(places: Iterable[str]) -> set[str]:
    """Those of them that bear no name of a text."""
    names = {name for some in TEXTS.values() for name in some.split()}
    return {place for place in places if place.rpartition(".")[2] not in names}


def figures_in(value: Any, field: str = "") -> Iterator[tuple[str, str]]:
    """The texts of an answer that hold a figure, each with its field."""
    if isinstance(value, str):
        if not WRITTEN.match(field) and FIGURE.search(value):
            yield field, value
    elif isinstance(value, list):
        for part in value:
            yield from figures_in(part, field)
    elif isinstance(value, dict):
        for name, part in value.items():
            yield from figures_in(part, name)


def test_a_field_that_is_a_text_is_of_a_kind_that_holds_no_figure():
    assert unknown_texts(text_fields(reports())) - PAPER == set()


def test_every_kind_of_text_stands_in_some_report():
    borne = {place.rpartition(".")[2] for place in text_fields(reports())}
    named = {name for some in TEXTS.values() for name in some.split()}
    assert named - borne == set()


def test_a_new_field_for_a_formatted_figure_would_be_seen():
    from dataclasses import make_dataclass  # noqa: PLC0415 - of this test alone

    planted = make_dataclass("Planted", [("n", int), ("best", str), ("spans", tuple[str, ...])])
    assert unknown_texts(text_fields([("planted", planted)])) == {"planted.best", "planted.spans"}


@pytest.mark.parametrize(
    "figure",
    [
        "12.34", "+0.5", "1:02.34", "8.89 to 10.35", "33%", "0.94 s", "about 12 solves", "3 cases",
        "\N{EN DASH}", "\N{MINUS SIGN}32%", "18 Nov 2026, 16:22", "DNF, 12.34 s",
    ],
)  # fmt: skip
def test_a_figure_in_an_answer_would_be_seen(figure: str):
    assert list(figures_in({"lines": [{"id": 7, "time": figure}]})) == [("time", figure)]


@pytest.mark.parametrize(
    "text", ["OLL 27 Sune", "oll-27", "Europe/Oslo", "2026-03-01T12:00:00Z", "2026-03-01", "solved"]
)
def test_data_in_an_answer_is_no_figure(text: str):
    assert list(figures_in({"seen": text})) == []


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["member", "coach", "shown"])
def test_no_answer_holds_a_figure_as_a_text(role: str, world: World):
    client = Client(headers={"authorization": f"Bearer {world.tokens[role]}"})
    places = things(world, role) | {"membership_id": world.people["shown"].membership_id}
    n_read, figures = 0, []
    for path, methods in made_schema()["paths"].items():
        if "get" not in methods:
            continue
        answer = client.get(path.format(**places, job_id=0), {"text": "R U"})
        if answer.status_code == 200 and answer["Content-Type"] == "application/json":
            n_read += 1
            found = figures_in(json.loads(answer.content))
            figures += [(path, field, text) for field, text in found]
    assert n_read > 20
    assert figures == []


def bare(schema: Mapping[str, Any]) -> list[str]:
    """The properties and parameters of a schema that nothing describes."""
    properties = [
        f"{name}.{field}"
        for name, component in schema["components"]["schemas"].items()
        for field, said in component.get("properties", {}).items()
        if not said.get("description")
    ]
    return properties + [
        f"{method} {path} {said['name']}"
        for path, methods in schema["paths"].items()
        for method, operation in methods.items()
        for said in operation.get("parameters", [])
        if not said.get("description")
    ]


def test_every_property_and_every_parameter_of_the_schema_is_described():
    schema = made_schema()
    assert (
        sum(len(one.get("properties", {})) for one in schema["components"]["schemas"].values())
        > 900
    )
    assert bare(schema) == []


def test_one_that_is_not_described_would_be_seen():
    properties = {"n": {"type": "integer", "description": "How many."}, "best": {"type": "string"}}
    operation = {"parameters": [{"name": "page", "in": "query"}]}
    planted = {
        "components": {"schemas": {"Planted": {"properties": properties}}},
        "paths": {"/planted": {"get": operation}},
    }
    assert bare(planted) == ["Planted.best", "get /planted page"]
