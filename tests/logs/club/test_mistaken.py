"""Who is named first, and what is counted as a pair, where cases are mistaken or shown."""

from datetime import timedelta

import pytest

from cubecore.cases import Stage
from logs.club.report.compare import CompareChoice, compare_report
from logs.club.report.mistaken import club_mistaken_report, member_mistaken_report
from logs.people.models import Club, Membership, Role, Visibility
from logs.people.sight import club_sight, sight_of
from logs.stats.rates import probability_of_lean
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_upload,
)

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"
SUNE_MISTAKEN = (LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)
ANTISUNE_MISTAKEN = (LAST_PAIR, SUNE, ANTISUNE, ANTISUNE, T_PERM)
SUNE_KNOWN = (LAST_PAIR, SUNE, T_PERM)
ANTISUNE_KNOWN = (LAST_PAIR, ANTISUNE, T_PERM)
# OLL 45, taken back and done again a quarter turn on.
HELD_WRONG = (LAST_PAIR, "F R U R' U' F'", "F U R U' R' F'", "U F R U R' U' F'", T_PERM)


def add(club: Club, name: str, *kinds: tuple[tuple[str, ...], int]) -> Membership:
    """A member who shows a log of so many rows of each kind, a minute apart."""
    member = make_membership(club, visibility=Visibility.CLUB)
    member.display_name = name
    member.save()
    parts = [part for part, n in kinds for _ in range(n)]
    rows = [make_row(*part, done_at=NOW + timedelta(minutes=n)) for n, part in enumerate(parts)]
    make_upload(member.user, rows)
    return member


def test_the_pair_with_the_largest_share_of_solves_comes_first_then_learners_by_name():
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    both = (SUNE_KNOWN, 5), (ANTISUNE_KNOWN, 5)
    one_mistaken = (SUNE_KNOWN, 1), (SUNE_MISTAKEN, 4)
    both_mistaken = *one_mistaken, (ANTISUNE_KNOWN, 1), (ANTISUNE_MISTAKEN, 4)
    members = [
        add(club, "Bea", *both),
        add(club, "Ann", *both),
        add(club, "Dan", *one_mistaken),
        add(club, "Cy", *one_mistaken),
        add(club, "Zoe", *both_mistaken),
    ]
    ids = tuple(member.pk for member in members)
    choice = CompareChoice(stage=Stage.OLL, membership_ids=ids)
    report = compare_report(actor=coach.user, slug=club.slug, choice=choice)
    assert [
        (one.learner.name, one.teacher.name, round(216 * one.share)) for one in report.teachings
    ] == [
        ("Zoe", "Ann", 8),
        ("Zoe", "Bea", 8),
        ("Cy", "Ann", 4),
        ("Cy", "Bea", 4),
        ("Dan", "Ann", 4),
        ("Dan", "Bea", 4),
    ]


def test_who_mistook_a_case_most_often_is_named_first_then_by_name():
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    for name, n in (("Ann", 2), ("Zoe", 2), ("Mia", 4), ("Bo", 2)):
        add(club, name, (SUNE_KNOWN, 1), (SUNE_MISTAKEN, n))
    lines = club_mistaken_report(view=club_sight(actor=coach.user, slug=club.slug)).lines
    (line,) = (*lines.other_case, *lines.too_few)
    assert [(one.member.name, one.n_events) for one in line.by] == [
        ("Mia", 4),
        ("Ann", 2),
        ("Bo", 2),
        ("Zoe", 2),
    ]


def test_a_wrong_hold_is_no_pair_of_cases_to_pick_from():
    """The lean is weighed against as many pairs as there are: one, whatever else is held wrong."""
    kinds = [(SUNE_KNOWN, 6), (ANTISUNE_KNOWN, 12), (SUNE_MISTAKEN, 10), (ANTISUNE_MISTAKEN, 4)]
    member = add(make_club(), "Ann", *kinds, (HELD_WRONG, 3)).user
    lines = member_mistaken_report(member=sight_of(actor=member)).lines
    every = (*lines.other_case, *lines.wrong_hold, *lines.too_few)
    assert [(line.case.number, line.n_events) for line in every if line.is_wrong_hold] == [
        ("45", 3)
    ]
    line = next(line for line in every if (line.case.number, line.done.number) == ("27", "26"))
    assert (line.n_events, line.n, line.n_back, line.n_back_of) == (10, 16, 4, 16)
    assert line.p_lean == pytest.approx(probability_of_lean((10, 16), (4, 16), n_pairs=1))
    assert line.p_lean != pytest.approx(probability_of_lean((10, 16), (4, 16), n_pairs=2), abs=0.01)
