"""The coach's pages ask the database as often for fifty members, rows or cases as for one."""

from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from logs.lessons.services import LessonPlan, lesson_create
from tests.desk import CASE_40, make_homework, make_team, solves
from tests.factories import make_client, make_upload

pytestmark = pytest.mark.django_db

SESSION_AND_USER = 2


def n_queries(membership, address: str) -> int:
    client = make_client(membership.user)
    client.get(address)  # pictures are made once, looks noted once
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    return len(queries) - SESSION_AND_USER


@pytest.mark.parametrize("n", [1, 50])
def test_pages_of_a_club(n: int):
    club, coach, members = make_team(n)
    for member in members[:2]:
        make_upload(member.user, solves("10"))
    for _ in range(n):
        homework = make_homework(coach, members)
        plan = LessonPlan(
            date(2026, 3, 5), "Evening", "", tuple(m.pk for m in members), ((CASE_40, ""),)
        )
        lesson = lesson_create(actor=coach.user, slug=club.slug, plan=plan)
    desk, part = f"/clubs/{club.slug}/homework/", f"/homework/{homework.pk}/"
    lessons, planned = f"/clubs/{club.slug}/lessons/", f"/lessons/{lesson.pk}/"
    expected = {
        "/homework/": 2,  # what is asked, clubs coached
        # Club, rights, homework with cases, parts and excuses, members, book, sightings, rows of rates (2), looks.
        desk: 18,  # own place and groups for the choice of one
        f"{desk}new/": 22,  # the same with what was done since, and the coach's holds
        part: 17,  # and drills told of, practice answers, weeks (2), all it is set for
        f"{part}members/{members[0].pk}/": 26,  # before and since, the control cases, the holds
        lessons: 5,  # club, rights, lessons with cases and members
        f"{lessons}new/": 12,  # own place, groups, club, members (2), tallies, book, holds, last lesson
        planned: 11,  # and the book, its holds, who is in the club (2), tallies
        # What it is of; the club again with its book and names; the reader's colour.
        f"{part}sheet/": 11,
        f"{planned}sheet/": 15,
    }
    assert {address: n_queries(coach, address) for address in expected} == expected


@pytest.mark.parametrize("n", [1, 50])
def test_pages_of_a_member(n: int):
    _, coach, (member,) = make_team()
    for _ in range(n):
        make_homework(coach, [member])
    make_upload(member.user, solves("10" * n))
    assert n_queries(member, "/homework/") == 14
    assert n_queries(member, "/next-up/") == 25
    assert n_queries(coach, f"/members/{member.pk}/next-up/") == 30


@pytest.mark.parametrize("n", [1, 50])
def test_a_proposal(n: int):
    club, coach, members = make_team(n)
    for member in members[:2]:
        make_upload(member.user, solves("00"))
    chosen = "&".join(f"member={member.pk}" for member in members)
    assert n_queries(coach, f"/clubs/{club.slug}/lessons/new/?{chosen}") == 12
