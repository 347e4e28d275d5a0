"""Files that wait, mappings that are kept, and what is read by them; with a real database."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from clubsite.accounts.models import User
from cubecore.rows import Row, format_time_exactly
from logs.errors import ConflictError, NotFoundError, UploadRejectedError
from logs.intake.mapping import (
    ColumnMapping,
    DateOrder,
    Role,
    Unit,
    header_key,
    mapping_from_json,
    mapping_to_json,
)
from logs.intake.source import SourceFile
from logs.people.models import Membership
from logs.people.models import Role as ClubRole
from logs.privacy.report.export import account_copy, file_as_sent
from logs.solves.models.solves import KeptMapping, SetAsideRow, Solve, Upload, UploadDraft
from logs.solves.report.log import set_aside_file
from logs.solves.selectors.solves import (
    DRAFT_LIFE,
    draft_get,
    draft_list,
    kept_mapping_for,
    kept_mapping_list,
)
from logs.solves.services import mappings
from logs.solves.services.drafts import (
    MAX_DRAFTS,
    draft_add,
    draft_answer,
    draft_discard,
    draft_guess,
)
from logs.solves.services.ingest import upload_read
from logs.solves.services.mappings import (
    MAX_KEPT,
    mapping_forget,
    mapping_keep,
    mapping_of,
    mapping_rename,
)
from logs.solves.services.uploads import set_aside_mend, upload_import
from tests.factories import NOW, make_club, make_membership, make_rows, make_upload, make_user

pytestmark = pytest.mark.django_db

OSLO = ZoneInfo("Europe/Oslo")
MAPPING = ColumnMapping(
    encoding="cp1252",
    separator=";",
    roles=(Role.SCRAMBLE, Role.TIME, Role.SOLUTION, Role.DONE_AT, None),
    names=("Blend", "Zeit", "Lösung", "Am", "Ort"),
    decimal_mark=",",
    time_unit=Unit.SECONDS,
    date_order=DateOrder.DAY_FIRST,
)


def in_dialect(rows: Sequence[Row], *, place: str = "zu Hause") -> bytes:
    lines = [";".join(MAPPING.names)]
    for row in rows:
        assert row.done_at is not None
        day = f"{row.done_at[8:10]}.{row.done_at[5:7]}.{row.done_at[:4]} {row.done_at[11:19]} Z"
        time = format_time_exactly(row.time_ms).replace(".", ",")
        lines.append(";".join([row.scramble, time, row.solution or "", day, place]))
    return "\r\n".join(lines).encode("cp1252")


def mapped_upload(member: User, content: bytes) -> Upload:
    return upload_import(
        member=member,
        source=SourceFile(content),
        file_name="Heft.csv",
        time_zone=OSLO,
        now=NOW,
        mapping=MAPPING,
    )


def add(actor: User, number: int = 0) -> UploadDraft:
    content = f"mixed;took\nR U F' D;{number},34\n".encode()
    return draft_add(
        actor=actor, source=SourceFile(content), file_name=f"a/b/{number}.csv", now=NOW
    )


def keep(actor: User, name: str = "Sheet", slug: str = "") -> KeptMapping:
    return mapping_keep(actor=actor, mapping=MAPPING, name=name, slug=slug, now=NOW)


def test_a_mapped_file_gives_the_very_solves_of_our_own_format():
    first, second = make_user(), make_user()
    rows = make_rows(4)
    make_upload(first, rows)
    upload = mapped_upload(second, in_dialect(rows))
    assert (upload.n_rows, upload.n_taken) == (4, 4)
    assert upload.format == "mapped"
    keys = [
        set(Solve.objects.filter(member=user).values_list("key", flat=True))
        for user in (first, second)
    ]
    assert keys[0] == keys[1]
    # One solve in two dialects counts once.
    assert mapped_upload(first, in_dialect(rows)).n_doubled == 4


def test_the_bytes_and_the_mapping_are_kept_so_that_it_can_be_read_again(member: Membership):
    content = in_dialect(make_rows(3), place="Straße")
    upload = Upload.objects.get(pk=mapped_upload(member.user, content).pk)
    assert bytes(upload.content) == content
    assert mapping_of(upload) == MAPPING
    assert [read.row.time_ms for read in upload_read(upload).rows] == list(
        Solve.objects.filter(upload=upload).order_by("line").values_list("time_ms", flat=True)
    )
    assert file_as_sent(actor=member.user, upload_id=upload.pk) == (
        f"sent-{upload.pk}.csv",
        "text/csv",
        content,
    )
    assert account_copy(actor=member.user)["uploads"][0]["mapping"]["separator"] == ";"


def test_a_row_set_aside_is_mended_in_its_files_own_form(member: Membership):
    content = in_dialect(make_rows(2)) + b"\r\nR U;1x,5;;01.03.2026 18:05;zu Hause"
    upload = mapped_upload(member.user, content)
    assert (upload.n_taken, upload.n_set_aside) == (2, 1)
    name, text = set_aside_file(actor=member.user, upload_id=upload.pk)
    assert name == f"set-aside-{upload.pk}.csv"
    assert text.splitlines()[0] == '"Blend";"Zeit";"Lösung";"Am";"Ort"'
    row = SetAsideRow.objects.get()
    assert "Column 2 “Zeit”: '1x,5' cannot be taken" in row.message
    mended = set_aside_mend(
        actor=member.user, set_aside_id=row.pk, text=row.text.replace("1x", "1"), now=NOW
    )
    assert mended.solve is not None
    assert mended.solve.time_ms == 1_500


def test_a_file_that_the_mapping_does_not_fit_is_refused_whole(member: Membership):
    with pytest.raises(UploadRejectedError, match="names other columns"):
        mapped_upload(member.user, b"Zeit;Blend\n1,5;R U F")
    assert not Upload.objects.exists()


def test_the_database_keeps_a_mapping_with_each_mapped_file_alone(member: Membership):
    upload = mapped_upload(member.user, in_dialect(make_rows(1)))
    for changed in ({"mapping": None}, {"format": "csv"}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Upload.objects.filter(pk=upload.pk).update(**changed)


def test_a_file_waits_with_its_bytes_and_a_guess(member: Membership):
    draft = add(member.user)
    assert bytes(draft.content) == b"mixed;took\nR U F' D;0,34\n"
    assert draft.file_name == "0.csv"
    mapping = mapping_from_json(draft.mapping)
    assert mapping.roles == (Role.SCRAMBLE, Role.TIME)
    assert draft.reasons["separator"]
    assert add(member.user).pk == draft.pk  # the same bytes wait once
    assert draft_list(actor=make_user(), now=NOW) == []
    with pytest.raises(NotFoundError):
        draft_get(actor=make_user(), draft_id=draft.pk, now=NOW)


def test_what_is_said_is_kept_and_other_columns_are_guessed_anew(member: Membership):
    content = b"a;b;c\nR U F' D;12,34;14/03/2026\nR U F' D;13,34;15/03/2026\n"
    draft = draft_add(actor=member.user, source=SourceFile(content), file_name="x", now=NOW)
    assert mapping_from_json(draft.mapping).date_order is DateOrder.DAY_FIRST
    roles = (Role.SCRAMBLE, Role.TIME, None)
    said = {"decimal_mark": ".", "date_order": DateOrder.MONTH_FIRST}
    draft = draft_answer(actor=member.user, draft_id=draft.pk, roles=roles, answers=said, now=NOW)
    mapping = mapping_from_json(draft.mapping)
    assert (mapping.roles, mapping.decimal_mark) == (roles, ".")
    assert mapping.date_order is None  # no column holds dates now
    draft = draft_guess(
        actor=member.user,
        draft_id=draft.pk,
        now=NOW,
        encoding="utf-8",
        separator=";",
        n_before=1,
        has_header=False,
    )
    mapping = mapping_from_json(draft.mapping)
    assert (mapping.n_before, mapping.names) == (1, ())
    assert mapping.roles == (Role.SCRAMBLE, Role.TIME, Role.DONE_AT)
    with pytest.raises(NotFoundError):
        draft_answer(actor=make_user(), draft_id=draft.pk, roles=roles, answers={}, now=NOW)


@pytest.mark.parametrize("separator", [",", "|"])  # one column, and more than there were
def test_what_is_said_of_columns_that_were_cut_anew_meanwhile_is_refused(
    member: Membership, separator: str
):
    content = b"a;b\nR U|F'|D;12.34\nR U|F'|D;13.34\n"
    draft = draft_add(actor=member.user, source=SourceFile(content), file_name="x", now=NOW)
    seen = mapping_from_json(draft.mapping).roles
    cut = {"encoding": "utf-8", "separator": separator, "n_before": 0, "has_header": True}
    before = draft_guess(actor=member.user, draft_id=draft.pk, now=NOW, **cut)
    assert len(mapping_from_json(before.mapping).roles) != len(seen)
    with pytest.raises(ConflictError, match=r"^The file was cut into other columns meanwhile"):
        draft_answer(actor=member.user, draft_id=draft.pk, roles=seen, answers={}, now=NOW)
    assert draft_get(actor=member.user, draft_id=draft.pk, now=NOW).mapping == before.mapping


def test_files_that_wait_are_bounded_and_forgotten_in_time(member: Membership):
    for number in range(MAX_DRAFTS):
        add(member.user, number)
    with pytest.raises(ConflictError, match=r"^5 files wait already"):
        add(member.user, 99)
    draft_discard(actor=member.user, draft_id=draft_list(actor=member.user, now=NOW)[0].pk, now=NOW)
    add(member.user, 99)
    late = NOW + DRAFT_LIFE
    assert draft_list(actor=member.user, now=late) == []
    with pytest.raises(NotFoundError):
        draft_discard(actor=member.user, draft_id=UploadDraft.objects.earliest("pk").pk, now=late)
    draft_add(actor=make_user(), source=SourceFile(b"mix;t\nR U F,1.5\n"), file_name="", now=late)
    assert UploadDraft.objects.count() == 1


def test_the_next_file_of_that_shape_is_filled_in_from_what_is_kept(member: Membership):
    keep(member.user, "Heft", member.club.slug)
    content = in_dialect(make_rows(1)).decode("cp1252").replace("Am", "AM").encode()
    draft = draft_add(actor=member.user, source=SourceFile(content), file_name="x.csv", now=NOW)
    assert draft.kept_name == "Heft"
    filled = mapping_from_json(draft.mapping)
    # What is the file's own is taken from the file: this one is in UTF-8.
    assert filled == replace(MAPPING, encoding="utf-8", names=filled.names)
    assert filled.names[3] == "AM"
    clubmate = make_membership(member.club).user
    assert (
        draft_add(actor=clubmate, source=SourceFile(content), file_name="x", now=NOW).kept_name
        == "Heft"
    )
    assert (
        draft_add(actor=make_user(), source=SourceFile(content), file_name="x", now=NOW).kept_name
        == ""
    )


def test_a_kept_mapping_is_the_makers_and_the_coaches_to_change(member: Membership):
    coach = make_membership(member.club, role=ClubRole.COACH).user
    clubmate = make_membership(member.club).user
    stranger = make_membership(make_club(), role=ClubRole.OWNER).user
    kept = keep(member.user, "Heft", member.club.slug)
    assert header_key(MAPPING) == kept.header_key
    assert [one.pk for one in kept_mapping_list(actor=clubmate)] == [kept.pk]
    assert kept_mapping_list(actor=stranger) == []
    for actor in (clubmate, stranger):
        with pytest.raises(NotFoundError):
            mapping_rename(actor=actor, mapping_id=kept.pk, name="Mine", now=NOW)
        with pytest.raises(NotFoundError):
            mapping_forget(actor=actor, mapping_id=kept.pk)
    with pytest.raises(ConflictError, match="kept by somebody else in Riverbank: choose another"):
        keep(clubmate, " Heft ", member.club.slug)
    with pytest.raises(NotFoundError):
        keep(stranger, "Heft", member.club.slug)
    assert (
        mapping_rename(actor=coach, mapping_id=kept.pk, name="Notizen", now=NOW).name == "Notizen"
    )
    later = NOW + timedelta(hours=1)
    again = mapping_keep(
        actor=coach,
        mapping=replace(MAPPING, decimal_mark="."),
        name="Notizen",
        slug=member.club.slug,
        now=later,
    )
    assert (again.pk, again.made_by, again.changed_at) == (kept.pk, member.user, later)
    Membership.objects.filter(pk=member.pk).delete()
    with pytest.raises(NotFoundError):  # who left has no say
        mapping_forget(actor=member.user, mapping_id=kept.pk)
    assert mapping_forget(actor=coach, mapping_id=kept.pk) == "Notizen"


def test_somebody_in_no_club_keeps_one_for_themselves():
    alone = make_user()
    kept = keep(alone, "Mine")
    assert (kept.club, kept.member) == (None, alone)
    assert kept_mapping_list(actor=make_user()) == []
    assert keep(alone, "Mine").pk == kept.pk
    assert account_copy(actor=alone)["kept_mappings"][0]["name"] == "Mine"


def test_names_are_bounded_and_stand_for_one(member: Membership):
    first, second = keep(member.user, "One"), keep(member.user, "Two")
    with pytest.raises(ConflictError, match="“One” is the name of another one"):
        mapping_rename(actor=member.user, mapping_id=second.pk, name="One", now=NOW)
    for name in (" \x00 ", "x" * 61):
        with pytest.raises(ValidationError):
            mapping_rename(actor=member.user, mapping_id=first.pk, name=name, now=NOW)
        with pytest.raises(ValidationError):
            keep(member.user, name)
    for number in range(MAX_KEPT - 2):
        keep(member.user, f"Number {number}")
    with pytest.raises(ConflictError, match="At most 50 mappings are kept"):
        keep(member.user, "One more")


@pytest.mark.parametrize("lock", ["lock_log", "lock_club"])
def test_a_mapping_that_was_forgotten_while_its_names_were_held_is_not_there(
    member: Membership, monkeypatch: pytest.MonkeyPatch, lock: str
):
    kept = keep(member.user, slug=member.club.slug if lock == "lock_club" else "")
    monkeypatch.setattr(mappings, lock, lambda _: KeptMapping.objects.all().delete())
    with pytest.raises(NotFoundError):
        mapping_rename(actor=member.user, mapping_id=kept.pk, name="Other", now=NOW)
    kept.save()
    with pytest.raises(NotFoundError):
        mapping_forget(actor=member.user, mapping_id=kept.pk)


def test_the_database_keeps_each_mapping_somebodys():
    with pytest.raises(IntegrityError), transaction.atomic():
        KeptMapping.objects.create(
            name="x", header_key="x", mapping=mapping_to_json(MAPPING), changed_at=NOW
        )


def test_of_two_kept_mappings_for_one_shape_the_one_changed_last_is_taken(member: Membership):
    first = keep(member.user, "Heft", member.club.slug)
    keep(member.user, "Mine", "")
    found = kept_mapping_for(actor=member.user, header_key=first.header_key)
    assert found is not None
    assert found.name == "Mine"  # made last
    mapping_rename(actor=member.user, mapping_id=first.pk, name="Book", now=NOW + timedelta(days=1))
    found = kept_mapping_for(actor=member.user, header_key=first.header_key)
    assert found is not None
    assert found.name == "Book"
