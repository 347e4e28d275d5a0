"""Solves are read by those who may, page by page, in a fixed number of queries."""

from datetime import timedelta

import pytest

from cubecore.cases import Stage
from cubecore.results import Kind
from logs.errors import NotFoundError
from logs.people.models import Role, Visibility
from logs.solves.models.solves import Solve
from logs.solves.selectors.solves import solve_get, solve_list
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_rows,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db


def test_newest_first_and_undated_last():
    member = make_user()
    make_upload(member, [make_row(done_at=None), *make_rows(2), make_row(SUNE, done_at=None)])
    shown = solve_list(actor=member, member=member)
    moments = [solve.done_at for solve in shown]
    assert moments == [NOW + timedelta(minutes=1), NOW, None, None]
    assert [solve.line for solve in shown] == [4, 3, 5, 2]


@pytest.mark.parametrize("n_rows", [1, 50])
def test_a_page_is_three_queries_whatever_its_length(n_rows, django_assert_num_queries):
    member = make_user()
    make_upload(member, make_rows(n_rows))
    with django_assert_num_queries(3):
        shown = solve_list(actor=member, member=member)
        assert sum(len(solve.sightings.all()) for solve in shown) == 2 * n_rows


def test_pages_past_the_end_are_the_last():
    member = make_user()
    make_upload(member, make_rows(5))
    page = solve_list(actor=member, member=member, page=9, page_size=2)
    assert (page.number, len(page), page.paginator.count) == (3, 1, 5)


def test_solves_are_told_by_kind_and_by_the_case_they_met():
    member = make_user()
    make_upload(member, [make_row(SUNE, T_PERM), make_row(LAST_PAIR, T_PERM), make_row()])

    def lines(**chosen) -> set[int]:
        return {solve.line for solve in solve_list(actor=member, member=member, **chosen)}

    assert lines(kind=Kind.DRILL) == {2}
    assert lines(kind=Kind.SOLVE) == {3, 4}
    assert lines(stage=Stage.OLL, case="27") == {2, 4}
    assert lines(stage=Stage.OLL, case="skip") == {3}
    assert lines(stage=Stage.PLL, case="T", kind=Kind.SOLVE) == {3, 4}
    assert lines(stage=Stage.PLL, case="27") == set()


def test_solves_are_shown_as_their_member_has_it():
    club = make_club()
    coach = make_membership(club, role=Role.COACH).user
    shown = make_membership(club, visibility=Visibility.COACH).user
    hidden = make_membership(club).user
    for member in (shown, hidden):
        make_upload(member)
    solve = Solve.objects.get(member=shown)
    assert list(solve_list(actor=coach, member=shown)) == [solve]
    assert solve_get(actor=coach, solve_id=solve.pk).member == shown
    with pytest.raises(NotFoundError, match=r"^There is no such member\.$"):
        solve_list(actor=coach, member=hidden)
    for actor, pk in [
        (coach, Solve.objects.get(member=hidden).pk),
        (coach, 999_999),
        (hidden, solve.pk),
    ]:
        with pytest.raises(NotFoundError, match=r"^There is no such solve\.$"):
            solve_get(actor=actor, solve_id=pk)


def test_a_solve_comes_with_its_sightings_oll_first(django_assert_num_queries):
    member = make_user()
    make_upload(member)
    pk = Solve.objects.get().pk
    with django_assert_num_queries(2):
        solve = solve_get(actor=member, solve_id=pk)
        assert [sighting.stage for sighting in solve.sightings.all()] == ["oll", "pll"]


def test_a_locked_account_reads_nothing():
    member = make_user()
    make_upload(member)
    member.is_active = False
    with pytest.raises(NotFoundError):
        solve_get(actor=member, solve_id=Solve.objects.get().pk)
    with pytest.raises(NotFoundError):
        solve_list(actor=member, member=member)
