"""After an erasure nothing of the person is left: no row, no byte of the file."""

import json
import os
import shutil
import subprocess
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from django.apps import apps
from django.db import connection
from django.db.models import SET_NULL, ForeignKey, Model
from django.test import Client

from clubsite.accounts.models import Session, Throttle, User
from logs.case_map.models import KnownByWord
from logs.errors import ConflictError
from logs.home.models import DeskVisit, WeeklyLetter
from logs.home.services import feed_make
from logs.homework.models import (
    Assignment,
    AssignmentCase,
    DrillAnswer,
    Excuse,
    Homework,
    HomeworkCase,
)
from logs.intake.mapping import mapping_from_json
from logs.intake.source import SourceFile
from logs.lessons.models import Lesson, LessonCase, LessonMember
from logs.next_up.models import Override
from logs.people.models import (
    AuditEvent,
    Club,
    Group,
    Membership,
    PasswordCode,
    Role,
    Verb,
)
from logs.people.services.invitations import invitation_create
from logs.people.services.memberships import visibility_change
from logs.people.services.tokens import token_make
from logs.people.services.trail import look_note
from logs.practice.models import PracticeAnswer
from logs.privacy.services import export_note, member_erase
from logs.progress.models import KeptFigures, TimeMark
from logs.solves.models.solves import KeptMapping, Solve
from logs.solves.models.tallies import CaseTally
from logs.solves.services.corrections import solve_correct, solve_delete
from logs.solves.services.drafts import draft_add
from logs.solves.services.draws import draw_add
from logs.solves.services.mappings import mapping_keep
from logs.solves.services.tallies import tally_rebuild
from logs.solves.services.undo import upload_take_back
from logs.writeups.services import writeup_begin
from tests.factories import (
    NOW,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

CANARIES = (
    "Bramble",
    "bramble-note",
    "bramble-file",
    "bramble-row",
    "bramble-back.csv",
    "bramble-more",
    "bramble-corrected",
    "for-bramble",
    "bramble-program",
    "bramble-mark",
    "bramble-figure",
)
BAD_LINE = b"2026-03-01T13:00:00Z,R U,,,,,bramble-row\r\n"
ADDRESS = "198.51.100.44"


def _drawn(user: User) -> None:
    """A draw from one solve with a time alone, and that solve written down."""
    row = make_row("U", note="bramble-drawn", done_at=None, is_timed=False)
    alone = row._replace(solution=None)
    number = make_upload(user, [alone], file_name="bramble-times.csv").solves.get().pk
    zone = ZoneInfo("UTC")
    draw_add(actor=user, n_wanted=1, since=None, zone=zone, seed=1, now=NOW)
    values = {"solution": row.solution}
    solve_correct(actor=user, solve_id=number, values=values, time_zone=zone, now=NOW)


@pytest.fixture
def person() -> Membership:
    """A coach with a row in every table that can hold one of theirs."""
    club = make_club("Riverbank")
    owner = make_membership(club, role=Role.OWNER)
    user = User.objects.create_user("Bramble", password="plum-anvil-orbit-nine")
    own = make_membership(club, user, role=Role.COACH)
    own.display_name = "Bramble"
    own.save()
    rows = [*make_rows(3), make_row(note="bramble-note", done_at=NOW + timedelta(hours=1))]
    make_upload(user, content=make_csv(rows) + BAD_LINE, file_name="bramble-file.csv")
    again = [
        make_row(note="bramble-again", done_at=NOW),
        make_row(note="bramble-more", done_at=None),
    ]
    back = make_upload(user, again, file_name="bramble-back.csv")
    upload_take_back(actor=user, upload_id=back.pk, now=NOW)
    solve = Solve.objects.filter(member=user).earliest("done_at")
    values = {"note": "bramble-corrected"}
    zone = ZoneInfo("UTC")
    solve_correct(actor=user, solve_id=solve.pk, values=values, time_zone=zone, now=NOW)
    solve_delete(actor=user, solve_id=solve.pk, now=NOW)
    tally_rebuild(member_ids=[user.pk])
    PracticeAnswer.objects.create(
        member=user, question="q", at=NOW, task="case", stage="oll", case="27", angle=0,
        answered="26", is_right=False,
    )  # fmt: skip
    KnownByWord.objects.create(member=user, stage="oll", case="27", said_at=NOW)
    TimeMark.objects.create(member=user, day=NOW.date(), word="bramble-mark")
    writeup_begin(
        actor=user, now=NOW, scramble="R U", time="9.87", penalty="", done_at="bramble-day"
    )
    _drawn(user)
    KeptFigures.objects.create(
        member=user, name="progress", key="1", content={"times": ["bramble-figure"]}
    )
    _coaching(own, by=owner)
    _coaching(owner, by=own)
    visibility_change(
        actor=user, slug=club.slug, visibility="club", now=NOW, origin="198.51.100.0/24"
    )
    looks = ((owner, own, "203.0.113.0/24"), (own, owner, "198.51.100.0/24"))
    for viewer, looked_at, origin in looks:
        look_note(
            actor=viewer.user,
            membership_ids=[looked_at.pk],
            page="solves",
            now=NOW,
            origin=origin,
        )
    _mappings(own)
    for about, by in ((own, owner), (owner, own)):
        PasswordCode.objects.create(
            user=about.user,
            created_by=by.user,
            created_at=NOW,
            expires_at=NOW + timedelta(hours=1),
            code_hash="x",
        )
    Club.objects.filter(pk=club.pk).update(
        contact_name="Bramble", contact_reach="bramble-phone", contact_by=user
    )
    feed_make(actor=user, now=NOW)
    DeskVisit.objects.create(membership=own, seen_at=NOW, since_at=NOW)
    WeeklyLetter.objects.create(membership=own, week_on=NOW.date(), since_at=NOW)
    Group.objects.create(club=club, name="Tuesday").members.add(own)
    token_make(actor=user, name="bramble-program", scopes=["read"], days=9, now=NOW)
    invitation_create(actor=user, slug=club.slug, role=Role.MEMBER, max_uses=1, days=1, now=NOW)
    export_note(actor=user, what="log", address=ADDRESS, now=NOW)
    Client(REMOTE_ADDR=ADDRESS).post("/sign-in/", {"username": "BRAMBLE", "password": "wrong"})
    Client().force_login(user)
    Client().force_login(owner.user)
    return own


def _mappings(member: Membership) -> None:
    """A file that waits to be read, and two mappings kept: for the club, and for the member alone."""
    file = b"mixed;took;said\nR U F' D;12,34;bramble-note\n"
    draft = draft_add(
        actor=member.user, source=SourceFile(file), file_name="bramble-file.csv", now=NOW
    )
    for name, slug in (("Spreadsheet", member.club.slug), ("bramble-file", "")):
        mapping = mapping_from_json(draft.mapping)
        mapping_keep(actor=member.user, mapping=mapping, name=name, slug=slug, now=NOW)


def _coaching(member: Membership, *, by: Membership) -> None:
    """Homework, a lesson and a word on what is next, made by one for the other."""
    club, note = member.club, f"for-{member.display_name.lower()}"
    case = {"stage": "oll", "case": "27"}
    homework = Homework.objects.create(
        club=club, set_by=by.user, set_at=NOW, goal="one_look", note="By the weekend."
    )
    HomeworkCase.objects.create(homework=homework, place=1, **case)
    asked = Assignment.objects.create(homework=homework, member=member.user)
    AssignmentCase.objects.create(
        assignment=asked, asked_at=NOW, shown_at=NOW, shown_to=by.user, **case
    )
    DrillAnswer.objects.create(
        member=member.user, drill=note, at=NOW, scramble="R U", word="clean", **case
    )
    Excuse.objects.create(assignment=asked, by=by.user, at=NOW, reason=note, **case)
    lesson = Lesson.objects.create(club=club, on=date(2026, 3, 2), title="Evening", by=by.user)
    LessonCase.objects.create(lesson=lesson, place=1, **case)
    LessonMember.objects.create(lesson=lesson, member=member.user)
    Override.objects.create(
        club=club, member=member.user, kind="pin", reason=note, by=by.user, at=NOW, **case
    )


def all_rows() -> Iterator[tuple[type[Model], dict[str, Any]]]:
    for model in apps.get_models(include_auto_created=True):
        for values in model._base_manager.values():
            yield model, values


def rows_with(canary: str) -> list[str]:
    """The tables in which ``canary`` stands, in whatever spelling and however it is stored."""
    found = []
    for model, values in all_rows():
        for value in values.values():
            is_bytes = isinstance(value, bytes | memoryview)
            text = bytes(value).decode(errors="replace") if is_bytes else str(value)
            if canary.lower() in text.lower():
                found.append(model._meta.label)
    return found


def rows_of(user_id: int) -> list[str]:
    """The columns that still point to the account."""
    return [
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models(include_auto_created=True)
        for field in model._meta.concrete_fields
        if field.is_relation and field.related_model is User
        if model._base_manager.filter(**{field.name: user_id}).exists()
    ]


@pytest.mark.django_db
def test_the_person_made_for_this_has_a_row_in_every_table_of_a_member_s_own(person: Membership):
    """Else the tests below could not fail: a new table of members' rows needs one in ``person``."""
    own = {
        f"{model._meta.label}.{field.name}"
        for model in apps.get_models(include_auto_created=True)
        for field in model._meta.concrete_fields
        if isinstance(field, ForeignKey)
        and field.related_model is User
        and field.remote_field.on_delete is not SET_NULL
    }
    without = {  # the framework's groups and rights; a misfire, which no row of `person` has
        "accounts.User_groups.user",
        "accounts.User_user_permissions.user",
        "logs.MixUpTally.member",
    }
    assert own - set(rows_of(person.user_id)) - without == set()
    for canary in CANARIES:
        assert rows_with(canary), canary


@pytest.mark.django_db
def test_nothing_of_an_erased_person_is_left_in_any_table(person: Membership):
    user_id, others = person.user_id, Membership.objects.exclude(pk=person.pk).get()
    member_erase(actor=person.user, now=NOW)
    assert rows_of(user_id) == []
    for canary in CANARIES:
        assert rows_with(canary) == [], canary
    assert rows_with("198.51.100") == []
    assert not DeskVisit.objects.exists()
    assert not WeeklyLetter.objects.exists()
    assert not Group.objects.get().members.exists()
    assert Throttle.objects.count() == 2  # the address's for copies and for passwords: nobody's
    keys = [session.get_decoded()["_auth_user_id"] for session in Session.objects.all()]
    assert keys == [str(others.user_id)]


@pytest.mark.django_db
def test_what_is_others_stays(person: Membership):
    other = Membership.objects.exclude(pk=person.pk).get()
    make_upload(other.user)
    tally_rebuild(member_ids=[other.user_id])
    member_erase(actor=person.user, now=NOW)
    homework = Homework.objects.get(assignments__member=other.user)
    assert (homework.set_by, homework.note) == (None, "By the weekend.")
    assert Override.objects.get(member=other.user).by is None
    kept = KeptMapping.objects.get()
    assert (kept.name, kept.made_by, kept.member) == ("Spreadsheet", None, None)
    assert Lesson.objects.filter(members__member=other.user).count() == 1
    assert Solve.objects.filter(member=other.user).count() == 1
    assert CaseTally.objects.filter(member=other.user).exists()
    looks = AuditEvent.objects.filter(verb=Verb.LOOK)
    assert [(look.actor, look.member) for look in looks.order_by("pk")] == [
        (other.user, None),
        (None, other.user),
    ]
    assert AuditEvent.objects.filter(verb=Verb.ERASE, actor=None, member=None).count() == 1


@pytest.mark.django_db
def test_an_owner_hands_over_first(person: Membership):
    owner = Membership.objects.get(role=Role.OWNER)
    with pytest.raises(ConflictError, match=r"^You are the owner of Riverbank\. Hand it over"):
        member_erase(actor=owner.user, now=NOW)
    assert User.objects.filter(pk=owner.user_id).exists()
    member_erase(actor=person.user, now=NOW)
    member_erase(actor=owner.user, now=NOW)  # alone in it now
    assert not Club.objects.exists()
    assert not User.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_no_byte_of_it_is_left_in_the_database(person: Membership):
    """SQLite's files themselves; of PostgreSQL, which clears its pages later, what a backup holds."""

    def found() -> set[str]:
        content = (_sqlite_files() if connection.vendor == "sqlite" else _postgres_dump()).lower()
        return {
            canary
            for canary in CANARIES
            if canary.lower().encode() in content
            or canary.lower().encode().hex().encode() in content
        }

    assert found() >= set(CANARIES)
    member_erase(actor=person.user, now=NOW)
    assert found() == set()


def _sqlite_files() -> bytes:
    place = Path(connection.settings_dict["NAME"])
    return b"".join(path.read_bytes() for path in place.parent.glob(f"{place.name}*"))


def _postgres_dump() -> bytes:
    """All rows as pg_dump writes them; bytes stand there in hex."""
    program = shutil.which("pg_dump")
    if program is None:
        pytest.skip("pg_dump is not installed (apt-get install postgresql-client)")
    where = connection.settings_dict
    made = subprocess.run(
        [program, "--data-only", where["NAME"]],
        env={
            **os.environ,
            "PGHOST": where["HOST"],
            "PGPORT": str(where["PORT"] or 5432),
            "PGUSER": where["USER"],
            "PGPASSWORD": where["PASSWORD"],
        },
        capture_output=True,
        check=True,
    )
    return made.stdout


@pytest.mark.django_db
def test_an_event_s_detail_names_nobody(person: Membership):
    details = json.dumps(list(AuditEvent.objects.values_list("detail", flat=True)))
    assert "bramble" not in details.lower()
