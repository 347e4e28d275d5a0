"""A mended row is taken like any other; until then nothing of it is lost."""

from datetime import timedelta

import pytest

from logs.errors import ConflictError, NotFoundError
from logs.solves.models.solves import SetAsideRow, Solve, Upload
from logs.solves.selectors.solves import set_aside_list, upload_list
from logs.solves.services.uploads import set_aside_leave_out, set_aside_mend
from tests.factories import NOW, SUNE, T_PERM, make_csv, make_row, make_rows, make_upload, make_user

LATER = NOW + timedelta(days=1)
pytestmark = pytest.mark.django_db


def _line(row) -> str:
    return make_csv([row]).decode().split("\r\n")[1]


def _spoiled(row) -> str:
    """The row with a time that cannot be read."""
    return _line(row).replace('"7.670"', '"seven"')


def _upload(member, *lines: str) -> Upload:
    header = make_csv([]).decode()
    return make_upload(member, content=(header + "\r\n".join(lines)).encode())


def _mend(member, text: str, **more):
    (aside,) = SetAsideRow.objects.filter(upload__member=member)
    return set_aside_mend(actor=member, set_aside_id=aside.pk, text=text, now=LATER, **more)


def test_a_mended_row_is_taken_with_its_labels_under_its_own_line():
    member = make_user()
    good, bad = make_rows(2)
    upload = _upload(member, _line(good), _spoiled(bad))
    assert upload.set_aside_rows.get().text == _spoiled(bad)
    mended = _mend(member, _line(bad))
    assert mended.solve is not None
    assert (mended.solve.upload_id, mended.solve.line) == (upload.pk, 3)
    assert mended.solve.sightings.count() == 2
    upload.refresh_from_db()
    assert (upload.n_taken, upload.n_doubled, upload.n_set_aside) == (2, 0, 0)
    assert upload.set_aside_rows.get().mended_at == LATER


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [('"7.670"', '"eight"', "bad_time"), (T_PERM, SUNE, "not_solved"), (",", "", "cell_count")],
)
def test_a_row_that_is_still_wrong_changes_nothing_and_says_what_is(old, new, code):
    member, row = make_user(), make_row(is_timed=False)
    upload = _upload(member, _spoiled(row))
    problem = _mend(member, _line(row).replace(old, new)).problem
    assert problem is not None
    assert (problem.line, problem.code) == (2, code)
    upload.refresh_from_db()
    assert (upload.n_taken, upload.n_set_aside) == (0, 1)
    assert upload.set_aside_rows.get().text == _spoiled(row)
    assert upload.set_aside_rows.get().mended_at is None


def test_a_row_mended_into_a_solve_the_member_has_counts_as_doubled():
    member, row = make_user(), make_row()
    upload = _upload(member, _line(row), _spoiled(row))
    mended = _mend(member, _line(row))
    assert mended.is_doubled
    assert mended.solve == Solve.objects.get()
    upload.refresh_from_db()
    assert (upload.n_taken, upload.n_doubled, upload.n_set_aside) == (1, 1, 0)


def test_an_undated_row_counts_behind_its_like_even_when_those_came_in_another_file():
    member, row = make_user(), make_row(done_at=None)
    make_upload(member, [row, row])
    upload = _upload(member, _line(row), _line(row), _spoiled(row))
    assert (upload.n_taken, upload.n_doubled, upload.n_set_aside) == (0, 2, 1)
    assert not _mend(member, _line(row)).is_doubled
    assert Solve.objects.count() == 3
    again = make_upload(member, [row, row, row])  # the file as it should have been
    assert (again.n_taken, again.n_doubled) == (0, 3)


def test_two_undated_rows_mended_alike_are_two_solves():
    member, row = make_user(), make_row(done_at=None)
    upload = _upload(member, _spoiled(row), _spoiled(row))
    for aside in upload.set_aside_rows.all():
        set_aside_mend(actor=member, set_aside_id=aside.pk, text=_line(row), now=LATER)
    assert Solve.objects.count() == 2


def test_a_row_is_mended_once():
    member, row = make_user(), make_row()
    _upload(member, _spoiled(row))
    _mend(member, _line(row))
    with pytest.raises(ConflictError, match="taken already"):
        _mend(member, _line(row))


def test_the_row_of_another_is_not_there():
    row = make_row()
    upload = _upload(make_user(), _spoiled(row))
    aside = upload.set_aside_rows.get()
    with pytest.raises(NotFoundError, match="no such set-aside row"):
        set_aside_mend(actor=make_user(), set_aside_id=aside.pk, text=_line(row), now=LATER)


def test_a_row_is_mended_in_its_files_zone_and_format():
    member = make_user()
    content = b'{"scramble": "R U", "time": "x", "done_at": "2025-07-01 12:00"}\n'
    make_upload(member, content=content, time_zone="Europe/Oslo")
    mended = _mend(member, '{"scramble": "R U", "time": 5, "done_at": "2025-07-01 12:00"}')
    assert mended.solve is not None
    assert mended.solve.done_at is not None
    assert mended.solve.done_at.isoformat() == "2025-07-01T10:00:00+00:00"


def test_a_row_that_is_left_out_waits_no_more_and_can_still_be_mended():
    member, row = make_user(), make_row()
    upload = _upload(member, _spoiled(row))
    aside = upload.set_aside_rows.get()
    set_aside_leave_out(actor=member, set_aside_id=aside.pk, now=LATER)
    assert set_aside_list(actor=member) == []
    (listed,) = upload_list(actor=member)
    assert (listed.n_set_aside, vars(listed)["n_left_out"]) == (1, 1)
    assert _mend(member, _line(row)).solve is not None
    (listed,) = upload_list(actor=member)
    assert (listed.n_set_aside, vars(listed)["n_left_out"]) == (0, 0)
    with pytest.raises(ConflictError, match="taken already"):
        set_aside_leave_out(actor=member, set_aside_id=aside.pk, now=LATER)
    with pytest.raises(NotFoundError, match="no such set-aside row"):
        set_aside_leave_out(actor=make_user(), set_aside_id=aside.pk, now=LATER)
