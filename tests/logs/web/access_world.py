"""Two clubs and everybody in and out of them, each with canaries that nobody else may meet."""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.conf import settings
from django.test import Client
from django.test.client import ClientHandler
from django.utils import timezone

from clubsite.accounts.models import User
from logs.jobs.models import Job
from logs.people.models import Club, Membership, Role, Visibility
from logs.people.services.invitations import invitation_create
from logs.solves.models.solves import SetAsideRow, Solve
from tests.factories import make_client, make_club, make_csv, make_membership, make_row, make_upload
from tests.logs.web.access_rules import ROLES

PASSWORD = "plum-anvil-orbit-nine"
NEVER = 999_999
BAD_LINE = "2026-03-01T13:00:00Z,R U,,,,,{note}\r\n"

# Key: club, role, visibility. Those on the upper lines look; those below are only looked at.
PEOPLE = {
    "locked": ("first", Role.COACH, Visibility.CLUB),
    "member": ("first", Role.MEMBER, Visibility.CLUB),
    "hider": ("first", Role.MEMBER, Visibility.ONLY_ME),
    "coach": ("first", Role.COACH, Visibility.ONLY_ME),
    "owner": ("first", Role.OWNER, Visibility.ONLY_ME),
    "ex_member": ("first", Role.MEMBER, Visibility.CLUB),
    "coach_elsewhere": ("second", Role.COACH, Visibility.ONLY_ME),
    "member_elsewhere": ("second", Role.MEMBER, Visibility.ONLY_ME),
    "shown": ("first", Role.MEMBER, Visibility.CLUB),
    "to_coach": ("first", Role.MEMBER, Visibility.COACH),
    "hidden": ("first", Role.MEMBER, Visibility.ONLY_ME),
    "second": ("first", Role.COACH, Visibility.ONLY_ME),
    "other": ("second", Role.MEMBER, Visibility.CLUB),
    "gone": ("first", Role.MEMBER, Visibility.CLUB),
}

# Whose logs each role may read besides their own: the canaries of all others must never come up.
READS = {
    "anonymous": set(),
    "locked": set(),
    "member": {"shown", "locked"},
    "hider": {"shown", "member", "locked"},
    "coach": {"shown", "member", "locked", "to_coach"},
    "owner": {"shown", "member", "locked", "to_coach"},
    "ex_member": set(),
    "coach_elsewhere": {"other"},
    "member_elsewhere": {"other"},
}
# Coaches know the names of all in their club, and of nobody else.
_FIRST = {key for key, (club, _, _) in PEOPLE.items() if club == "first"} - {"ex_member", "gone"}
NAMES = READS | {
    "coach": _FIRST,
    "owner": _FIRST,
    "coach_elsewhere": {"coach_elsewhere", "member_elsewhere", "other"},
}
# Who left may read in their own privacy page which club it was.
CLUBS = {
    "anonymous": set(),
    "locked": set(),
    "member": {"first"},
    "hider": {"first"},
    "coach": {"first"},
    "owner": {"first"},
    "ex_member": {"first"},
    "coach_elsewhere": {"second"},
    "member_elsewhere": {"second"},
}

COACHES = {"first": {"coach", "owner"}, "second": {"coach_elsewhere"}}
# Who left is in no club: what was written for its people is not theirs to read any more.
IN_CLUB = {
    key: {role for role, clubs in CLUBS.items() if key in clubs} - {"ex_member"} for key in COACHES
}


@dataclass
class Person:
    """Somebody with a log."""

    key: str
    user: User
    membership_id: int
    solve: Solve
    row: SetAsideRow
    job_id: int
    session: str = ""


@dataclass
class World:
    """Everything that the table's lines may name."""

    clubs: dict[str, Club] = field(default_factory=dict)
    people: dict[str, Person] = field(default_factory=dict)
    invitations: dict[str, int] = field(default_factory=dict)
    code: str = ""
    things: dict[str, int] = field(default_factory=dict)
    codes: dict[str, str] = field(default_factory=dict)
    tokens: dict[str, str] = field(default_factory=dict)
    handler: ClientHandler = field(default_factory=lambda: ClientHandler(enforce_csrf_checks=False))

    def __post_init__(self) -> None:
        self.clubs = {key: make_club(f"Canary club {key}") for key in ("first", "second", "gone")}
        for key, (club, role, visibility) in PEOPLE.items():
            self.people[key] = self._person(key, self.clubs[club], role, visibility)
        for key, club, coach in (
            ("first", "first", "coach"),
            ("second", "second", "coach_elsewhere"),
            ("gone", "first", "coach"),
        ):
            made, code = invitation_create(
                actor=self.people[coach].user,
                slug=self.clubs[club].slug,
                role=Role.MEMBER,
                max_uses=5,
                days=7,
                now=timezone.now(),
            )
            self.invitations[key] = made.pk
            if key == "first":
                self.code = code
            if key == "gone":
                made.delete()
        for build in BUILDERS:
            build(self)
        self._end()

    def _person(self, key: str, club: Club, role: Role, visibility: Visibility) -> Person:
        user = User.objects.create_user(f"canary-user-{key}", password=PASSWORD)
        membership = make_membership(club, user, role=role, visibility=visibility)
        membership.display_name = f"Canary name {key}"
        membership.save()
        content = make_csv([make_row(note=f"canary-note-{key}")])
        content += BAD_LINE.format(note=f"canary-row-{key}").encode()
        upload = make_upload(user, content=content, file_name=f"canary-file-{key}.csv")
        client = make_client(user)
        return Person(
            key=key,
            user=user,
            membership_id=membership.pk,
            solve=Solve.objects.get(upload=upload),
            row=SetAsideRow.objects.get(upload=upload),
            job_id=Job.objects.get(upload=upload).pk,
            session=client.cookies[settings.SESSION_COOKIE_NAME].value,
        )

    def _end(self) -> None:
        """What happened since: one left, one is locked, one is gone with all that was theirs."""
        slug_gone = self.clubs["gone"].slug
        Club.objects.filter(slug=slug_gone).delete()
        Membership.objects.get(pk=self.people["ex_member"].membership_id).delete()
        self.people["locked"].user.is_active = False
        self.people["locked"].user.save()
        User.objects.get(pk=self.people["gone"].user.pk).delete()

    def client(self, role: str) -> Client:
        """A browser in which ``role`` is signed in."""
        client = self.stranger()
        if role != "anonymous":
            client.cookies[settings.SESSION_COOKIE_NAME] = self.people[role].session
        return client

    def stranger(self, **headers: str) -> Client:
        """A client of the one site: a quarter of a request is else spent on its middleware."""
        client = Client(headers=headers)
        client.handler = self.handler
        return client

    def own_club(self, role: str) -> str:
        return "second" if role.endswith("elsewhere") else "first"

    def other_club(self, role: str) -> str:
        return "first" if role.endswith("elsewhere") else "second"

    def slug(self, role: str, what: str) -> str:
        if what == "never":
            return "never-was"
        keys = {"own": self.own_club(role), "other": self.other_club(role), "gone": "gone"}
        return self.clubs[keys[what]].slug

    def person(self, role: str, what: str) -> Person | None:
        """The person that a column of a person's grid means to ``role``; None for ``never``."""
        if what == "never":
            return None
        if what in {"own", "self"}:
            return self.people["member" if role == "anonymous" else role]
        return self.people["owner" if what == "chief" else what]


BUILDERS: list[Callable[[World], None]] = []
"""Called with each new world before anybody leaves: other areas add what their kinds need."""

Arguments = dict[str, object]
Kind = Callable[[World, str, str], Arguments]


def _nothing(world: World, role: str, what: str) -> Arguments:
    return {}


def _case(world: World, role: str, what: str) -> Arguments:
    return {"stage": "oll", "number": "27" if what == "there" else "99"}


def _membership(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"membership_id": person.membership_id if person else NEVER}


def _solve(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"solve_id": person.solve.pk if person else NEVER}


def _upload(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"upload_id": person.row.upload_id if person else NEVER}


def _job(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"job_id": person.job_id if person else NEVER}


def _row(world: World, role: str, what: str) -> Arguments:
    person = world.person(role, what)
    return {"set_aside_id": person.row.pk if person else NEVER}


def _club(world: World, role: str, what: str) -> Arguments:
    return {"slug": world.slug(role, what)}


def _invitation(world: World, role: str, what: str) -> Arguments:
    own, other = world.own_club(role), world.other_club(role)
    slugs = {"other": other}
    ids = {"own": world.invitations[own], "gone": world.invitations["gone"], "never": NEVER}
    return {
        "slug": world.clubs[slugs.get(what, own)].slug,
        "invitation_id": ids.get(what, world.invitations[other]),
    }


def _club_person(world: World, role: str, what: str) -> Arguments:
    """Somebody under the address of a club; ``crossed`` is of the club the address is not of."""
    own = world.own_club(role)
    if what == "crossed":
        stranger = "other" if own == "first" else "shown"
        return {
            "slug": world.clubs[own].slug,
            "membership_id": world.people[stranger].membership_id,
        }
    person = world.person(role, what)
    club = PEOPLE[person.key][0] if person else own
    return {
        "slug": world.clubs[club].slug,
        "membership_id": person.membership_id if person else NEVER,
    }


KINDS: dict[str, Kind] = {
    "": _nothing,
    "case": _case,
    "membership": _membership,
    "solve": _solve,
    "upload": _upload,
    "job": _job,
    "row": _row,
    "club": _club,
    "invitation": _invitation,
    "club_person": _club_person,
}
"""What a route is about: its arguments, for a role and a column of the grid."""

assert set(PEOPLE) >= set(ROLES) - {"anonymous"}
