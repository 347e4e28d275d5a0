"""Lessons: planned, changed, made into homework once."""

from datetime import UTC, date, datetime, timedelta
from random import Random
from time import process_time
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from cubecore.cases import CASES, CaseId, Stage
from cubecore.results import Kind
from logs.errors import ConflictError, NotFoundError
from logs.homework.models import AssignmentCase, Homework
from logs.homework.plan import Plan
from logs.lessons.models import Lesson
from logs.lessons.report import lesson_report, proposal_report
from logs.lessons.services import (
    LessonPlan,
    lesson_copy,
    lesson_create,
    lesson_delete,
    lesson_edit,
    lesson_make_homework,
    lesson_set_for_all,
    missing_mark,
)
from logs.lessons.took import took_report
from logs.people.models import Role, Visibility
from logs.people.services.tokens import token_make
from logs.solves.models.tallies import CaseTally
from tests.desk import CASE_27, CASE_40, CASE_T, DAY, make_homework, make_lesson, make_team, solves
from tests.factories import NOW, make_club, make_membership, make_upload

pytestmark = pytest.mark.django_db

CASE_1, CASE_2 = CaseId(Stage.OLL, 1), CaseId(Stage.OLL, 2)


def plan_of(members, cases=(CASE_40,), **changes) -> LessonPlan:
    values: dict[str, Any] = {
        "on": date(2026, 3, 5),
        "title": " Evening ",
        "note": "",
        "membership_ids": tuple(member.pk for member in members),
        "cases": tuple((case, "why") for case in cases),
    }
    return LessonPlan(**(values | changes))


def users_of(lesson: Lesson) -> set[int]:
    return set(lesson.members.values_list("member", flat=True))


def test_a_lesson_keeps_its_cases_in_order_with_their_reasons():
    club, coach, members = make_team(2)
    plan = plan_of(members, (CASE_T, CASE_40))
    lesson = lesson_create(actor=coach.user, slug=club.slug, plan=plan)
    assert (lesson.title, lesson.by) == ("Evening", coach.user)
    kept = lesson.cases.order_by("place").values_list("stage", "case", "reason")
    assert list(kept) == [("pll", "T", "why"), ("oll", "40", "why")]
    assert users_of(lesson) == {member.user_id for member in members}


def test_a_change_replaces_cases_and_members():
    _, coach, (first, second) = make_team(2)
    lesson = make_lesson(coach, [first], (CASE_40,))
    lesson_edit(actor=coach.user, lesson_id=lesson.pk, plan=plan_of([second], (CASE_27,)))
    assert [case.case for case in lesson.cases.all()] == ["27"]
    assert users_of(lesson) == {second.user_id}


def test_anybody_in_the_club_may_come_and_guests_too():
    club, coach, (first, hider) = make_team(2)
    hider.visibility = Visibility.ONLY_ME
    hider.save()
    plan = plan_of([first, hider], guests=" Ash and Elm ")
    lesson = lesson_create(actor=coach.user, slug=club.slug, plan=plan)
    assert users_of(lesson) == {first.user_id, hider.user_id}
    assert lesson.guests == "Ash and Elm"
    assert lesson_create(actor=coach.user, slug=club.slug, plan=plan_of([], guests="Ash")).pk
    with pytest.raises(NotFoundError):
        lesson_create(
            actor=coach.user, slug=club.slug, plan=plan_of([make_membership(make_club())])
        )


def test_of_who_shows_no_log_nothing_is_said():
    club, coach, (shown, hider, silent) = make_team(3)
    for member in (shown, hider):
        make_upload(member.user, solves("000"))
    hider.visibility = Visibility.ONLY_ME
    hider.save()
    lesson = make_lesson(coach, [shown, hider, silent], (CASE_40, CASE_T))
    report = lesson_report(actor=coach.user, lesson_id=lesson.pk)
    awkward, t_perm = report.cases
    assert awkward.needed_by == (shown.display_name,)
    assert (awkward.n_unmet, t_perm.n_unmet) == (0, 0)  # T was met in one look; nobody else tells
    comes = {member.name: (member.comes, member.is_visible) for member in report.members}
    assert comes[hider.display_name] == (True, False)
    proposal = proposal_report(
        actor=coach.user, slug=club.slug, membership_ids=[hider.pk, silent.pk], today=NOW.date()
    )
    assert (proposal.cases, proposal.groups) == ((), ())


def test_homework_for_all_asks_of_each_what_they_need():
    _, coach, (first, second, hider) = make_team(3)
    make_upload(first.user, solves("000"))
    make_upload(second.user, solves("1" * 12))  # OLL 40 and PLL T go in one look
    hider.visibility = Visibility.ONLY_ME
    hider.save()
    lesson = make_lesson(coach, [first, second, hider], (CASE_T, CASE_40, CASE_27, CASE_1, CASE_2))
    homework = lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=NOW)
    asked: dict[int, list[str]] = {}
    for row in AssignmentCase.objects.filter(assignment__homework=homework).order_by("id"):
        asked.setdefault(row.assignment.member_id, []).append(row.case)
    assert asked[hider.user_id] == ["T", "40", "27"]  # nothing is known: the lesson's first three
    assert "40" not in asked[second.user_id]
    assert "40" in asked[first.user_id]
    assert all(1 <= len(cases) <= 3 for cases in asked.values())
    assert homework.due_on == date(2026, 3, 12)
    with pytest.raises(ConflictError, match="set already"):
        lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=NOW)


def test_what_earlier_homework_verified_is_left_out():
    _, coach, (member,) = make_team()
    make_homework(coach, [member], (CASE_40,))
    make_upload(member.user, solves("111" + "0" * 8))  # verified, and slipping since
    lesson = make_lesson(coach, [member], (CASE_40,))
    with pytest.raises(ValidationError, match="Nobody who came"):
        lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=NOW)


def test_who_was_missing_gets_a_repeat_and_no_homework():
    _, coach, (first, second) = make_team(2)
    lesson = make_lesson(coach, [first, second], (CASE_40, CASE_27))
    with pytest.raises(ValidationError, match="Nobody was missing"):
        lesson_copy(actor=coach.user, lesson_id=lesson.pk, is_for_missing=True)
    missing_mark(actor=coach.user, lesson_id=lesson.pk, membership_ids=[second.pk])
    repeat = lesson_copy(actor=coach.user, lesson_id=lesson.pk, is_for_missing=True)
    assert users_of(repeat) == {second.user_id}
    assert (repeat.on, repeat.title) == (date(2026, 3, 12), lesson.title)
    assert [str(case) for case in repeat.cases.order_by("place")] == ["OLL 40", "OLL 27"]
    homework = lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=NOW)
    assert [one.member_id for one in homework.assignments.all()] == [first.user_id]
    missing_mark(actor=coach.user, lesson_id=lesson.pk, membership_ids=[])
    assert not lesson.members.filter(is_missing=True).exists()


def test_a_lesson_is_copied_and_deleted_and_its_homework_stays():
    _, coach, (member,) = make_team()
    lesson = make_lesson(coach, [member])
    homework = lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=NOW)
    copy = lesson_copy(actor=coach.user, lesson_id=lesson.pk)
    assert (users_of(copy), copy.homework) == ({member.user_id}, None)
    lesson_delete(actor=coach.user, lesson_id=lesson.pk)
    assert [one.pk for one in Lesson.objects.all()] == [copy.pk]
    assert Homework.objects.get() == homework


def test_whether_it_took_is_told_of_solves_since_and_of_its_homework():
    _, coach, (member, hider) = make_team(2)
    lesson = make_lesson(coach, [member, hider], (CASE_40, CASE_27))  # on 5 March
    evening = datetime(2026, 3, 5, 20, tzinfo=UTC)
    make_upload(member.user, solves("0", start=evening) + solves("010", start=evening + DAY))
    lesson_set_for_all(actor=coach.user, lesson_id=lesson.pk, now=evening + timedelta(hours=2))
    hider.visibility = Visibility.ONLY_ME
    hider.save()
    report = took_report(actor=coach.user, lesson_id=lesson.pk, now=evening + 7 * DAY)
    (line,) = report.members
    assert [(cell.code, cell.n_one_look, cell.n_met) for cell in line.cells] == [
        ("oll-40", 1, 3),
        ("oll-27", 0, 0),
    ]
    assert line.cells[0].state == "open"
    assert report.n_hidden == 1


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"title": "  "}, "blank"),
        ({"cases": ()}, "at least one case"),
        ({"cases": (CASE_40, CASE_40)}, "chosen twice"),
        ({"membership_ids": ()}, "at least one member"),
    ],
)
def test_a_plan_that_does_not_hold_together_is_refused(changes, message):
    club, coach, members = make_team()
    with pytest.raises(ValidationError, match=message):
        lesson_create(actor=coach.user, slug=club.slug, plan=plan_of(members, **changes))
    assert not Lesson.objects.exists()


def test_homework_is_made_of_a_lesson_once():
    _, coach, (member,) = make_team()
    lesson = make_lesson(coach, [member])
    plan = Plan((CASE_40,), (member.pk,))
    made = lesson_make_homework(actor=coach.user, lesson_id=lesson.pk, plan=plan, now=NOW)
    lesson.refresh_from_db()
    assert lesson.homework == made
    with pytest.raises(ConflictError, match="set already"):
        lesson_make_homework(actor=coach.user, lesson_id=lesson.pk, plan=plan, now=NOW)
    assert Homework.objects.count() == 1


def test_a_lesson_is_for_the_coaches_of_its_club_alone():
    club, coach, members = make_team()
    lesson = make_lesson(coach, members)
    for actor in (members[0], make_membership(make_club(), role=Role.COACH)):
        with pytest.raises(NotFoundError):
            lesson_create(actor=actor.user, slug=club.slug, plan=plan_of(members))
        for change in (lesson_copy, lesson_delete):
            with pytest.raises(NotFoundError):
                change(actor=actor.user, lesson_id=lesson.pk)
        with pytest.raises(NotFoundError):
            missing_mark(actor=actor.user, lesson_id=lesson.pk, membership_ids=[])
        with pytest.raises(NotFoundError):
            lesson_set_for_all(actor=actor.user, lesson_id=lesson.pk, now=NOW)
        with pytest.raises(NotFoundError):
            took_report(actor=actor.user, lesson_id=lesson.pk, now=NOW)
        with pytest.raises(NotFoundError):
            lesson_edit(actor=actor.user, lesson_id=lesson.pk, plan=plan_of(members))
        with pytest.raises(NotFoundError):
            lesson_make_homework(
                actor=actor.user,
                lesson_id=lesson.pk,
                plan=Plan((CASE_40,), (members[0].pk,)),
                now=NOW,
            )


def test_sixty_members_are_proposed_for_in_under_two_seconds(client):
    """Sixty logs that are missing different cases, two groups looked for; time of the processor."""
    club, coach, members = make_team(60)
    rng = Random(3)
    CaseTally.objects.bulk_create(
        CaseTally(
            member=member.user,
            kind=Kind.SOLVE,
            stage=case.stage.value,
            case=str(case.number),
            n=n,
            n_looked=n,
            n_one_look=rng.randrange(n + 1),
            n_timed=0,
        )
        for member in members
        for case in CASES
        if (n := rng.randrange(1, 30)) > 4
    )
    client.force_login(coach.user)
    client.get(f"/clubs/{club.slug}/lessons/new/")  # what a process reads once
    began = process_time()
    answer = client.get(f"/clubs/{club.slug}/lessons/new/?who=all")
    took = process_time() - began
    assert answer.status_code == 200
    assert answer.content.decode().count('name="place-') == 10
    assert took < 2


def test_a_lesson_is_copied_and_its_missing_kept_by_programs(client):
    _, coach, members = make_team(2)
    lesson = make_lesson(coach, members)
    _, token = token_make(actor=coach.user, name="p", scopes=["manage"], days=1, now=timezone.now())
    headers = {"Authorization": f"Bearer {token}"}
    at = f"/api/v1/lessons/{lesson.pk}"

    def send(method: str, address: str, body: dict[str, Any]) -> Any:
        call = getattr(client, method)
        return call(address, body, content_type="application/json", headers=headers)

    kept = send("put", f"{at}/missing", {"member": [members[1].pk]})
    assert (kept.status_code, kept.json()) == (200, {"id": lesson.pk})
    came = {row.member_id: row.is_missing for row in lesson.members.all()}
    assert came == {members[0].user_id: False, members[1].user_id: True}
    again = send("post", f"{at}/copy", {"is_for_missing": True})
    assert again.status_code == 201
    assert users_of(Lesson.objects.get(pk=again.json()["id"])) == {members[1].user_id}
    send("put", f"{at}/missing", {"member": []})
    refused = send("post", f"{at}/copy", {"is_for_missing": True})
    assert refused.status_code == 422
    assert "Nobody was missing" in refused.content.decode()
