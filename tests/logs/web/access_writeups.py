"""What each person of the access tests' world is writing down."""

from django.utils import timezone

from logs.writeups.models import Writeup
from logs.writeups.services import writeup_begin
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, Arguments, World

THE_TURNS = {"solution": "U' R'", "then": "send"}


def build(world: World) -> None:
    """A solve of each person that is being written."""
    now = timezone.now()
    for key, person in world.people.items():
        begun = writeup_begin(
            actor=person.user, now=now, scramble="R U", time="9.87", penalty="", done_at=""
        )
        world.things[f"writeup-{key}"] = begun.pk
    Writeup.objects.filter(member=world.people["gone"].user).delete()


def _writeup(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    number = world.things[f"writeup-{person.key}"] if person else NEVER
    return {"writeup_id": number}


BUILDERS.append(build)
KINDS["writeup"] = _writeup
