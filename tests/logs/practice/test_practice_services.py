"""Answers of the practice page: taken once, timed within reason, stopped at the day's cap."""

from datetime import UTC, datetime, timedelta

import pytest

from cubecore.cases import CASES, CaseId, Stage
from cubecore.questions import Question, Task, turns_to_hold
from logs.errors import ConflictError, NotFoundError
from logs.people.models import Role
from logs.practice.models import PracticeAnswer
from logs.practice.selectors import answers_today, drills_left
from logs.practice.services import Given, practice_answer, practice_cap_change, question_seal
from logs.solves.models.solves import Sighting, Solve
from logs.solves.models.tallies import CaseTally, MixUpTally
from tests.factories import NOW, make_club, make_membership, make_user

pytestmark = pytest.mark.django_db

SUNE, ANTISUNE = CaseId(Stage.OLL, 27), CaseId(Stage.OLL, 26)


def seal(actor, *, task=Task.CASE, case=SUNE, angle=0, hold=0, is_turned=False, now=NOW) -> str:
    question = Question(case, angle, (ANTISUNE, SUNE))
    return question_seal(
        actor=actor, task=task, question=question, hold=hold, is_turned=is_turned, now=now
    )


def answer(actor, text: str, answered: str, *, ms: int | None = 900, now=NOW) -> PracticeAnswer:
    given = Given(seal=text, answered=answered, recognition_ms=ms)
    return practice_answer(actor=actor, given=given, now=now + timedelta(seconds=2))


def test_a_right_and_a_wrong_answer():
    actor = make_user()
    right = answer(actor, seal(actor), "27")
    wrong = answer(actor, seal(actor), "26")
    assert (right.is_right, right.case, right.answered, right.recognition_ms) == (
        True, "27", "27", 900,
    )  # fmt: skip
    assert (wrong.is_right, wrong.case, wrong.answered) == (False, "27", "26")


@pytest.mark.parametrize("angle", range(4))
@pytest.mark.parametrize("hold", range(4))
def test_the_side_to_face_you(angle: int, hold: int):
    """After so many quarter turns U the case stands in its hold (`test_questions` turns a cube)."""
    actor = make_user()
    right = turns_to_hold(CASES[SUNE], angle, hold)
    for side in range(4):
        taken = answer(actor, seal(actor, task=Task.HOLD, angle=angle, hold=hold), str(side))
        assert taken.is_right is (side == right)
        assert (taken.answered, taken.answered_side) == ("27", side)


def test_a_case_that_looks_the_same_from_two_sides_is_held_rightly_from_both():
    """OLL 21 looks the same after half a turn: common practice, no source."""
    actor, both = make_user(), CaseId(Stage.OLL, 21)
    found = [
        answer(actor, seal(actor, task=Task.HOLD, case=both, angle=1), str(side)).is_right
        for side in range(4)
    ]
    assert found == [False, True, False, True]


def test_the_same_question_counts_once():
    actor = make_user()
    text = seal(actor)
    first = answer(actor, text, "26")
    again = answer(actor, text, "27")
    assert again == first
    assert not again.is_right
    assert PracticeAnswer.objects.count() == 1


def test_somebody_else_s_question_is_not_there():
    with pytest.raises(NotFoundError):
        answer(make_user(), seal(make_user()), "27")


def test_a_question_that_was_tampered_with_is_not_there():
    actor = make_user()
    with pytest.raises(NotFoundError):
        answer(actor, "x" + seal(actor), "27")
    with pytest.raises(NotFoundError):
        answer(actor, "", "27")


def test_an_old_question_is_refused_with_what_to_do():
    actor = make_user()
    with pytest.raises(ConflictError, match=r"too long ago\. Here is another\."):
        answer(actor, seal(actor, now=NOW - timedelta(hours=1)), "27")


@pytest.mark.parametrize(("task", "said"), [(Task.CASE, "45"), (Task.CASE, ""), (Task.HOLD, "4")])
def test_what_was_no_choice_is_refused(task: Task, said: str):
    actor = make_user()
    with pytest.raises(ConflictError, match=r"^Choose one of the answers\.$"):
        answer(actor, seal(actor, task=task), said)
    assert not PracticeAnswer.objects.exists()


@pytest.mark.parametrize(
    ("ms", "kept"),
    [
        (1, 1),
        (4_000, 4_000),  # two seconds since it was asked, and two for the way
        (4_001, None),
        (0, None),
        (None, None),
    ],
)
def test_a_time_longer_than_the_question_is_old_is_not_kept(ms, kept):
    actor = make_user()
    assert answer(actor, seal(actor), "27", ms=ms).recognition_ms == kept


@pytest.fixture
def capped():
    """A member of a club whose coach wants two drills a day."""
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    practice_cap_change(actor=coach.user, slug=club.slug, practice_cap=2)
    return make_membership(club).user


def test_tapping_stops_at_three_times_the_coach_s_cap_until_the_next_day(capped):
    for _ in range(6):
        answer(capped, seal(capped), "27")
    with pytest.raises(ConflictError, match=r"^That is enough practice for today\."):
        answer(capped, seal(capped), "27")
    assert answers_today(actor=capped, is_turned=False, now=NOW) == 6
    assert drills_left(actor=capped, now=NOW) == 2
    tomorrow = NOW + timedelta(days=1)
    assert answer(capped, seal(capped, now=tomorrow), "27", now=tomorrow).is_right
    assert answers_today(actor=make_user(), is_turned=False, now=NOW) == 0


def test_a_cube_scrambled_for_an_answer_counts_as_a_drill(capped):
    for n_left in (1, 0):
        assert answer(capped, seal(capped, is_turned=True), "27").is_turned
        assert drills_left(actor=capped, now=NOW) == n_left
    with pytest.raises(ConflictError, match=r"^That is enough practice for today\."):
        answer(capped, seal(capped, is_turned=True), "27")
    assert not answer(capped, seal(capped), "27").is_turned


def test_practice_is_in_no_figure_of_solves():
    actor = make_user()
    for said in ("26", "26", "27"):
        answer(actor, seal(actor), said)
    for model in (Solve, Sighting, CaseTally, MixUpTally):
        assert not model.objects.exists()


def test_a_day_of_practice_begins_at_midnight_of_the_club():
    """Auckland is 13 hours ahead in March (tz database): its midnight is 11:00 UTC."""
    actor = make_membership(make_club(time_zone="Pacific/Auckland")).user
    midnight = datetime(2026, 3, 2, 11, tzinfo=UTC)
    for at in (midnight - timedelta(seconds=1), midnight):
        asked = at - timedelta(seconds=2)
        answer(actor, seal(actor, now=asked), "27", now=asked)
    assert answers_today(actor=actor, is_turned=False, now=midnight + timedelta(hours=23)) == 1
    assert answers_today(actor=actor, is_turned=False, now=midnight - timedelta(hours=1)) == 1
