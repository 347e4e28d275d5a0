"""The hold a coach teaches: proved on the cube, shown wherever the case is taught."""

from itertools import product

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.utils import timezone

from cubecore.book import default_book
from cubecore.cases import CASES, CaseId, Stage
from cubecore.questions import Task, turns_to_hold
from logs.algorithms.figures import (
    BEFORE,
    LAYER_TURNS,
    CoachHold,
    is_fitting,
    left_from,
    with_before,
)
from logs.algorithms.models import CaseWords
from logs.algorithms.report import taught
from logs.algorithms.selectors import club_book_get, holds_of_member
from logs.algorithms.services import algorithm_move, case_hold_write
from logs.errors import AlgorithmRefusedError, NotFoundError
from logs.people.models import Role
from logs.people.services.tokens import token_make
from logs.practice.models import PracticeAnswer
from logs.practice.report.question import answered_report
from logs.privacy.report.export import account_copy
from logs.sheets.report import picked_sheet
from logs.wall.report import wall_report
from tests.cubecore import twin
from tests.desk import make_lesson
from tests.factories import NOW, make_client, make_club, make_membership, make_user

SUNE = CaseId(Stage.OLL, 27)
ALGORITHM = CASES[SUNE].algorithms[0]
HOLD = CoachHold(1, "U")


@pytest.fixture
def coach():
    return make_membership(make_club("Riverbank"), role=Role.COACH)


def teach(coach, hold: CoachHold | None = HOLD) -> CoachHold | None:
    return case_hold_write(actor=coach.user, slug=coach.club.slug, case=SUNE, hold=hold, now=NOW)


@pytest.mark.parametrize("stage", Stage)
def test_a_hold_fits_where_the_tests_own_cube_is_solved_from_it_and_nowhere_else(stage):
    """Every case, from each of four holds, with each turn before the algorithm: by the twin."""
    n_fitting = 0
    for case in CASES.values():
        if case.id.stage is not stage:
            continue
        (algorithm, *_) = default_book().algorithms(case.id)
        goes = twin.run(algorithm.text)
        is_home = twin.is_oriented if stage is Stage.OLL else twin.is_permuted
        for lead in LAYER_TURNS:
            met = twin.after(twin.SOLVED, twin.inverse(f"{lead} {algorithm.text}"))
            angle = with_before(algorithm, lead).angle
            for before in BEFORE:
                done = twin.moved_colours(twin.after(twin.renamed(met), before), goes)
                does_fit = is_fitting(algorithm, CoachHold(angle, before))
                assert does_fit == is_home(twin.upright(twin.renamed(done))), (
                    case.id,
                    lead,
                    before,
                )
                n_fitting += does_fit
    assert n_fitting >= 4 * sum(case.stage is stage for case in CASES)


@pytest.mark.django_db
class TestTeaching:
    def test_it_is_the_hold_wherever_the_case_is_taught(self, coach):
        member, stranger = make_membership(coach.club).user, make_user()
        plain = taught(CASES[SUNE], club_book_get(actor=member, slug=coach.club.slug).book)
        assert teach(coach) == HOLD
        lesson = make_lesson(coach, [coach], [SUNE])
        (on_wall,) = wall_report(actor=coach.user, lesson_id=lesson.pk, now=NOW).cases
        assert (on_wall.case.angle, on_wall.case.before) == (1, "U")
        assert on_wall.facts.angle == 1  # so that the wall's pictures begin in it
        assert on_wall.case.algorithm == f"U {plain.algorithm}"
        (on_sheet,) = picked_sheet(actor=member, codes=["oll-27"]).cases
        assert (on_sheet.angle, on_sheet.text) == (1, f"U {plain.algorithm}")
        said = "first U, then the algorithm"
        for place in ("/cases/oll/27/", f"/clubs/{coach.club.slug}/book/oll/27/"):
            assert said in make_client(member).get(place).content.decode()
        assert said not in make_client(stranger).get("/cases/oll/27/").content.decode()
        assert said not in make_client(member).get("/cases/oll/27/?angle=0").content.decode()

    def test_practice_asks_for_it(self, coach):
        """Shown in the algorithm's own hold, the case has to be turned to the coach's."""
        member = make_membership(coach.club).user
        asked = PracticeAnswer.objects.create(
            member=member, question="q", at=NOW, task=Task.HOLD.value, stage="oll", case="27",
            angle=0, answered="27", answered_side=0, is_right=False,
        )  # fmt: skip
        before = answered_report(actor=member, answer_id=asked.pk).right_side
        teach(coach)
        after = answered_report(actor=member, answer_id=asked.pk).right_side
        assert before != after
        assert turns_to_hold(CASES[SUNE], 0, HOLD.angle) == 3  # from memory: U' undoes U

    @pytest.mark.parametrize(
        ("hold", "said"),
        [
            (CoachHold(1, ""), "U, or y, has to come before it."),
            (CoachHold(1, "U2"), "U, or y, has to come before it."),
            (CoachHold(0, "y'"), "nothing has to come before it."),
            (CoachHold(1, "R"), "one of U, U2, U', y, y2, y'; not 'R'."),
        ],
    )
    def test_what_does_not_solve_it_is_refused_with_what_it_does_instead(self, coach, hold, said):
        with pytest.raises(AlgorithmRefusedError) as refused:
            teach(coach, hold)
        assert said in refused.value.message
        assert not CaseWords.objects.exists()

    def test_what_it_does_instead_is_what_the_tests_own_cube_shows(self):
        cases = {(case.stage.value, case.text): CASES[case].algorithms[0] for case in CASES}
        recogniser = twin.Recogniser(cases)
        (algorithm, *_) = default_book().algorithms(SUNE)
        for lead, before in product(LAYER_TURNS, LAYER_TURNS):
            if lead == before:
                continue
            met = twin.after(twin.SOLVED, twin.inverse(f"{lead} {ALGORITHM}"))
            shown = recogniser.case("oll", twin.after(met, f"{before} {ALGORITHM}"))
            hold = CoachHold(with_before(algorithm, lead).angle, before)
            assert left_from(algorithm, hold).text == shown.number, (lead, before)

    def test_the_algorithm_s_own_hold_and_none_take_it_away(self, coach):
        for away in (CoachHold(0, ""), CoachHold(4, ""), None):
            teach(coach)
            assert teach(coach, away) is None
            assert not CaseWords.objects.exists()

    def test_a_hold_that_another_algorithm_does_not_fit_is_left_aside_and_said(self, coach):
        slug = coach.club.slug
        first, second = default_book().algorithms(SUNE)
        assert first.angle != second.angle
        teach(coach)
        algorithm_move(actor=coach.user, slug=slug, case=SUNE, text=second.text, place=1, now=NOW)
        book = club_book_get(actor=coach.user, slug=slug)
        line = taught(CASES[SUNE], book.book, book.holds)
        assert (line.algorithm, line.angle, line.before) == (second.text, second.angle, "")
        page = make_client(coach.user).get(f"/clubs/{slug}/book/oll/27/").content.decode()
        assert "does not fit the algorithm that is taught now" in page

    def test_members_and_strangers_teach_nothing(self, coach):
        for person in (make_membership(coach.club), make_membership(make_club(), role=Role.COACH)):
            with pytest.raises(NotFoundError):
                case_hold_write(
                    actor=person.user, slug=coach.club.slug, case=SUNE, hold=HOLD, now=NOW
                )
        assert not CaseWords.objects.exists()

    def test_the_page_refuses_in_place_and_keeps_what_was_picked(self, coach):
        address = f"/clubs/{coach.club.slug}/book/oll/27/"
        client = make_client(coach.user)
        refused = client.post(f"{address}hold/", {"angle": "2", "before": "y"})
        page = refused.content.decode()
        assert refused.status_code == 422
        assert "has to come before it" in page
        assert 'value="2" id="angle-2" checked' in page
        kept = client.post(f"{address}hold/", {"angle": "1", "before": "y"}, follow=True)
        assert "Your hold is taught from now on." in kept.content.decode()
        assert holds_of_member(member=coach.user) == {SUNE: CoachHold(1, "y")}

    def test_it_is_in_the_coach_s_copy_and_stays_without_their_name(self, coach):
        teach(coach)
        (written,) = account_copy(actor=coach.user)["as_coach"]["case_words"]
        assert (written["case"], written["hold_angle"], written["hold_before"]) == (
            "OLL 27",
            1,
            "U",
        )
        make_membership(coach.club, role=Role.OWNER)
        coach.user.delete()
        kept = CaseWords.objects.get()
        assert (kept.hold_angle, kept.written_by) == (1, None)

    def test_a_program_writes_words_and_hold_and_reads_them_back(self, coach):
        _, token = token_make(
            actor=coach.user, name="words", scopes=("read", "manage"), days=1, now=timezone.now()
        )
        client = Client(headers={"authorization": f"Bearer {token}"})
        place = f"/api/v1/clubs/{coach.club.slug}/book/oll/27"
        assert (
            client.put(f"{place}/words", {"words": "Slowly."}, "application/json").status_code
            == 200
        )
        sent = client.put(f"{place}/hold", {"angle": 1, "before": "U"}, "application/json")
        assert sent.json() == {"hold": {"angle": 1, "before": "U"}}
        read = client.get(place).json()
        assert (read["words"], read["hold"]) == ("Slowly.", {"angle": 1, "before": "U"})
        refused = client.put(f"{place}/hold", {"angle": 1, "before": ""}, "application/json")
        assert (refused.status_code, refused.json()["error"]["code"]) == (422, "algorithm_refused")
        assert client.put(f"{place}/hold", {"angle": None}, "application/json").status_code == 200
        assert client.put(f"{place}/words", {"words": ""}, "application/json").status_code == 200
        assert not CaseWords.objects.exists()

    def test_the_tables_hold_no_other_turn(self, coach):
        for angle, before in ((4, "U"), (1, "R"), (None, "U")):
            with pytest.raises(IntegrityError), transaction.atomic():
                CaseWords.objects.create(
                    club=coach.club, stage="oll", case="27", text="words",
                    hold_angle=angle, hold_before=before, written_at=NOW,
                )  # fmt: skip
