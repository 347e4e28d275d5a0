"""Books and their cases in the access tests' world."""

from logs.algorithms.services import trigger_add
from tests.logs.web.access_world import BUILDERS, KINDS, Arguments, World

SUNE = "R U R' U R U2 R'"
AN_ALGORITHM = {"text": "R U' L' U R' U' L"}
ITS_SUNE = {"text": SUNE, "place": "2"}
A_NAME = {"name": "canary-dip", "turns": "R U R'"}
THE_NAME = {"name": "bow"}


def build(world: World) -> None:
    """A name for a run of turns in each club."""
    for club, coach in (("first", "coach"), ("second", "coach_elsewhere")):
        actor, slug = world.people[coach].user, world.clubs[club].slug
        trigger_add(actor=actor, slug=slug, name=THE_NAME["name"], turns="F R F'")


def _book_case(world: World, role: str, what: str) -> Arguments:
    return {"slug": world.slug(role, what), "stage": "oll", "number": "27"}


BUILDERS.append(build)
KINDS["book_case"] = _book_case
