"""The research export read back by pandas and pyarrow, held to the selectors; nobody else is in it."""

import io
import json
from datetime import timedelta

import pandas as pd
import pyarrow.parquet as pq
import pytest
from django.core.management import CommandError, call_command

from logs.errors import ConflictError, NotFoundError, TooManyTriesError
from logs.people.models import AuditEvent, Membership, Role, Verb, Visibility
from logs.people.services.passwords import EXPORT
from logs.research.figures import COLUMNS, MIN_MEMBERS, dictionary_markdown
from logs.research.report import research_export
from logs.research.services import research_change
from logs.solves.selectors.frames import sighting_frame
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_client,
    make_club,
    make_membership,
    make_row,
    make_upload,
)

pytestmark = pytest.mark.django_db

KEY = bytes(range(32))
T_OLL = "F R U R' U' F'"
CANARY = "canary-note"


def a_log(number: int):
    """A few solves of a member's own pace, no two members alike."""
    ends = [(SUNE, T_PERM), (T_OLL, SUNE, T_PERM), (T_PERM,), (SUNE, SUNE, SUNE, SUNE, T_PERM)]
    return [
        make_row(
            LAST_PAIR, *end, gap_ms=103 + 7 * number, note=CANARY,
            done_at=NOW - timedelta(weeks=place) if place else None,
        )
        for place, end in enumerate(ends)
    ]  # fmt: skip


@pytest.fixture
def club():
    club = make_club("Riverbank")
    coach = make_membership(club, role=Role.COACH)
    agreed = []
    for number in range(MIN_MEMBERS):
        member = make_membership(club, visibility=Visibility.COACH)
        make_upload(member.user, a_log(number), file_name=f"file-{number}.csv")
        research_change(actor=member.user, slug=club.slug, is_in=True, now=NOW)
        agreed.append(member)
    return club, coach, agreed


def taken(coach, club, key: bytes = KEY) -> io.BytesIO:
    file = io.BytesIO()
    asked = {"actor": coach.user, "slug": club.slug, "key": key, "address": "", "now": NOW}
    n_rows = research_export(file=file, **asked)
    assert pq.read_metadata(file).num_rows == n_rows
    file.seek(0)
    return file


def of_frames(members) -> list[tuple[str, ...]]:
    """The same sightings by the selector of the pages; texts for what may be missing, and sorted."""
    frames = []
    for member in members:
        for kind in ("solve", "drill"):
            frame = sighting_frame(actor=member.user, member=member.user, kind=kind)
            frames.append(frame.assign(kind=kind))
    return as_texts(pd.concat(frames))


SHARED = [
    *("kind", "stage", "case", "angle", "n_looks", "first_outcome", "is_one_look"),
    *("recognition_ms", "execution_ms", "misfire_kind", "misfire_case"),
]


def as_texts(frame: pd.DataFrame) -> list[tuple[str, ...]]:
    rows = frame[SHARED].astype(object).where(frame[SHARED].notna(), "").to_numpy().tolist()
    return sorted(
        tuple(str(int(value) if isinstance(value, float) else value) for value in row)
        for row in rows
    )


def test_pandas_reads_back_what_the_selectors_have(club):
    club, coach, agreed = club
    frame = pd.read_parquet(taken(coach, club))
    assert list(frame.columns) == [column.name for column in COLUMNS]
    assert as_texts(frame) == of_frames(agreed)
    assert frame["member"].nunique() == len(agreed)
    assert frame.groupby("solve")["stage"].agg(list).map(sorted).map(tuple).isin(
        [("oll", "pll"), ("oll",)]
    ).all()  # fmt: skip
    mondays = pd.to_datetime(frame["week"].dropna())
    assert (mondays.dt.day_of_week == 0).all()
    assert frame["week"].isna().any()
    assert not frame["first_outcome"].isin([""]).any()


def test_who_did_not_agree_is_nowhere_in_it(club):
    club, coach, agreed = club
    silent = make_membership(club, visibility=Visibility.CLUB)
    hiding = make_membership(club, visibility=Visibility.ONLY_ME)
    elsewhere = make_membership(make_club("Hilltop"), visibility=Visibility.CLUB)
    back = make_membership(club, visibility=Visibility.CLUB)
    for number, member in enumerate((silent, hiding, elsewhere, back), start=20):
        make_upload(member.user, a_log(number))
    for member in (hiding, back):
        research_change(actor=member.user, slug=club.slug, is_in=True, now=NOW)
    research_change(actor=elsewhere.user, slug=elsewhere.club.slug, is_in=True, now=NOW)
    research_change(actor=back.user, slug=club.slug, is_in=False, now=NOW)
    frame = pd.read_parquet(taken(coach, club))
    assert as_texts(frame) == of_frames(agreed)


def test_no_name_no_note_no_id_and_no_moment_stands_in_it(club):
    club, coach, agreed = club
    content = taken(coach, club).getvalue()
    table = pq.read_table(io.BytesIO(content))
    told = content + table.to_pandas().to_csv().encode()
    names = [name for one in agreed for name in (one.display_name, one.user.username)]
    for canary in (CANARY, "file-0", "R U R'", "Riverbank", "12:00", *names):
        assert canary.encode() not in told
    assert {column.type for column in COLUMNS} >= {"date32[day]"}
    assert not [name for name in table.column_names if name.endswith("_id") or name == "done_at"]


def test_two_exports_cannot_be_joined_and_one_is_always_the_same(club):
    club, coach, _ = club
    one, again, other = (pd.read_parquet(taken(coach, club, key)) for key in (KEY, KEY, b"other"))
    pd.testing.assert_frame_equal(one, again)
    assert not set(one["member"]) & set(other["member"])
    assert not set(one["solve"]) & set(other["solve"])
    assert one["solve"].is_monotonic_increasing or one["member"].is_monotonic_increasing


def test_the_file_carries_its_dictionary(club):
    club, coach, _ = club
    schema = pq.read_schema(taken(coach, club))
    told = json.loads(schema.metadata[b"data_dictionary"])
    assert [column["name"] for column in told] == schema.names
    for field, column in zip(schema, told, strict=True):
        assert str(field.type) == column["type"]
        assert field.nullable == bool(column["missing"])
        assert field.metadata[b"meaning"].decode() == column["meaning"]
        assert f"| `{column['name']}` | {column['type']} |" in dictionary_markdown()
    assert b"no sample of anybody" in schema.metadata[b"about"]


def test_fewer_than_five_make_no_export(club):
    club, coach, agreed = club
    nobody_met = make_membership(club, visibility=Visibility.CLUB)
    research_change(actor=nobody_met.user, slug=club.slug, is_in=True, now=NOW)
    research_change(actor=agreed[0].user, slug=club.slug, is_in=False, now=NOW)
    with pytest.raises(ConflictError, match="fewer than 5 members"):
        taken(coach, club)
    assert not AuditEvent.objects.filter(verb=Verb.EXPORT).exists()
    with pytest.raises(NotFoundError):
        taken(agreed[1], club)


def test_the_word_is_told_in_the_trail_and_is_off_to_begin_with(club):
    club, coach, agreed = club
    assert not Membership.objects.get(pk=coach.pk).is_in_research
    own = agreed[0]
    for _ in range(2):
        research_change(actor=own.user, slug=club.slug, is_in=False, now=NOW)
    told = AuditEvent.objects.filter(verb=Verb.RESEARCH, member=own.user).order_by("id")
    assert [(event.actor_id, event.detail) for event in told] == [
        (own.user_id, {"before": False, "after": True}),
        (own.user_id, {"before": True, "after": False}),
    ]


def test_those_in_it_read_that_it_was_taken(club):
    club, coach, agreed = club
    client = make_client(coach.user)
    answer = client.get(f"/clubs/{club.slug}/research.parquet")
    assert answer["Content-Type"] == "application/vnd.apache.parquet"
    assert answer["Content-Disposition"] == f'attachment; filename="{club.slug}-research.parquet"'
    frame = pd.read_parquet(io.BytesIO(answer.getvalue()))
    assert as_texts(frame) == of_frames(agreed)
    event = AuditEvent.objects.get(verb=Verb.EXPORT)
    assert (event.actor, event.club, event.member) == (coach.user, club, None)
    assert event.detail == {"what": "research", "n_members": MIN_MEMBERS}
    client.force_login(agreed[0].user)
    assert "a research export with the cases you met in it" in client.get("/privacy/").text
    client.force_login(coach.user)
    assert client.head(f"/clubs/{club.slug}/research.parquet").status_code == 200
    assert AuditEvent.objects.filter(verb=Verb.EXPORT).count() == 1


def test_it_is_counted_with_all_other_copies(club):
    club, coach, _ = club
    for _ in range(EXPORT.n_account):
        taken(coach, club)
    with pytest.raises(TooManyTriesError):
        taken(coach, club)


def test_a_member_says_yes_and_no_on_their_privacy_page(club):
    club, _, _ = club
    own = make_membership(club)
    client = make_client(own.user)
    for sent, is_in, words in (("yes", True, "may go"), ("", False, "do not go")):
        page = client.post(
            f"/clubs/{club.slug}/research/mine/", {"research": sent}, follow=True
        ).text
        assert f"The cases you met {words} into research exports of Riverbank." in page
        assert Membership.objects.get(pk=own.pk).is_in_research is is_in
    assert "ask a parent or guardian" in page
    assert "took back the word on research exports" in page
    told = client.get("/how/research/").text
    assert all(f"<code>{column.name}</code>" in told for column in COLUMNS)


def test_the_command_writes_the_same(club, tmp_path, capsys):
    club, coach, agreed = club
    path = tmp_path / "out.parquet"
    call_command("research_export", club.slug, str(path), coach=coach.user.username)
    assert as_texts(pd.read_parquet(path)) == of_frames(agreed)
    assert capsys.readouterr().out.endswith(" sightings.\n")
    with pytest.raises(CommandError, match="File exists"):
        call_command("research_export", club.slug, str(path), coach=coach.user.username)
    other = tmp_path / "other.parquet"
    for who, message in ((agreed[0].user.username, "no such club"), ("nobody", "Nobody signs in")):
        with pytest.raises(CommandError, match=message):
            call_command("research_export", club.slug, str(other), coach=who)
    with pytest.raises(CommandError, match="Name the club"):
        call_command("research_export", club.slug)
    assert not other.exists()
    call_command("research_export", dictionary=True)
    assert capsys.readouterr().out == dictionary_markdown()
