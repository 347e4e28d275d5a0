"""The solves behind a figure: those it was made of, and no other."""

from datetime import timedelta

import pytest

from cubecore.cases import Stage
from cubecore.rows import Penalty
from logs.solves.models.solves import Solve
from logs.solves.selectors.solves import Behind, Window, solve_list
from tests.factories import LAST_PAIR, NOW, SUNE, T_PERM, make_row, make_upload, make_user

pytestmark = pytest.mark.django_db

LATER = NOW + timedelta(minutes=1)
ANTISUNE = "R U2 R' U' R U' R'"
TWO_LOOKS = (LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)  # opens with the wrong algorithm: a misfire


def lines(member, **chosen) -> list[int]:
    """Lines of the file, the first row's is 2; newest first."""
    return [solve.line for solve in solve_list(actor=member, member=member, **chosen)]


def test_of_a_case_those_looked_at_those_timed_and_those_timed_in_one_look():
    """By hand: the Sune of line 2 is plain, 3 has no times, 4 takes more looks."""
    member = make_user()
    rows = [make_row(), make_row(is_timed=False, done_at=LATER), make_row(*TWO_LOOKS)]
    make_upload(member, [*rows, make_row(LAST_PAIR, T_PERM)])
    of_sune = {"stage": Stage.OLL, "case": "27"}
    assert sorted(lines(member, **of_sune, behind=Behind.LOOKS)) == [2, 3, 4]
    assert sorted(lines(member, **of_sune, behind=Behind.TIMES)) == [2, 4]
    assert lines(member, **of_sune, behind=Behind.ONE_LOOK_TIMES) == [2]
    skipped = {"stage": Stage.OLL, "case": "skip"}
    assert lines(member, **skipped) == [5]
    assert lines(member, **skipped, behind=Behind.LOOKS) == []


def test_shares_are_of_solves_with_every_split_and_of_no_dnf_or_drill():
    member = make_user()
    rows = [
        make_row(),
        make_row(is_timed=False, done_at=LATER),
        make_row(penalty=Penalty.DNF, done_at=LATER + timedelta(minutes=1)),
        make_row(SUNE, T_PERM),
        make_row(LAST_PAIR, T_PERM),
    ]
    make_upload(member, rows)
    assert len(lines(member)) == len(rows)
    assert sorted(lines(member, behind=Behind.SPLITS)) == [2, 6]


def test_an_average_is_of_so_many_solves_up_to_its_last_drills_left_out():
    """The order is that of the Progress page: undated first, then by time."""
    member = make_user()
    rows = [make_row(done_at=NOW + timedelta(minutes=n)) for n in range(6)]
    rows[3] = make_row(SUNE, T_PERM, done_at=NOW + timedelta(minutes=3))
    make_upload(member, [*rows, make_row(done_at=None)])
    ids = dict(Solve.objects.values_list("line", "pk"))
    assert lines(member, window=Window(ids[7], 3)) == [7, 6, 4]
    assert lines(member, window=Window(ids[3], 5)) == [3, 2, 8]  # as many as there are
    assert lines(member, window=Window(ids[5], 3)) == []  # a drill ends no average
    other = make_user()
    make_upload(other)
    assert lines(other, window=Window(ids[7], 3)) == []


def test_a_span_holds_its_first_moment_and_not_its_last():
    member = make_user()
    rows = [make_row(done_at=NOW + timedelta(hours=n)) for n in range(3)]
    make_upload(member, [*rows, make_row(done_at=None)])
    assert lines(member, span=(NOW, NOW + timedelta(hours=2))) == [3, 2]
