"""Tokens in the access tests' world: one for each person, good for everything."""

from django.utils import timezone

from logs.people.services.tokens import token_make
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, PASSWORD, PEOPLE, Arguments, World

A_TOKEN = {"name": "a program", "scopes": ["read"], "days": "7", "password": PASSWORD}


def build(world: World) -> None:
    """A token for everybody, made while they were in."""
    for key in PEOPLE:
        token, world.tokens[key] = token_make(
            actor=world.people[key].user,
            name=f"of {key}",
            scopes=("read", "upload", "manage"),
            days=7,
            now=timezone.now(),
        )
        world.things[f"token-{key}"] = token.pk


def _token(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"token_id": world.things[f"token-{person.key}"] if person else NEVER}


def _nowhere(world: World, role: str, what: str) -> Arguments:
    return {"rest": "nothing/here"}


BUILDERS.append(build)
KINDS |= {"token": _token, "nowhere": _nowhere}
