"""The schema is true: whatever is sent, no answer is a fault of ours or unlike what it says.

Checked by schemathesis, which makes requests from the schema, on the real tables. A request is
sent as it was made, and once more about things that are there.
"""

import re
from collections.abc import Mapping
from typing import Any

import pytest
import schemathesis
from django.core.management import call_command
from django.core.wsgi import get_wsgi_application
from django.db import transaction
from hypothesis import HealthCheck, settings
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from logs.people.page.clubs import made_schema
from tests.logs.web.access_table import an_answer
from tests.logs.web.access_world import World

CHECKS = [
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
]
N_EXAMPLES = 6

schema = schemathesis.openapi.from_wsgi("/api/v1/schema", get_wsgi_application())
schema.config.phases.coverage.enabled = False  # hundreds of requests for each field


def things(world: World, role: str) -> dict[str, object]:
    """What is there for ``role``, by the names that addresses and bodies have for it."""
    person = world.people[role]
    return {
        "slug": world.slug(role, "own"),
        "stage": "oll",
        "number": "27",
        "solve_id": person.solve.pk,
        "upload_id": person.row.upload_id,
        "set_aside_id": person.row.pk,
        "membership_id": world.people["shown"].membership_id,
        "homework_id": world.things["homework-all-first"],
        "lesson_id": world.things["lesson-first"],
        "invitation_id": world.invitations["first"],
        "override_id": world.things["word-shown"],
        "code": world.code,
        "draft_id": world.things[f"draft-{role}"],
        "mapping_id": world.things[f"mapping-{role}"],
        **an_answer(world, person),
        "mark_id": world.things[f"mark-{role}"],
    }


def about_these(made: Any, own: dict[str, object]) -> Any:
    """A part of a request as it was made, about things that are there."""
    if not isinstance(made, Mapping):
        return made
    return {name: own.get(name, value) for name, value in made.items()}


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["member", "coach"])
@schema.parametrize()
@settings(
    max_examples=N_EXAMPLES,
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),
)
def test_answers_are_as_the_schema_says(case: "schemathesis.Case[Any]", role: str, world: World):
    # Unpacked: the client of this library without a server does not unpack.
    headers = {"Authorization": f"Bearer {world.tokens[role]}", "Accept-Encoding": "identity"}
    own = things(world, role)
    made = (case.path_parameters, case.query, case.body)
    there = tuple(about_these(part, own) for part in made)
    for parts in [made, there] if made != there else [made]:
        case.path_parameters, case.query, case.body = parts
        with transaction.atomic():
            case.call_and_validate(headers=headers, checks=CHECKS)
            transaction.set_rollback(True)


def test_the_schema_holds_up_and_leaves_no_question_open(tmp_path):
    call_command(
        "spectacular", "--validate", "--fail-on-warn", "--file", str(tmp_path / "schema.yaml")
    )


def test_no_answer_has_a_field_for_what_only_a_page_can_use():
    named = {
        field
        for component in made_schema()["components"]["schemas"].values()
        for field in component.get("properties", {})
    }
    assert not [name for name in named if re.search(r"picture|_figure|svg|user_id|width", name)]
