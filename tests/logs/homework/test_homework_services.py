"""Homework is set, refused, closed and excused; no service can tick a case."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError

from cubecore.cases import CaseId, Stage
from logs.errors import ConflictError, NotFoundError
from logs.homework.figures import DrillWord, Way
from logs.homework.models import (
    Assignment,
    AssignmentCase,
    DrillAnswer,
    Excuse,
    Homework,
    HomeworkCase,
)
from logs.homework.plan import Change, Plan
from logs.homework.services import (
    assignment_excuse,
    cases_mark_shown,
    drill_answer,
    drill_seal,
    homework_close,
    homework_edit,
    homework_set,
    homework_take_back,
)
from logs.limits import HOMEWORK_CASES
from logs.people.models import Role, Visibility
from tests.desk import CASE_27, CASE_40, CASE_T, DAY, make_homework, make_team
from tests.factories import (
    NOW,
    make_club,
    make_membership,
    make_user,
)

pytestmark = pytest.mark.django_db


def test_what_was_planned_is_stored():
    _, coach, members = make_team(2)
    homework = make_homework(coach, members, (CASE_40, CASE_27), note="Slowly.")
    assert homework.set_by == coach.user
    assert [str(case) for case in homework.cases.order_by("place")] == ["OLL 40", "OLL 27"]
    assert set(homework.assignments.values_list("member", flat=True)) == {
        member.user_id for member in members
    }


@pytest.mark.parametrize("due_on", [date(2026, 2, 1), date(2026, 3, 2), date(2036, 1, 1)])
def test_a_date_is_never_refused(due_on):
    _, coach, (member,) = make_team()
    assert make_homework(coach, [member], due_on=due_on).due_on == due_on


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        ({"cases": ()}, "at least one case"),
        ({"membership_ids": ()}, "at least one member"),
        ({"cases": (CASE_40, CASE_27, CASE_40)}, "OLL 40 Big lightning is chosen twice"),
        (
            {"cases": tuple(CaseId(Stage.OLL, n) for n in range(1, HOMEWORK_CASES + 2))},
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


def test_twenty_cases_are_set_at_once():
    _, coach, (member,) = make_team()
    twenty = tuple(CaseId(Stage.OLL, n) for n in range(1, 21))
    assert make_homework(coach, [member], twenty).cases.count() == 20


def test_homework_is_for_anybody_in_the_club_and_nobody_else():
    club, coach, _ = make_team()
    hider = make_membership(club, visibility=Visibility.ONLY_ME)
    assert make_homework(coach, [hider]).assignments.count() == 1
    with pytest.raises(NotFoundError):
        make_homework(coach, [hider, make_membership(make_club(), visibility=Visibility.CLUB)])


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


def test_no_column_says_that_a_case_is_verified():
    ticks = {"done", "verified", "is_done", "done_at", "completed_at", "status", "state"}
    for model in (Homework, HomeworkCase, Assignment, AssignmentCase, Excuse):
        assert not ticks & {field.name for field in model._meta.get_fields()}


def test_it_is_changed_and_what_a_case_gathered_stays():
    _, coach, (first, second, third) = make_team(3)
    homework = make_homework(coach, [first, second], (CASE_40, CASE_27))
    cases_mark_shown(
        actor=coach.user,
        homework_id=homework.pk,
        membership_id=first.pk,
        cases=[CASE_40],
        is_shown=True,
        now=NOW + DAY,
    )
    change = Change(
        (CASE_T, CASE_40), (first.pk, third.pk), due_on=date(2026, 3, 9), note="By Monday."
    )
    later = NOW + 2 * DAY
    homework_edit(actor=coach.user, homework_id=homework.pk, change=change, now=later)
    homework.refresh_from_db()
    assert (homework.due_on, homework.note) == (date(2026, 3, 9), "By Monday.")
    assert [str(case) for case in homework.cases.order_by("place")] == ["PLL T", "OLL 40"]
    rows = AssignmentCase.objects.filter(assignment__homework=homework).order_by("case", "id")
    assert [(r.assignment.member_id, r.case, r.asked_at, r.shown_at) for r in rows] == [
        (first.user_id, "40", NOW, NOW + DAY),
        (third.user_id, "40", later, None),
        (first.user_id, "T", later, None),
        (third.user_id, "T", later, None),
    ]
    homework_close(actor=coach.user, homework_id=homework.pk, reason="Done.", now=later)
    with pytest.raises(ConflictError, match="stays as it was"):
        homework_edit(actor=coach.user, homework_id=homework.pk, change=change, now=later)


def test_it_is_taken_back_within_a_day():
    _, coach, (member,) = make_team()
    first, second = make_homework(coach, [member]), make_homework(coach, [member])
    homework_take_back(actor=coach.user, homework_id=first.pk, now=NOW + DAY)
    with pytest.raises(ConflictError, match="more than a day ago"):
        homework_take_back(
            actor=coach.user, homework_id=second.pk, now=NOW + DAY + timedelta(seconds=1)
        )
    assert [one.pk for one in Homework.objects.all()] == [second.pk]


def test_a_member_may_be_asked_some_of_the_cases():
    _, coach, (first, second) = make_team(2)
    homework = make_homework(
        coach, [first, second], (CASE_40, CASE_27), own_cases={second.pk: (CASE_27,)}
    )
    asked = AssignmentCase.objects.filter(assignment__homework=homework)
    assert {(row.assignment.member_id, row.case) for row in asked} == {
        (first.user_id, "40"),
        (first.user_id, "27"),
        (second.user_id, "27"),
    }
    with pytest.raises(ValidationError, match="among those of the homework"):
        make_homework(coach, [first], (CASE_40,), own_cases={first.pk: (CASE_27,)})


def test_a_coach_says_what_was_shown_to_them_and_may_take_it_back():
    _, coach, (member,) = make_team()
    homework = make_homework(coach, [member], way=Way.COACH, n_wanted=None)

    def mark(is_shown: bool, actor=coach) -> AssignmentCase:
        cases_mark_shown(
            actor=actor.user,
            homework_id=homework.pk,
            membership_id=member.pk,
            cases=[CASE_40],
            is_shown=is_shown,
            now=NOW,
        )
        return AssignmentCase.objects.get()

    assert (mark(True).shown_at, mark(True).shown_to) == (NOW, coach.user)
    assert (mark(False).shown_at, mark(False).shown_to) == (None, None)
    with pytest.raises(NotFoundError):
        mark(True, actor=member)


def test_a_drill_is_told_of_once_by_whom_it_was_dealt():
    _, _, (member, other) = make_team(2)
    seal = drill_seal(actor=member.user, case=CASE_40, scramble="R U R'")

    def tell(actor, word=DrillWord.CLEAN, n_left=1) -> DrillAnswer:
        return drill_answer(actor=actor.user, seal=seal, word=word, n_left=n_left, now=NOW)

    with pytest.raises(NotFoundError):
        tell(other)
    with pytest.raises(ConflictError, match="enough for today"):
        tell(member, n_left=0)
    assert tell(member) == tell(member, DrillWord.STUMBLED, n_left=0)
    kept = DrillAnswer.objects.get()
    assert (kept.case, kept.word, kept.scramble) == ("40", "clean", "R U R'")
    with pytest.raises(NotFoundError):
        drill_answer(actor=member.user, seal="x", word=DrillWord.CLEAN, n_left=1, now=NOW)
