"""A coach's own words beside a case: written by coaches alone, read by their club."""

import pytest
from django.core.exceptions import ValidationError

from cubecore.cases import CaseId, Stage
from logs.algorithms.models import CaseWords
from logs.algorithms.selectors import said_of_member
from logs.algorithms.services import case_words_write
from logs.errors import NotFoundError
from logs.people.models import Role
from logs.practice.models import PracticeAnswer
from logs.privacy.report.export import account_copy
from logs.sheets.report import picked_sheet
from tests.factories import NOW, make_client, make_club, make_membership, make_user

pytestmark = pytest.mark.django_db

SUNE = CaseId(Stage.OLL, 27)
SAID = "Right hand only.\n魚を左前に <b>& wait</b>"
"""Two lines, one of them in another script, with signs that a page must escape."""
SHOWN = "Right hand only.<br>魚を左前に &lt;b&gt;&amp; wait&lt;/b&gt;"


@pytest.fixture
def coach():
    return make_membership(make_club("Riverbank"), role=Role.COACH)


def write(coach, text: str = SAID) -> str:
    return case_words_write(actor=coach.user, slug=coach.club.slug, case=SUNE, text=text, now=NOW)


def test_they_stand_beside_the_case_for_everybody_in_the_club_and_for_nobody_else(coach):
    member, stranger = make_membership(coach.club).user, make_user()
    address = f"/clubs/{coach.club.slug}/book/oll/27/"
    sent = make_client(coach.user).post(f"{address}words/", {"words": f"  {SAID}  "}, follow=True)
    assert "Your words stand beside the case." in sent.content.decode()
    for page in (address, "/cases/oll/27/"):
        assert SHOWN in make_client(member).get(page).content.decode()
    assert SHOWN not in make_client(stranger).get("/cases/oll/27/").content.decode()
    assert SHOWN not in make_client(member).get("/cases/oll/26/").content.decode()
    assert "Say it in your own words" not in make_client(member).get(address).content.decode()


def test_they_stand_on_a_sheet_and_behind_a_wrong_answer(coach):
    write(coach)
    member = make_membership(coach.club).user
    (case,) = picked_sheet(actor=member, codes=["oll-27"]).cases
    assert case.note == SAID
    wrong = PracticeAnswer.objects.create(
        member=member, question="q", at=NOW, task="case", stage="oll", case="27", angle=0,
        answered="26", is_right=False,
    )  # fmt: skip
    page = make_client(member).get(f"/practice/question/?last={wrong.pk}")
    assert SHOWN in page.content.decode()


def test_new_words_take_the_place_of_old_ones_and_none_take_them_away(coach):
    write(coach)
    assert write(coach, "Shorter.") == "Shorter."
    assert CaseWords.objects.get().text == "Shorter."
    assert write(coach, " \n ") == ""
    assert not CaseWords.objects.exists()
    assert said_of_member(member=coach.user).words == {}


def test_a_text_that_is_too_long_is_refused_and_changes_nothing(coach):
    write(coach)
    with pytest.raises(ValidationError, match="at most 600 characters"):
        write(coach, "a" * 601)
    assert CaseWords.objects.get().text == SAID


def test_members_and_strangers_write_nothing(coach):
    for person in (make_membership(coach.club).user, make_user()):
        with pytest.raises(NotFoundError):
            case_words_write(actor=person, slug=coach.club.slug, case=SUNE, text="Mine", now=NOW)
    assert not CaseWords.objects.exists()


def test_a_coach_s_copy_holds_them(coach):
    write(coach)
    copy = account_copy(actor=coach.user)
    assert [(one["case"], one["text"]) for one in copy["as_coach"]["case_words"]] == [
        ("OLL 27", SAID)
    ]
