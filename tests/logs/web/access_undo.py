"""What each person of the access tests' world took back, deleted or has on hold."""

from datetime import timedelta

from django.utils import timezone

from cubecore.rows import Penalty
from logs.solves.models.kept_rows import KeptRow
from logs.solves.models.solves import Solve, Upload
from logs.solves.services.corrections import solve_delete
from logs.solves.services.undo import upload_take_back
from tests.factories import NOW, make_row, make_upload
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, Arguments, World

A_CORRECTION = {"time": "9.87", "scramble": "R U F", "note": "mine"}
A_NOTE = {"note": "mine"}
A_CHOICE = {"choice": "row"}


def build(world: World) -> None:
    """A row of each person that contradicts their solve, an upload taken back, a solve deleted."""
    now = timezone.now()
    for key, person in world.people.items():
        note = f"canary-note-{key}"
        other = make_row(penalty=Penalty.DNF, note=note)
        held = make_upload(person.user, [other], file_name=f"canary-file-{key}-other.csv")
        world.things[f"held-{key}"] = KeptRow.objects.get(upload=held).pk
        row = make_row(note=note, done_at=NOW - timedelta(days=1))
        back = make_upload(person.user, [row], file_name=f"canary-file-{key}-back.csv")
        upload_take_back(actor=person.user, upload_id=back.pk, now=now)
        world.things[f"back-{key}"] = back.pk
        row = make_row(note=note, done_at=NOW - timedelta(days=2))
        upload = make_upload(person.user, [row], file_name=f"canary-file-{key}-deleted.csv")
        solve = Solve.objects.get(upload=upload)
        solve_delete(actor=person.user, solve_id=solve.pk, now=now)
        world.things[f"deleted-{key}"] = solve.pk
    Upload.all_uploads.filter(pk=world.things["back-gone"]).delete()
    KeptRow.objects.filter(member=world.people["gone"].user).delete()


def _thing(kind: str, name: str, world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {name: world.things[f"{kind}-{person.key}"] if person else NEVER}


BUILDERS.append(build)
KINDS["held"] = lambda world, role, what: _thing("held", "row_id", world, role, what)
KINDS["back"] = lambda world, role, what: _thing("back", "upload_id", world, role, what)
KINDS["deleted"] = lambda world, role, what: _thing("deleted", "solve_id", world, role, what)
