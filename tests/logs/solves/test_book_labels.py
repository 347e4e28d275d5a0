"""Labels follow the book of the member's club."""

import pytest

from cubecore.cases import CaseId, Stage
from logs.algorithms.selectors import book_of_member
from logs.algorithms.services import algorithm_add
from logs.jobs.models import Job, JobKind
from logs.jobs.services import job_cancel
from logs.people.models import Membership
from logs.solves.models.solves import Sighting, Solve
from logs.solves.services import relabel
from logs.solves.services.relabel import club_relabel, solve_relabel
from tests.factories import (
    CORNER_CYCLE,
    LAST_PAIR,
    NOW,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = pytest.mark.django_db


def is_known() -> set[bool]:
    looks = [look for one in Sighting.objects.filter(stage="oll") for look in one.looks]
    return {look["known"] for look in looks}


def add(coach: Membership) -> None:
    algorithm_add(
        actor=coach.user,
        slug=coach.club.slug,
        case=CaseId(Stage.OLL, 27),
        text=CORNER_CYCLE,
        now=NOW,
    )


def test_a_log_is_labelled_by_the_book_of_the_members_club(coach):
    row = make_row(LAST_PAIR, CORNER_CYCLE, T_PERM)
    add(coach)
    make_upload(make_membership(coach.club).user, [row])
    assert is_known() == {True}
    assert Sighting.objects.get(stage="oll").algorithm == CORNER_CYCLE
    assert Solve.objects.get().book_version == book_of_member(member=coach.user).version


def test_a_club_is_relabelled_when_its_book_has_changed_and_no_other_club_is(coach, monkeypatch):
    row = make_row(LAST_PAIR, CORNER_CYCLE, T_PERM)
    make_upload(make_membership(coach.club).user, [row])
    make_upload(make_membership(make_club()).user, [row])
    assert is_known() == {False}
    add(coach)
    assert club_relabel(actor=coach.user, slug=coach.club.slug, now=NOW)
    assert is_known() == {False, True}
    assert Solve.objects.values("book_version").distinct().count() == 2
    # With nothing behind, nothing is begun, however many solves there are.
    monkeypatch.setattr(relabel, "RELABEL_LIMIT", 0)
    assert club_relabel(actor=coach.user, slug=coach.club.slug, now=NOW)
    assert not Job.objects.filter(kind=JobKind.RELABEL).exists()
    # Relabelling everybody gives each the labels of their own book.
    assert solve_relabel().n_changed == 0


def test_a_large_club_is_left_to_the_command(coach, monkeypatch):
    monkeypatch.setattr(relabel, "RELABEL_LIMIT", 1)
    make_upload(make_membership(coach.club).user, make_rows(2, LAST_PAIR, CORNER_CYCLE, T_PERM))
    add(coach)
    assert not club_relabel(actor=coach.user, slug=coach.club.slug, now=NOW)
    assert is_known() == {False}
    job_cancel(actor=coach.user, job_id=Job.objects.get(kind=JobKind.RELABEL).pk, now=NOW)
    monkeypatch.setattr(relabel, "RELABEL_LIMIT", 2)
    assert club_relabel(actor=coach.user, slug=coach.club.slug, now=NOW)
    assert is_known() == {True}
