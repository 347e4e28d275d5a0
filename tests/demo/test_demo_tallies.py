"""The demo club's tallies, by chunks, solves taken out and put back, equal a recount: every row, every byte."""

import json
import random
from typing import Any

import pytest
from django.core.management import call_command

from logs.solves.models.solves import Solve
from logs.solves.models.tallies import (
    CaseTally,
    CaseWeekTally,
    CoverageTally,
    MixUpTally,
    WeekTally,
)
from logs.solves.services.tallies import tallies_following

pytestmark = pytest.mark.django_db

MODELS = (CaseTally, CaseWeekTally, WeekTally, MixUpTally, CoverageTally)
CHUNK = 250


def kept() -> dict[str, set[tuple[Any, ...]]]:
    """All tallies but for their ids."""
    rows = {}
    for model in MODELS:
        names = [field.attname for field in model._meta.concrete_fields if field.name != "id"]
        rows[model.__name__] = {
            tuple(map(hashable, values)) for values in model._default_manager.values_list(*names)
        }
    return rows


def hashable(value: object) -> object:
    """A stored value so that it can stand in a set."""
    if isinstance(value, memoryview):
        return bytes(value)
    return json.dumps(value) if isinstance(value, list) else value


def test_every_row_equals_a_recount():
    call_command("demo", no_serve=True, verbosity=0)
    uploaded = kept()
    rng = random.Random(11)
    by_member: dict[int, list[int]] = {}
    for member_id, solve_id in Solve.objects.values_list("member", "id"):
        by_member.setdefault(member_id, []).append(solve_id)
    for member_id, ids in by_member.items():
        some = rng.sample(ids, len(ids) // 2)
        for start in range(0, len(some), CHUNK):
            chunk = some[start : start + CHUNK]
            with tallies_following({member_id: chunk}):
                pass
    changed = kept()
    call_command("retally", verbosity=0)
    recounted = kept()
    assert len(recounted["CaseWeekTally"]) > 5_000
    assert uploaded == recounted
    assert changed == recounted
