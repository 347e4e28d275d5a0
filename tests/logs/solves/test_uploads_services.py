"""Every row of a file is taken, doubled or set aside, once, whatever is sent again."""

from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from cubecore.rows import FIELDS, Penalty
from logs.errors import UploadRejectedError
from logs.intake.reading import read_upload
from logs.intake.rows import Clock
from logs.intake.source import SourceFile
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload
from tests.factories import NOW, SENT_AT, make_csv, make_row, make_rows, make_upload, make_user

CLOCK = Clock(ZoneInfo("Europe/Oslo"), datetime(2100, 1, 1, tzinfo=UTC))

BROKEN = Path(__file__).parents[3] / "fixtures" / "uploads" / "broken"
VALID = BROKEN.parent / "valid"
pytestmark = pytest.mark.django_db


def _counts(upload: Upload) -> tuple[int, int, int]:
    upload.refresh_from_db()
    return upload.n_taken, upload.n_doubled, upload.n_set_aside


def test_the_rows_of_a_good_file_are_taken():
    member = make_user()
    upload = make_upload(member, make_rows(3))
    assert _counts(upload) == (3, 0, 0)
    assert upload.is_repeat is False
    assert bytes(upload.content) == make_csv(make_rows(3))
    solve = Solve.objects.filter(member=member).earliest("done_at")
    # Scrambled white up (WCA Regulations 4d), so the last layer is white and the cross yellow.
    assert (solve.status, solve.kind, solve.cross, solve.line) == ("solved", "solve", "yellow", 2)
    assert solve.done_at == NOW
    assert solve.time_ms == make_row().time_ms
    assert [(s.stage, s.case) for s in solve.sightings.order_by("stage")] == [
        ("oll", "27"),
        ("pll", "T"),
    ]


def test_the_same_file_again_is_the_same_upload():
    member = make_user()
    first = make_upload(member, make_rows(3))
    again = make_upload(member, make_rows(3), now=SENT_AT + timedelta(days=1))
    assert (again.pk, again.is_repeat) == (first.pk, True)
    assert again.received_at == SENT_AT
    assert Solve.objects.count() == 3


def test_two_members_may_send_the_same_file():
    assert _counts(make_upload(make_user())) == _counts(make_upload(make_user())) == (1, 0, 0)


def test_overlapping_files_take_each_solve_once():
    member = make_user()
    make_upload(member, make_rows(5))
    assert _counts(make_upload(member, make_rows(8)[3:])) == (3, 2, 0)
    assert Solve.objects.count() == 8
    assert Sighting.objects.count() == 16


def test_a_row_that_stands_twice_in_a_file_counts_once():
    row = make_row()
    assert _counts(make_upload(make_user(), [row, make_row(note="again"), row])) == (1, 2, 0)


def test_of_two_like_rows_the_first_is_stored_with_its_own_labels():
    timed, untimed = make_row(), make_row(is_timed=False)
    make_upload(make_user(), [timed, untimed])
    solve = Solve.objects.get()
    assert solve.turn_ms
    assert solve.f2l_ms is not None


def test_undated_rows_that_are_alike_are_all_taken_and_a_longer_file_adds_the_rest():
    member, row = make_user(), make_row(done_at=None)
    assert _counts(make_upload(member, [row, row])) == (2, 0, 0)
    assert _counts(make_upload(member, [row, row, row])) == (1, 2, 0)


def test_penalties_and_missing_solutions_are_stored():
    member = make_user()
    rows = [
        make_row(penalty=Penalty.PLUS_TWO),
        make_row("U", penalty=Penalty.DNF),
        make_row(penalty=Penalty.DNF),
    ]
    make_upload(member, rows)
    make_upload(member, content=(VALID / "least.csv").read_bytes())
    stored = Solve.objects.order_by("id").values_list("status", "kind", "reason")
    assert list(stored) == [
        ("plus_two", "solve", ""),
        ("dnf", "drill", ""),
        ("dnf", "solve", ""),
        ("solved", "", "no_solution"),
        ("solved", "", "no_solution"),
    ]


@pytest.mark.parametrize(
    ("name", "problems"),
    [
        (
            "solutions.csv",
            [
                (3, "not_solved", "solution"),
                (4, "off_by_one", "solution"),
                (5, "unknown_token", "solution"),
                (6, "open_group", "solution"),
                (7, "scramble_solved", "scramble"),
                (8, "unknown_token", "scramble"),
                (9, "not_solved", "solution"),
            ],
        ),
        (
            "turn_times.csv",
            [
                (2, "falling_turn_ms", "turn_ms"),
                (3, "bad_turn_ms", "turn_ms"),
                (4, "times_without_turns", "turn_ms"),
                (5, "turn_ms_count", "turn_ms"),
                (6, "turn_after_end", "turn_ms"),
            ],
        ),
    ],
)
def test_what_intake_and_engine_refuse_is_set_aside_in_the_order_of_the_file(name, problems):
    content = (BROKEN / name).read_bytes()
    upload = make_upload(make_user(), content=content)
    rows = list(upload.set_aside_rows.order_by("id"))
    assert [(row.line, row.code, row.field) for row in rows] == problems
    lines = content.decode().split("\n")
    assert [row.text for row in rows] == [lines[line - 1] for line, _, _ in problems]
    assert all(row.message for row in rows)


@pytest.mark.parametrize("path", sorted(BROKEN.iterdir()), ids=lambda path: path.name)
def test_every_broken_file_is_refused_whole_or_accounted_for_row_by_row(path):
    member = make_user()
    content = path.read_bytes()
    if refusal := read_upload(SourceFile(content), CLOCK).refusal:
        with pytest.raises(UploadRejectedError) as caught:
            make_upload(member, content=content, time_zone="Europe/Oslo")
        assert caught.value.problems == (refusal,)
        assert caught.value.message == refusal.message
        assert not Upload.objects.exists()
        return
    upload = make_upload(member, content=content, time_zone="Europe/Oslo")
    n_taken, n_doubled, n_set_aside = _counts(upload)
    assert n_taken + n_doubled + n_set_aside == upload.n_rows > 0
    assert n_taken == Solve.objects.filter(upload=upload).count()
    assert n_set_aside == SetAsideRow.objects.filter(upload=upload).count()


def test_names_of_files_are_cut_to_what_can_be_shown():
    member = make_user()
    for name, kept in [
        ("C:\\logs\\may.csv", "may.csv"),
        ("/tmp/\x00a\nb.csv", "ab.csv"),
        ("", "log"),
    ]:
        rows = [make_row(note=kept, done_at=NOW + timedelta(hours=Upload.objects.count()))]
        upload = make_upload(member, rows, file_name=name)
        assert upload.file_name == kept


class AnyFileTest(TestCase):
    """Property tests that store: each example in a transaction of its own."""

    @hypothesis_settings(max_examples=30, deadline=None)
    @given(
        st.lists(
            st.sampled_from(
                [
                    *(make_csv([row]).decode().split("\r\n")[1] for row in make_rows(3)),
                    make_csv([make_row(done_at=None)]).decode().split("\r\n")[1],
                    ",R U,1.00,,U,,",
                    ",R U,x,,,,",
                    '"',
                    ",",
                    "",
                ]
            ),
            max_size=12,
        ),
        st.integers(0, 12),
    )
    def test_taken_doubled_and_set_aside_are_all_the_rows(self, lines, cut):
        member = make_user()
        header = ",".join(FIELDS)
        for part in (lines[:cut], lines):  # what a file begins with is sent before the whole
            content = "\n".join([header, *part]).encode()
            upload = make_upload(member, content=content)
            assert sum(_counts(upload)) == upload.n_rows
        whole = {solve.key for solve in Solve.objects.filter(member=member)}
        other = make_user()
        make_upload(other, content="\n".join([header, *lines]).encode())
        assert whole == {solve.key for solve in Solve.objects.filter(member=other)}
