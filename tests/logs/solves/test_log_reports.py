"""What a log's pages and endpoints are answered with, straight from the selectors and reports."""

from dataclasses import replace
from datetime import timedelta

import pytest

from cubecore.endings import Status
from cubecore.results import Kind
from cubecore.rows import Penalty
from logs.errors import NotFoundError
from logs.intake.mapping import Role, Unit, header_key
from logs.intake.source import SourceFile
from logs.people.models import Membership
from logs.people.models import Role as ClubRole
from logs.solves.models.solves import SetAsideRow, Solve
from logs.solves.report.log import (
    log_report,
    set_aside_page,
    upload_of_row,
    upload_page,
    upload_report,
)
from logs.solves.report.mapping import kept_line, kept_lines, mapping_report, waiting_files
from logs.solves.report.solves import solves_report
from logs.solves.selectors.solves import (
    kept_mapping_for,
    kept_mapping_get,
    upload_of_digest,
    usable_mapping_get,
    usual_last_colour,
)
from logs.solves.services.drafts import draft_add
from logs.solves.services.mappings import mapping_keep
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
    make_user,
)
from tests.logs.solves.test_mapped_uploads import MAPPING, add, in_dialect, keep

pytestmark = pytest.mark.django_db

BAD_LINE = b"2026-03-01T13:00:00Z,R U,,,,,\r\n"


def test_of_two_kept_mappings_of_one_shape_the_one_changed_last_is_taken():
    member = make_user()
    first = mapping_keep(actor=member, mapping=MAPPING, name="Old", slug="", now=NOW)
    in_hundredths = replace(MAPPING, time_unit=Unit.CENTISECONDS)
    later = NOW + timedelta(hours=1)
    second = mapping_keep(actor=member, mapping=in_hundredths, name="New", slug="", now=later)
    key = header_key(MAPPING)
    assert kept_mapping_for(actor=member, header_key=key) == second
    latest = later + timedelta(hours=1)
    mapping_keep(actor=member, mapping=MAPPING, name="Old", slug="", now=latest)
    assert kept_mapping_for(actor=member, header_key=key) == first
    draft = draft_add(
        actor=member, source=SourceFile(in_dialect(make_rows(2))), file_name="x", now=latest
    )
    assert (draft.kept_name, draft.mapping["time_unit"]) == ("Old", "s")


def test_a_kept_mapping_is_used_by_its_club_and_changed_by_its_maker_and_coaches(
    member: Membership,
):
    kept = keep(member.user, "Sheet", member.club.slug)
    clubmate = make_membership(member.club).user
    coach = make_membership(member.club, role=ClubRole.COACH).user
    for reader, may_change in ((member.user, True), (clubmate, False), (coach, True)):
        line = kept_line(actor=reader, mapping_id=kept.pk)
        assert (line.name, line.may_change) == ("Sheet", may_change)
        assert line.club is not None
        assert line.club.slug == member.club.slug
        assert [column.role for column in line.columns] == [
            Role.SCRAMBLE, Role.TIME, Role.SOLUTION, Role.DONE_AT,
        ]  # fmt: skip
        assert kept_lines(actor=reader) == (line,)
    assert kept_mapping_get(actor=coach, mapping_id=kept.pk) == kept
    with pytest.raises(NotFoundError):
        kept_mapping_get(actor=clubmate, mapping_id=kept.pk)
    with pytest.raises(NotFoundError):
        usable_mapping_get(actor=make_user(), mapping_id=kept.pk)


def test_a_waiting_file_says_when_it_came_and_how_long_it_waits():
    member = make_user()
    draft = add(member)
    (line,) = waiting_files(actor=member, now=NOW)
    week = timedelta(days=7) - timedelta(minutes=1)
    assert (line.sent_at, line.waits_until) == (NOW, NOW + week)
    report = mapping_report(actor=member, draft_id=draft.pk, now=NOW)
    assert (report.waits_until, report.mapping.roles[0]) == (NOW + week, Role.SCRAMBLE)
    assert waiting_files(actor=make_user(), now=NOW) == ()
    with pytest.raises(NotFoundError):
        mapping_report(actor=make_user(), draft_id=draft.pk, now=NOW)


def test_a_log_at_a_glance():
    member = make_user()
    drill = make_row("R U R' U R U2 R'", gap_ms=10)
    slow = make_row(done_at=NOW + timedelta(days=1))._replace(penalty=Penalty.PLUS_TWO)
    make_upload(member, [*make_rows(4), drill, slow])
    report = log_report(actor=member, now=NOW)
    assert (report.n_solves, report.n_drills, report.n_uploads) == (5, 1, 1)
    newest = report.solves[0]
    assert (newest.status, newest.kind) == (Status.PLUS_TWO, Kind.SOLVE)
    assert newest.counted_ms == newest.time_ms + 2_000  # WCA Regulations 10e3, from memory
    assert newest.oll is not None
    assert (newest.oll.number, newest.oll.n_looks, newest.oll.is_one_look) == ("27", 1, True)


def test_what_became_of_an_upload_adds_up():
    member = make_user()
    upload = make_upload(member, content=make_csv(make_rows(2)) + 53 * BAD_LINE)
    report = upload_report(actor=member, upload_id=upload.pk, now=NOW)
    line = report.upload
    assert line.n_taken + line.n_doubled + line.n_set_aside == line.n_rows == 55
    assert (len(report.rows), report.n_more_rows) == (50, 3)
    assert report.separator.join(report.columns).startswith("done_at,scramble,time")
    first = report.rows[0]
    assert (first.line, first.field, first.turn) == (4, "time", None)
    assert [cell.name for cell in first.cells if cell.is_marked] == ["time"]
    row = SetAsideRow.objects.get(line=4)
    assert first.code == row.code
    assert upload_of_row(actor=member, set_aside_id=row.pk) == upload.pk
    page = set_aside_page(actor=member, upload_id=upload.pk, now=NOW, page=9)
    assert (page.n, page.page, page.n_pages, len(page.lines)) == (53, 2, 2, 3)
    uploads = upload_page(actor=member, page=9)
    assert (uploads.n, uploads.page, [one.id for one in uploads.lines]) == (1, 1, [upload.pk])
    for stranger_asks in (upload_report, set_aside_page):
        with pytest.raises(NotFoundError):
            stranger_asks(actor=make_user(), upload_id=upload.pk, now=NOW)
    assert upload_page(actor=make_user()).n == 0


def test_an_upload_is_known_by_its_bytes():
    member, other = make_user(), make_user()
    upload = make_upload(member, make_rows(2))
    assert upload_of_digest(actor=member, digest=upload.sha256) == upload
    assert upload_of_digest(actor=other, digest=upload.sha256) is None


def test_the_last_layer_is_the_colour_across_from_most_crosses():
    """White lies across from yellow, red from orange (common practice, no source)."""
    member = make_user()
    assert usual_last_colour(actor=member) == "yellow"
    make_upload(member, [make_row(LAST_PAIR, SUNE, T_PERM)])
    cross = Solve.objects.get().cross
    opposite = {"white": "yellow", "yellow": "white", "red": "orange", "orange": "red",
                "green": "blue", "blue": "green"}  # fmt: skip
    assert usual_last_colour(actor=member) == opposite[cross]


def test_a_page_of_solves_says_what_it_is_filtered_by():
    member = make_user()
    make_upload(member, [make_row(SUNE, T_PERM), make_row(LAST_PAIR, T_PERM)])
    report = solves_report(actor=member, kind="drill", case="oll-27")
    assert (report.kind, report.case_code, report.n) == (Kind.DRILL, "oll-27", 1)
    assert report.is_filtered
    everything = solves_report(actor=member, kind="race", case="oll-99")
    assert (everything.kind, everything.case, everything.is_filtered) == (None, None, False)
    skips = solves_report(actor=member, case="oll-skip")
    assert [line.oll and line.oll.title for line in skips.lines] == ["OLL skip"]
    stranger = make_membership(make_club())
    with pytest.raises(NotFoundError):
        solves_report(actor=member, membership_id=stranger.pk)
