"""Homework is set, refused, closed and excused; no service can tick a case."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from cubecore.cases import CaseId, Stage
from logs.errors import ConflictError, DueDateError, NotFoundError
from logs.homework.models import Assignment, Excuse, Homework, HomeworkCase
from logs.homework.services import MAX_CASES, Plan, assignment_excuse, homework_close, homework_set
from logs.people.models import Role, Visibility
from tests.desk import CASE_27, CASE_40, DAY, make_homework, make_team, make_weeks
from tests.factories import (
    NOW,
    make_club,
    make_membership,
    make_row,
    make_upload,
    make_user,
)

pytestmark = pytest.mark.django_db

WORKED_WEEKS = [60, 110, 85, 0, 140, 95, 70, 120]  # the design's example: 67.5 a week


def test_what_was_planned_is_stored():
    _, coach, members = make_team(2)
    homework = make_homework(coach, members, (CASE_40, CASE_27), note="Slowly.")
    assert homework.set_by == coach.user
    assert [str(case) for case in homework.cases.order_by("place")] == ["OLL 40", "OLL 27"]
    assert set(homework.assignments.values_list("member", flat=True)) == {
        member.user_id for member in members
    }


def test_a_date_that_chance_would_break_is_refused_with_the_one_that_would_do():
    _, coach, (member,) = make_team()
    make_weeks(member, WORKED_WEEKS)
    # 230 solves at 67.5 a week are 23.85 days: 24 days from 1 March is 25 March.
    with pytest.raises(DueDateError) as refused:
        make_homework(coach, [member], due_on=date(2026, 3, 24))
    assert refused.value.code == "due_date_too_soon"
    assert refused.value.message == (
        "24 Mar 2026 is too soon. For each of these cases to come up 3 times it takes 230 solves:"
        f" enough four times in five. {member.display_name}, with 68 solves in a slow week: not"
        " before 25 Mar 2026. 25 Mar 2026 would do for all."
    )
    assert not Homework.objects.exists()
    assert make_homework(coach, [member], due_on=date(2026, 3, 25)).due_on == date(2026, 3, 25)


def test_the_slowest_member_decides_the_date():
    _, coach, (fast, slow) = make_team(2)
    make_weeks(fast, [100] * 8)
    make_weeks(slow, [50] * 8)
    with pytest.raises(DueDateError, match="3 Apr 2026 would do for all") as refused:
        make_homework(coach, [fast, slow], due_on=date(2026, 3, 20))
    assert f"{fast.display_name}, with" not in refused.value.message  # 17 days do for 230 at 100
    make_homework(coach, [fast], due_on=date(2026, 3, 20))


def test_a_member_without_a_pace_gets_homework_without_a_date():
    _, coach, (member,) = make_team()
    with pytest.raises(DueDateError, match=r"no date is safe\. Leave the date empty"):
        make_homework(coach, [member], due_on=date(2036, 1, 1))
    assert make_homework(coach, [member]).due_on is None


def test_a_past_date_is_too_soon():
    _, coach, (member,) = make_team()
    make_weeks(member, [100] * 8)
    with pytest.raises(DueDateError, match="1 Feb 2026 is too soon"):
        make_homework(coach, [member], due_on=date(2026, 2, 1))


def test_recognition_reckons_with_timed_solves_alone():
    _, coach, (member,) = make_team()
    untimed = [make_row(done_at=NOW - timedelta(minutes=n), is_timed=False) for n in range(1, 300)]
    make_upload(member.user, untimed)
    make_homework(coach, [member], due_on=NOW.date() + 30 * DAY)
    with pytest.raises(DueDateError):
        make_homework(
            coach,
            [member],
            due_on=NOW.date() + 30 * DAY,
            goal="recognition",
            recognition_target_ms=900,
        )


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        ({"cases": ()}, "at least one case"),
        ({"membership_ids": ()}, "at least one member"),
        ({"cases": (CASE_40, CASE_27, CASE_40)}, "OLL 40 Big lightning is chosen twice"),
        (
            {"cases": tuple(CaseId(Stage.OLL, n) for n in range(1, MAX_CASES + 2))},
            "There are 21 cases; take at most 20",
        ),
        ({"goal": "both"}, "needs its target"),
        ({"recognition_target_ms": 900}, "needs its target"),
        ({"goal": "hours"}, "needs its target|not a valid choice"),
    ],
)
def test_a_plan_that_does_not_hold_together_is_refused(plan, message):
    _, coach, (member,) = make_team()
    whole = {"cases": (CASE_40,), "membership_ids": (member.pk,)} | plan
    with pytest.raises(ValidationError, match=message):
        homework_set(actor=coach.user, slug=coach.club.slug, plan=Plan(**whole), now=NOW)
    assert not Homework.objects.exists()
    assert not HomeworkCase.objects.exists()


@pytest.mark.parametrize("visibility", [Visibility.ONLY_ME, None])
def test_homework_is_only_for_members_who_show_their_log(visibility):
    club, coach, _ = make_team()
    other = make_membership(club if visibility else make_club(), visibility=Visibility.CLUB)
    if visibility:
        other.visibility = visibility
        other.save()
    with pytest.raises(NotFoundError):
        make_homework(coach, [other])


@pytest.mark.parametrize("who", ["member", "coach elsewhere", "stranger", "locked coach"])
def test_only_coaches_of_the_club_set_close_and_excuse(who):
    club, coach, (member,) = make_team()
    homework = make_homework(coach, [member])
    actor = {
        "member": member.user,
        "coach elsewhere": make_membership(make_club(), role=Role.COACH).user,
        "stranger": make_user(),
        "locked coach": make_membership(club, make_user(is_active=False), role=Role.COACH).user,
    }[who]
    plan = Plan((CASE_40,), (member.pk,))
    with pytest.raises(NotFoundError):
        homework_set(actor=actor, slug=club.slug, plan=plan, now=NOW)
    with pytest.raises(NotFoundError):
        homework_close(actor=actor, homework_id=homework.pk, reason="x", now=NOW)
    with pytest.raises(NotFoundError):
        assignment_excuse(
            actor=actor,
            homework_id=homework.pk,
            membership_id=member.pk,
            cases=[CASE_40],
            reason="x",
            now=NOW,
        )


def test_closing_needs_a_reason_and_happens_once():
    _, coach, (member,) = make_team()
    homework = make_homework(coach, [member])

    def close(reason: str) -> Homework:
        return homework_close(
            actor=coach.user, homework_id=homework.pk, reason=reason, now=NOW + DAY
        )

    with pytest.raises(ValidationError, match="Say why"):
        close("  ")
    closed = close("Done with it.")
    assert (closed.closed_at, closed.closed_by) == (NOW + DAY, coach.user)
    with pytest.raises(ConflictError, match="closed already"):
        close("Again.")
    homework.refresh_from_db()
    assert homework.close_reason == "Done with it."


def test_an_excuse_keeps_its_reason_and_is_given_once():
    _, coach, (member,) = make_team()
    homework = make_homework(coach, [member], (CASE_40, CASE_27))

    def excuse(cases, reason="Sore wrist.") -> list[Excuse]:
        return assignment_excuse(
            actor=coach.user,
            homework_id=homework.pk,
            membership_id=member.pk,
            cases=cases,
            reason=reason,
            now=NOW,
        )

    (given,) = excuse([CASE_40])
    assert (given.by, given.reason) == (coach.user, "Sore wrist.")
    assert [str(one) for one in excuse([CASE_40, CASE_27], "Later.")] == ["OLL 27: Later."]
    assert Excuse.objects.get(case="40").reason == "Sore wrist."
    with pytest.raises(ValidationError, match="no part of this homework"):
        excuse([CaseId(Stage.OLL, 1)])
    with pytest.raises(ValidationError, match="Say why"):
        excuse([CASE_27], " ")
    with pytest.raises(ValidationError, match="at least one case"):
        excuse([])
    homework_close(actor=coach.user, homework_id=homework.pk, reason="Done.", now=NOW)
    with pytest.raises(ConflictError):
        excuse([CASE_27])


def test_what_a_coach_set_stays_when_their_account_is_gone():
    club, coach, (member,) = make_team()
    homework = make_homework(coach, [member])
    homework_close(actor=coach.user, homework_id=homework.pk, reason="Done.", now=NOW)
    coach.user.delete()
    homework.refresh_from_db()
    assert homework.set_by is None
    assert homework.close_reason == "Done."
    member.user.delete()
    assert not Assignment.objects.exists()
    assert Homework.objects.filter(club=club).exists()


def test_no_column_says_that_a_case_is_done():
    ticks = {"done", "verified", "is_done", "done_at", "completed_at", "status", "state"}
    for model in (Homework, HomeworkCase, Assignment, Excuse):
        assert not ticks & {field.name for field in model._meta.get_fields()}
