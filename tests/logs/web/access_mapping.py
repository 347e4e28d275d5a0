"""Files that wait and kept mappings in the access tests' world, and who gets what of them."""

from dataclasses import replace

from django.utils import timezone

from logs.intake.mapping import ColumnMapping, mapping_from_json
from logs.intake.source import SourceFile
from logs.solves.models.solves import KeptMapping, UploadDraft
from logs.solves.services.drafts import draft_add
from logs.solves.services.mappings import mapping_keep
from tests.logs.web.access_rules import grid
from tests.logs.web.access_world import BUILDERS, KINDS, NEVER, PEOPLE, Arguments, World

# ``club``: of one's own club, kept by somebody else.
CHANGING = grid("""
                  own  club  other  gone  never
anonymous         in   in    in     in    in
locked            in   in    in     in    in
member            ok   404   404    404   404
hider             ok   404   404    404   404
coach             ok   ok    404    404   404
owner             ok   ok    404    404   404
ex_member         404  404   404    404   404
coach_elsewhere   ok   ok    404    404   404
member_elsewhere  ok   404   404    404   404
""")
A_FILE = "mixed;took;said\nR U F' D;12,34;canary-note-{key}\nR U F' D2;12,35;canary-row-{key}\n"
THE_ANSWERS = {
    "encoding": "utf-8",
    "separator": "1",
    "n_before": "0",
    "has_header": "on",
    "column-0": "scramble",
    "column-1": "time",
    "column-2": "",
    "time_unit": "s",
    "decimal_mark": ",",
    "then": "look",
}
A_NAME = {"name": "Of the club’s own"}  # noqa: RUF001 - the site's own apostrophe


def build(world: World) -> None:
    """A file of each person that waits, and a mapping each keeps for their club."""
    now = timezone.now()
    for key, person in world.people.items():
        content = A_FILE.format(key=key).encode()
        name = f"canary-file-{key}.csv"
        draft = draft_add(actor=person.user, source=SourceFile(content), file_name=name, now=now)
        world.things[f"draft-{key}"] = draft.pk
        club = PEOPLE[key][0]
        kept = mapping_keep(
            actor=person.user,
            mapping=_other_columns(mapping_from_json(draft.mapping)),
            name=f"Canary club {club} sheet {draft.pk}",
            slug=world.clubs[club].slug,
            now=now,
        )
        world.things[f"mapping-{key}"] = kept.pk
    UploadDraft.objects.filter(pk=world.things["draft-gone"]).delete()
    KeptMapping.objects.filter(pk=world.things["mapping-gone"]).delete()


def _other_columns(mapping: ColumnMapping) -> ColumnMapping:
    """The same for files of another shape, so that nobody's file is filled in from it."""
    return replace(mapping, names=("blend", "long", "words"))


def _draft(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"draft_id": world.things[f"draft-{person.key}"] if person else NEVER}


def _mapping(world: World, role: str, what: str) -> Arguments:
    if what == "never":
        return {"mapping_id": NEVER}
    own = world.own_club(role)
    others = {"first": "shown", "second": "other"}
    keys = {
        "own": "member" if role == "anonymous" else role,
        "club": others[own],
        "other": others[world.other_club(role)],
        "gone": "gone",
    }
    return {"mapping_id": world.things[f"mapping-{keys[what]}"]}


BUILDERS.append(build)
KINDS["draft"] = _draft
KINDS["kept_mapping"] = _mapping
