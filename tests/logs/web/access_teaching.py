"""Books and their cases, and lessons on the wall, in the access tests' world."""

from django.utils import timezone

from cubecore.cases import CaseId, Stage
from logs.algorithms.services import case_words_write, trigger_add
from logs.wall.services import seat_take, wall_close, wall_open, wall_show
from tests.logs.web import access_homework  # noqa: F401 - its lessons are put on the wall
from tests.logs.web.access_rules import grid
from tests.logs.web.access_world import BUILDERS, KINDS, PEOPLE, Arguments, Person, World

SUNE = "R U R' U R U2 R'"
AN_ALGORITHM = {"text": "R U' L' U R' U' L"}
ITS_SUNE = {"text": SUNE, "place": "2"}
A_HOLD = {"angle": 1, "before": "U"}
A_NAME = {"name": "canary-dip", "turns": "R U R'"}
THE_NAME = {"name": "bow"}


def build(world: World) -> None:
    """A name for a run of turns in each club, and its coach's words beside a case."""
    for club, coach in (("first", "coach"), ("second", "coach_elsewhere")):
        actor, slug = world.people[coach].user, world.clubs[club].slug
        trigger_add(actor=actor, slug=slug, name=THE_NAME["name"], turns="F R F'")
        now = timezone.now()
        case_words_write(
            actor=actor, slug=slug, case=CaseId(Stage.OLL, 27), text=f"canary-words-{club}", now=now
        )
        lesson_id = world.things[f"lesson-{club}"]
        world.codes["gone"] = wall_open(actor=actor, lesson_id=lesson_id, now=now).code
        wall_close(actor=actor, lesson_id=lesson_id, now=now)
        world.codes[club] = wall_open(actor=actor, lesson_id=lesson_id, now=now).code
        wall_show(actor=actor, lesson_id=lesson_id, asked=0, is_told=False, now=now)
        for key, person in world.people.items():
            if PEOPLE[key][0] == club:
                seat_take(actor=person.user, code=world.codes[club], now=now)


def _wall(world: World, role: str, what: str) -> Arguments:
    keys = {"own": world.own_club(role), "other": world.other_club(role), "gone": "gone"}
    return {"code": world.codes[keys[what]] if what in keys else "NONE"}


def a_code(world: World, person: Person | None) -> dict[str, object]:
    """What joins the lesson on the wall of the sender's club."""
    return {"code": world.codes[world.own_club(person.key if person else "")]}


AN_ANSWER = {"asked": "0", "answer": "0"}
JOINING = grid("""
                  -
anonymous         in
locked            in
member            ok
hider             ok
coach             ok
owner             ok
ex_member         422
coach_elsewhere   ok
member_elsewhere  ok
""")


def _book_case(world: World, role: str, what: str) -> Arguments:
    return {"slug": world.slug(role, what), "stage": "oll", "number": "27"}


BUILDERS.append(build)
KINDS["book_case"] = _book_case
KINDS["wall"] = _wall
