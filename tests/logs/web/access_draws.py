"""What each person of the access tests' world had drawn, and solves to draw from."""

from datetime import timedelta
from zoneinfo import ZoneInfo

from logs.solves.models.draws import Draw
from logs.solves.services.draws import draw_add
from tests.factories import NOW, SENT_AT, make_row, make_upload
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, Arguments, World

A_DRAW = {"n": 1}


def build(world: World) -> None:
    """Three solves with a time alone of each person, a draw from two of them."""
    for n, (key, person) in enumerate(world.people.items()):
        moments = [NOW + timedelta(days=300, minutes=10 * n + i) for i in range(3)]
        rows = [
            make_row(is_timed=False, done_at=moment)._replace(solution=None) for moment in moments
        ]
        make_upload(person.user, rows[:2], file_name="times.csv")
        draw = draw_add(
            actor=person.user, n_wanted=1, since=None, zone=ZoneInfo("UTC"), seed=n, now=SENT_AT
        )
        world.things[f"draw-{key}"] = draw.pk
        make_upload(person.user, rows[2:], file_name="more-times.csv")
    Draw.objects.filter(member=world.people["gone"].user).delete()


def _draw(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"draw_id": world.things[f"draw-{person.key}"] if person else NEVER}


BUILDERS.append(build)
KINDS["draw"] = _draw
