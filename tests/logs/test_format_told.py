"""Every column of a log is told wherever the format is: each line of it, in every place of it."""

import re
from pathlib import Path
from typing import Any

import pytest
from drf_spectacular.generators import SchemaGenerator

from cubecore.rows import FIELDS, TimedBy
from tests.factories import make_client, make_user

README = (Path(__file__).parents[2] / "README.md").read_text()


@pytest.fixture(scope="module")
def schema() -> dict[str, Any]:
    return dict(SchemaGenerator().get_schema(public=True))


@pytest.mark.parametrize("field", FIELDS)
def test_the_readme_has_a_line_for_each_column(field: str):
    assert re.search(rf"^\| `{field}` \| .+ \| .+ \|$", README, re.MULTILINE)


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/log/", "/how/"])
def test_the_pages_have_a_line_for_each_column(address: str):
    page = make_client(make_user()).get(address).content.decode()
    told = re.findall(r"<dt><code>(\w+)</code></dt><dd>[^<]", page)
    assert set(FIELDS) <= set(told)
    assert all(f"<code>{one.value}</code>" in page for one in TimedBy)


@pytest.mark.django_db
def test_the_template_file_has_each_column_and_a_row_that_fills_it():
    text = make_client(make_user()).get("/log-template.csv").content.decode()
    header, *rows = (line.split(",") for line in text.splitlines())
    assert header == list(FIELDS)
    filled = {name for row in rows for name, cell in zip(header, row, strict=True) if cell}
    assert filled == set(FIELDS)


@pytest.mark.parametrize("component", ["SentSolve", "SentCorrection"])
@pytest.mark.parametrize("field", FIELDS)
def test_the_schema_describes_each_column(schema: dict[str, Any], component: str, field: str):
    (body,) = (
        one for name, one in schema["components"]["schemas"].items() if name.startswith(component)
    )
    assert body["properties"][field]["description"]
