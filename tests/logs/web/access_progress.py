"""Marks on the axis of times in the access tests' world: one of each person."""

from datetime import date

from logs.progress.services import time_mark_add
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, PEOPLE, Arguments, World

A_MARK = {"day": "2026-03-01", "word": "new cube"}


def build(world: World) -> None:
    """A mark of everybody."""
    day = date(2026, 3, 1)
    for key in PEOPLE:
        actor = world.people[key].user
        mark, _ = time_mark_add(actor=actor, day=day, word=f"canary-mark-{key}", today=day)
        world.things[f"mark-{key}"] = mark.pk


def _mark(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"mark_id": world.things[f"mark-{person.key}"] if person else NEVER}


BUILDERS.append(build)
KINDS["mark"] = _mark
