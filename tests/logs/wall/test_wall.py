"""A lesson on the wall: what is asked, who may answer, what is counted and what is kept."""

import itertools
from collections import Counter
from datetime import timedelta
from random import Random

import pytest
from django.utils import timezone

from cubecore.cases import CASES, CaseId, Stage, case_at_angle
from cubecore.questions import Task
from logs.errors import ConflictError, NotFoundError
from logs.people.models import Role
from logs.practice.models import PracticeAnswer
from logs.privacy.report.export import account_copy
from logs.privacy.services import member_erase
from logs.tasks import sweep
from logs.wall.figures import ROUND, evening_questions, question_of, question_row
from logs.wall.models import OPEN_FOR, Wall, WallSeat
from logs.wall.report import phone_report, phone_version, room_counts, wall_report
from logs.wall.services import seat_answer, seat_take, wall_close, wall_open, wall_show
from tests.desk import CASE_27, CASE_40, CASE_T, make_lesson, make_team
from tests.factories import NOW, make_client, make_club, make_membership

pytestmark = pytest.mark.django_db

H = CaseId(Stage.PLL, "H")
SHAPES = [CaseId(Stage.OLL, number) for number in (20, 21, 27, 40)]


def opened(n_members: int = 3, cases=(CASE_27, CASE_40, CASE_T)):
    _club, coach, members = make_team(n_members)
    lesson = make_lesson(coach, members, cases)
    wall = wall_open(actor=coach.user, lesson_id=lesson.pk, now=NOW)
    return coach, members, wall


def shown(coach, wall: Wall, place: int | None, *, is_told: bool = False) -> Wall:
    return wall_show(
        actor=coach.user, lesson_id=wall.lesson_id, asked=place, is_told=is_told, now=NOW
    )


def answered(member, wall: Wall, place: int, value: str, *, is_kept: bool = False) -> bool:
    return seat_answer(
        actor=member.user, code=wall.code, place=place, answered=value, is_kept=is_kept, now=NOW
    )


def test_each_hold_is_asked_once_and_then_ten_questions_over_all_in_mixed_order():
    held = [(case, CASES[case].n_angles - 1) for case in SHAPES]
    questions = evening_questions(held, rng=Random(4))
    holds = [one for one in questions if one.task is Task.HOLD]
    rounds = [one.case for one in questions if one.task is Task.CASE]
    # OLL 20 looks the same from every side: no hold of it is wrong, and none is asked.
    assert [one.case for one in holds] == [case for case in SHAPES if CASES[case].n_angles > 1]
    assert CASES[SHAPES[0]].n_angles == 1
    for one in holds:
        # Turning the layer as the right answer says shows the case as it is taught.
        turned = case_at_angle(CASES[one.case], (one.angle - int(one.right)) % 4)
        assert turned == case_at_angle(CASES[one.case], one.hold) or CASES[one.case].n_angles < 4
        assert one.right in one.choices
    assert len(rounds) == ROUND == 10
    counts = Counter(rounds)
    assert set(counts) == set(SHAPES)
    assert max(counts.values()) - min(counts.values()) <= 1
    assert all(one != other for one, other in itertools.pairwise(rounds))
    for one in questions:
        assert question_of(question_row(one)) == one
        if one.task is Task.CASE:
            assert one.case.text in one.choices
            assert 4 <= len(one.choices) <= 6


def test_more_than_ten_cases_are_each_asked_at_most_once():
    cases = [case for case in CASES if case.stage is Stage.OLL][:20]
    asked = evening_questions([(case, 0) for case in cases], rng=Random(1))
    rounds = [one.case for one in asked if one.task is Task.CASE]
    assert len(set(rounds)) == len(rounds) == ROUND


def test_the_room_is_counted_and_told_only_once_it_is_turned_over():
    coach, (ada, bo, cy), wall = opened()
    for member in (ada, bo, cy):
        seat_take(actor=member.user, code=wall.code.lower(), now=NOW)
        seat_take(actor=member.user, code=wall.code, now=NOW)  # a reload takes no second seat
    shown(coach, wall, 0)
    assert answered(ada, wall, 0, "0") is False
    answered(bo, wall, 0, "2")
    answered(bo, wall, 0, "1")  # the first stands
    room = room_counts(actor=coach.user, lesson_id=wall.lesson_id, now=NOW)
    assert (room.n_seats, room.n_answered) == (3, 2)
    assert [choice.n for choice in room.choices] == [0, 0, 0, 0]
    shown(coach, wall, 0, is_told=True)
    room = room_counts(actor=coach.user, lesson_id=wall.lesson_id, now=NOW)
    assert [(choice.value, choice.n) for choice in room.choices] == [
        ("0", 1), ("1", 0), ("2", 1), ("3", 0),
    ]  # fmt: skip
    with pytest.raises(ConflictError, match="not on the wall any more"):
        answered(cy, wall, 0, "0")
    shown(coach, wall, None)
    with pytest.raises(ConflictError):
        answered(cy, wall, 0, "0")
    assert not PracticeAnswer.objects.exists()


def test_an_answer_is_a_practice_answer_where_its_member_says_so():
    coach, (ada, bo, _), wall = opened()
    last = len(wall.questions) - 1
    hold, told = question_of(wall.questions[0]), question_of(wall.questions[last])
    for member in (ada, bo):
        seat_take(actor=member.user, code=wall.code, now=NOW)
    shown(coach, wall, 0)
    assert answered(ada, wall, 0, hold.right, is_kept=True)
    shown(coach, wall, last)
    wrong = next(choice for choice in told.choices if choice != told.right)
    assert answered(ada, wall, last, wrong, is_kept=True)
    answered(bo, wall, last, told.right)
    kept = list(PracticeAnswer.objects.order_by("pk"))
    assert [(one.member_id, one.task, one.is_right) for one in kept] == [
        (ada.user_id, "hold", True), (ada.user_id, "case", False),
    ]  # fmt: skip
    assert [(one.angle, one.recognition_ms) for one in kept] == [
        (hold.angle, None), (told.angle, None),
    ]  # fmt: skip
    assert kept[1].answered == wrong


def test_past_the_day_s_practice_an_answer_counts_on_the_wall_alone():
    coach, (ada, *_), wall = opened()
    coach.club.practice_cap = 1  # three answers by tapping
    coach.club.save()
    seat_take(actor=ada.user, code=wall.code, now=NOW)
    kept = []
    for place in range(4):
        shown(coach, wall, place)
        kept.append(answered(ada, wall, place, wall.questions[place]["choices"][0], is_kept=True))
    assert kept == [True, True, True, False]
    room = room_counts(actor=coach.user, lesson_id=wall.lesson_id, now=NOW)
    assert room.n_answered == 1


def test_no_row_of_a_seat_names_anybody_and_nothing_outlives_the_wall():
    coach, (ada, *_), wall = opened()
    seat_take(actor=ada.user, code=wall.code, now=NOW)
    names = {field.related_model for field in WallSeat._meta.get_fields()}
    assert names == {None, Wall}
    wall_close(actor=coach.user, lesson_id=wall.lesson_id, now=NOW)
    assert not WallSeat.objects.exists()
    wall = wall_open(actor=coach.user, lesson_id=wall.lesson_id, now=NOW)
    seat_take(actor=ada.user, code=wall.code, now=NOW)
    later = NOW + OPEN_FOR
    with pytest.raises(NotFoundError):
        phone_report(actor=ada.user, code=wall.code, now=later)
    sweep(now=later - timedelta(seconds=1))
    assert Wall.objects.exists()
    sweep(now=later)
    assert not Wall.objects.exists()


def test_a_copy_holds_one_s_seat_and_erasing_takes_it_alone():
    coach, (ada, bo, _), wall = opened()
    for member in (ada, bo):
        seat_take(actor=member.user, code=wall.code, now=NOW)
    shown(coach, wall, 0)
    answered(ada, wall, 0, "1")
    seats = account_copy(actor=ada.user)["wall_seats"]
    assert [(seat["lesson"], seat["answers"]) for seat in seats] == [("Evening", {"0": "1"})]
    member_erase(actor=ada.user, now=NOW)
    assert [seat.answers for seat in WallSeat.objects.all()] == [{}]


def test_only_the_club_s_own_join_and_only_its_coaches_turn_over():
    coach, (ada, *_), wall = opened()
    stranger = make_membership(make_club(), role=Role.COACH)
    for actor in (stranger.user,):
        with pytest.raises(NotFoundError):
            seat_take(actor=actor, code=wall.code, now=NOW)
    with pytest.raises(NotFoundError):
        answered(ada, wall, 0, "0")  # no seat yet
    for actor in (ada.user, stranger.user):
        with pytest.raises(NotFoundError):
            wall_show(actor=actor, lesson_id=wall.lesson_id, asked=0, is_told=True, now=NOW)
    with pytest.raises(NotFoundError):
        shown(coach, wall, len(wall.questions))


def test_a_phone_is_told_of_a_change_and_of_nothing_else():
    coach, (ada, bo, _), wall = opened()
    for member in (ada, bo):
        seat_take(actor=member.user, code=wall.code, now=NOW)

    def version() -> str:
        return phone_version(actor=ada.user, code=wall.code, now=NOW)

    before = version()
    shown(coach, wall, 0)
    asked = version()
    answered(bo, wall, 0, "0")
    assert before != asked == version()
    answered(ada, wall, 0, "0")
    assert version() not in {before, asked}
    assert version() == phone_report(actor=ada.user, code=wall.code, now=NOW).version


def test_asking_again_costs_few_queries_and_no_bytes(django_assert_num_queries):
    _coach, (ada, *_), wall = opened()
    wall.opened_at = timezone.now()
    wall.save()
    client = make_client(ada)
    client.post("/wall/", {"code": wall.code})
    address = f"/wall/{wall.code}/now/"
    first = client.get(address)
    with django_assert_num_queries(4):
        same = client.get(address, headers={"If-None-Match": first["ETag"]})
    assert (same.status_code, same.content) == (304, b"")
    assert client.get("/wall/ZZZZ/now/").status_code == 404
    assert client.post("/wall/", {"code": "ZZZZ"}).status_code == 422


def test_without_a_wall_the_lesson_is_taught_all_the_same():
    _club, coach, members = make_team(1)
    lesson = make_lesson(coach, members, (CASE_27, H))
    report = wall_report(actor=coach.user, lesson_id=lesson.pk, now=NOW)
    assert report.code == ""
    assert report == wall_report(actor=coach.user, lesson_id=lesson.pk, now=NOW)
    page = make_client(coach).get(f"/lessons/{lesson.pk}/wall/").content.decode()
    assert "Let phones answer" in page
    assert "data-counts" not in page
    # What parts the Sune from its mirror, the algorithm in its runs, and the other hand's.
    assert "OLL 26 Antisune" in page
    assert page.count('data-kind="turns"') >= 4
    assert page.count('data-kind="mirror"') >= 4
