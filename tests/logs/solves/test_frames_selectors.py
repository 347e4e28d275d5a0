"""Frames have their columns and dtypes, whatever is in them, and take one query each."""

import math
from datetime import timedelta

import pandas as pd
import pytest

from cubecore.results import Kind
from cubecore.rows import Penalty
from logs.errors import NotFoundError
from logs.people.models import Role, Visibility
from logs.solves.figures.frames import SIGHTING_COLUMNS, SOLVE_COLUMNS
from logs.solves.models.solves import Sighting
from logs.solves.selectors.frames import edge_steps, sighting_frame, solve_frame
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


def _has_columns(frame: pd.DataFrame, columns) -> bool:
    return {name: str(dtype) for name, dtype in frame.dtypes.items()} == dict(columns)


@pytest.mark.parametrize("n_rows", [0, 1, 50])
def test_columns_dtypes_and_queries_are_the_same_for_any_number_of_rows(
    n_rows, django_assert_num_queries
):
    member = make_user()
    if n_rows:
        make_upload(member, make_rows(n_rows))
    with django_assert_num_queries(1):
        solves = solve_frame(actor=member, member=member)
    with django_assert_num_queries(1):
        sightings = sighting_frame(actor=member, member=member)
    assert _has_columns(solves, SOLVE_COLUMNS)
    assert _has_columns(sightings, SIGHTING_COLUMNS)
    assert (len(solves), len(sightings)) == (n_rows, 2 * n_rows)


def test_a_skip_that_the_last_pair_was_made_to_bring_is_no_draw_of_chance():
    member = make_user()
    # A pair and a Sune from the back that share a turn (common practice, no source).
    brought = make_row(LAST_PAIR, "y' R U R2 U2 R U R' U R", T_PERM)
    clean = make_row(LAST_PAIR, T_PERM, done_at=NOW + timedelta(hours=1))
    make_upload(member, [brought, clean, make_row(done_at=NOW + timedelta(hours=2))])
    skips = Sighting.objects.filter(member=member, case="skip").order_by("skip")
    assert [sighting.skip for sighting in skips] == ["clean", "with_last_pair"]
    assert edge_steps(actor=member, member=member) == ["oriented", "oriented"]


def test_counted_times_and_splits_of_each_kind_of_row():
    member = make_user()
    timed = make_row(done_at=NOW)
    plus_two = make_row(penalty=Penalty.PLUS_TWO, done_at=NOW + timedelta(hours=1))
    dnf = make_row(LAST_PAIR, "R", penalty=Penalty.DNF, done_at=NOW + timedelta(hours=2))
    untimed = make_row(is_timed=False, done_at=None)
    make_upload(member, [dnf, plus_two, untimed, timed])
    frame = solve_frame(actor=member, member=member)
    assert list(frame["status"]) == ["solved", "solved", "plus_two", "dnf"]
    assert frame["done_at"].isna().tolist() == [True, False, False, False]
    assert frame["done_at"][1] == pd.Timestamp(NOW)
    assert frame["time_ms"][:3].tolist() == [7670, 7670, 9670]
    assert math.isnan(frame["time_ms"][3])
    splits = ["f2l_ms", "oll_recognition_ms", "oll_execution_ms", "pll_recognition_ms"]
    assert frame[splits].iloc[0].isna().all()
    assert frame[splits].iloc[1].tolist() == [1800, 1500, 900, 1500]
    parts = [*splits, "pll_execution_ms", "final_auf_ms"]
    assert sum(frame[parts].iloc[1].tolist()) == 7650  # the end of the last turn


def test_sightings_come_in_the_order_of_the_solves_and_kinds_are_never_mixed():
    member = make_user()
    later = make_row(LAST_PAIR, T_PERM, done_at=NOW + timedelta(hours=1))
    make_upload(member, [later, make_row(), make_row(SUNE, done_at=None)])
    met = sighting_frame(actor=member, member=member)
    assert met["case"].tolist() == ["27", "T", "skip", "T"]
    assert met["n_looks"].tolist() == [1, 1, 0, 1]
    assert met["is_one_look"].tolist() == [True, True, False, True]
    assert met["algorithm"].tolist() == [SUNE, T_PERM, "", T_PERM]
    drills = sighting_frame(actor=member, member=member, kind=Kind.DRILL)
    assert drills["case"].tolist() == ["27", "skip"]
    assert set(met["sighting_id"]) | set(drills["sighting_id"]) == set(
        Sighting.objects.values_list("id", flat=True)
    )


def test_frames_hold_one_member_and_are_shown_as_that_member_has_it():
    club = make_club()
    coach = make_membership(club, role=Role.COACH).user
    shown = make_membership(club, visibility=Visibility.COACH).user
    hidden = make_membership(club).user
    for member, n_rows in ((shown, 2), (hidden, 3)):
        make_upload(member, make_rows(n_rows))
    assert len(solve_frame(actor=coach, member=shown)) == 2
    assert len(sighting_frame(actor=coach, member=shown)) == 4
    with pytest.raises(NotFoundError):
        solve_frame(actor=coach, member=hidden)
    with pytest.raises(NotFoundError):
        sighting_frame(actor=coach, member=hidden)


def test_undated_solves_keep_the_order_of_their_file():
    member = make_user()
    make_upload(member, [make_row(LAST_PAIR, T_PERM, done_at=None), make_row(done_at=None)])
    met = sighting_frame(actor=member, member=member)
    assert met["case"].tolist() == ["skip", "T", "27", "T"]
    assert met["solve_id"].tolist() == sorted(met["solve_id"])
