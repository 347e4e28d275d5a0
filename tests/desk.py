"""What tests of homework, lists and lessons are built from: solves of one case, in one look or two."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from cubecore.cases import CASES, CaseId, Stage
from cubecore.rows import Row
from logs.homework.models import Homework
from logs.homework.plan import Plan
from logs.homework.services import homework_set
from logs.lessons.models import Lesson
from logs.lessons.services import LessonPlan, lesson_create
from logs.people.models import Club, Membership, Role, Visibility
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

CASE_40 = CaseId(Stage.OLL, 40)
CASE_27 = CaseId(Stage.OLL, 27)
CASE_T = CaseId(Stage.PLL, "T")
EDGES_FIRST = "F R U R' U' F'"
TWO_LOOKS = (LAST_PAIR, EDGES_FIRST, SUNE, T_PERM)  # OLL 40: its edges first, then Sune
ONE_LOOK = (LAST_PAIR, CASES[CASE_40].algorithms[0], T_PERM)
DRILL = (CASES[CASE_40].algorithms[0], T_PERM)
DAY = timedelta(days=1)


def solves(hits: str, *, start: datetime = NOW + DAY, gap_ms: int = 150) -> list[Row]:
    """Solves of OLL 40, a minute apart: ``1`` in one look, ``0`` in two."""
    return [
        make_row(
            *(ONE_LOOK if hit == "1" else TWO_LOOKS),
            done_at=start + timedelta(minutes=place),
            gap_ms=gap_ms,
        )
        for place, hit in enumerate(hits)
    ]


def make_weeks(member: Membership, counts: Sequence[int], *, until: datetime = NOW) -> None:
    """A log with so many solves in each of the last weeks before ``until``, oldest first."""
    rows = [
        make_row(done_at=until - timedelta(weeks=weeks_ago + 1) + timedelta(minutes=n + 1))
        for weeks_ago, count in enumerate(reversed(counts))
        for n in range(count)
    ]
    make_upload(member.user, rows, file_name="weeks.csv")


def make_team(n_members: int = 1) -> tuple[Club, Membership, list[Membership]]:
    """A club, its coach, and members who show their logs to coaches."""
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    members = [make_membership(club, visibility=Visibility.COACH) for _ in range(n_members)]
    return club, coach, members


def make_homework(
    coach: Membership,
    members: Sequence[Membership],
    cases: Sequence[CaseId] = (CASE_40,),
    *,
    now: datetime = NOW,
    **plan: object,
) -> Homework:
    """A homework that is set; without a date unless one is given."""
    made = Plan(tuple(cases), tuple(member.pk for member in members), **plan)  # type: ignore[arg-type]  # any field of a plan
    return homework_set(actor=coach.user, slug=coach.club.slug, plan=made, now=now)


def make_lesson(
    coach: Membership, members: Sequence[Membership], cases: Sequence[CaseId] = (CASE_40,)
) -> Lesson:
    """A lesson that is planned."""
    plan = LessonPlan(
        on=date(2026, 3, 5),
        title="Evening",
        note="",
        membership_ids=tuple(member.pk for member in members),
        cases=tuple((case, "") for case in cases),
    )
    return lesson_create(actor=coach.user, slug=coach.club.slug, plan=plan)
