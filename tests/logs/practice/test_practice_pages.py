"""The practice page as it is answered: questions, answers, what there is to choose."""

import re
from html import unescape
from typing import Any

import pytest
from django.core.signing import Signer
from django.test import Client

from logs.people.models import Role, Visibility
from logs.practice.models import PracticeAnswer
from tests.desk import CASE_27, CASE_40, make_homework, make_team
from tests.factories import NOW, make_client, make_club, make_membership, make_user

pytestmark = pytest.mark.django_db


@pytest.fixture
def user():
    return make_user()


@pytest.fixture
def client(user) -> Client:
    return make_client(user)


def question_of(client: Client, query: str) -> tuple[str, dict[str, Any]]:
    """The page of a question, and what its seal holds."""
    page = client.get(f"/practice/question/{query}")
    assert page.status_code == 200
    html = unescape(page.content.decode())
    (seal,) = re.findall(r'name="seal" value="([^"]+)"', html)
    return html, {"seal": seal, **Signer(salt="logs.practice").unsign_object(seal)}


def send(client: Client, asked: dict[str, Any], answered: str, **fields: str):
    return client.post("/practice/answer/", {"seal": asked["seal"], "answer": answered, **fields})


def test_a_question_holds_its_choices_and_does_not_name_the_case(client: Client):
    html, asked = question_of(client, "?what=oll&view=above")
    values = re.findall(r'name="answer" value="([^"]+)"', html)
    assert values == asked["choices"]
    assert asked["case"] in values
    assert not re.search(r"OLL \d", html.split("practice-choices")[0].split("<main")[1])


def test_a_right_answer_goes_on_to_another_case(client: Client):
    _, asked = question_of(client, "?what=oll-27")
    going = send(client, asked, asked["case"], what="oll-27", ms="10")
    html, following = question_of(client, going["Location"].removeprefix("/practice/question/"))
    assert f"Right: OLL {asked['case']}" in html
    assert following["case"] != asked["case"]


def test_a_wrong_answer_says_what_tells_the_case(client: Client):
    _, asked = question_of(client, "?what=oll-27")
    wrong = next(choice for choice in asked["choices"] if choice != asked["case"])
    page = client.get(send(client, asked, wrong, what="oll-27")["Location"])
    html = unescape(page.content.decode())
    assert f"It was OLL {asked['case']}" in html
    assert f"You said OLL {wrong}" in html
    assert f"What tells OLL {asked['case']}" in html
    assert html.count('class="case-picture"') == 2
    assert re.search(r"The top tells: |The .* parts them: (not )?yellow in OLL", html)


def test_ten_questions_are_a_round_and_then_it_says_what_comes_again(client: Client, user):
    going = ""
    for n in range(10):
        html, asked = question_of(client, going or "?what=oll.T")
        assert f"{n + 1} of 10" in html
        begun = re.findall(r'name="round" value="(\d+)"', html)[0]
        wrong = next(choice for choice in asked["choices"] if choice != asked["case"])
        said = wrong if n in (0, 9) else asked["case"]
        sent = send(client, asked, said, what="oll.T", round=begun)
        page = unescape(client.get(sent["Location"]).content.decode())
        going = sent["Location"].removeprefix("/practice/question/")
        if said == wrong:
            (following,) = re.findall(r'href="([^"]+)" data-practice-next', page)
            going = following.removeprefix("/practice/question/")
            assert ("How the round went" in page) == (n == 9)
    html = unescape(client.get(f"/practice/question/{going}").content.decode())
    assert "8 of 10 right" in html
    assert "Comes again" in html
    (again,) = re.findall(r'href="([^"]+)" data-practice-next', html)
    assert "1 of 10" in client.get(again).content.decode()


def test_what_was_taken_for_a_case_is_offered_again(client: Client, user):
    """OLL 1 and 27 are not at all alike (common practice, no source)."""
    PracticeAnswer.objects.create(
        member=user, question="q", at=NOW, task="case", stage="oll", case="27", angle=0,
        answered="1", is_right=False,
    )  # fmt: skip
    for _ in range(20):
        _, asked = question_of(client, "?what=oll-27")
        if asked["case"] == "27":
            assert "1" in asked["choices"]
            break
    else:
        pytest.fail("a case that was told wrongly is asked soon")


def test_somebody_else_s_answer_is_not_there(client: Client):
    other = PracticeAnswer.objects.create(
        member=make_user(), question="q", at=NOW, task="case", stage="oll", case="27", angle=0,
        answered="27", is_right=True,
    )  # fmt: skip
    assert client.get(f"/practice/question/?last={other.pk}").status_code == 404
    assert client.get("/practice/question/?last=99999").status_code == 404


@pytest.mark.parametrize(
    "query", ["", "?what=nothing&task=what&view=how", "?what=oll-99", "?last=x", "?what=%00"]
)
def test_what_is_asked_wrongly_is_as_if_it_was_not(client: Client, query: str):
    _, asked = question_of(client, query)
    assert (asked["task"], asked["stage"]) == ("case", "oll")


def test_homework_is_practised_first(client: Client, user):
    club, coach, _ = make_team(0)
    member = make_membership(club, user, visibility=Visibility.COACH)
    make_homework(coach, [member], (CASE_40, CASE_27))
    html = unescape(client.get("/practice/").content.decode())
    first = re.findall(r'<option value="([^"]+)"[^>]*>([^<]+)', html)[0]
    assert first == ("homework", "My homework (2 cases)")
    seen = {question_of(client, "?what=homework")[1]["case"] for _ in range(30)}
    assert seen == {"40", "27"}


def test_a_case_that_looks_the_same_from_every_side_is_not_asked_to_be_held(client: Client):
    """OLL 20 does (common practice, no source); it is one of the dots."""
    seen = {question_of(client, "?what=oll.dot&task=hold")[1]["case"] for _ in range(40)}
    assert seen <= {"1", "2", "3", "4", "17", "18", "19"}


def test_a_coach_sees_what_members_who_show_their_log_mistook(client: Client, user):
    club = make_club()
    make_membership(club, user, role=Role.COACH)
    shown = make_membership(club, visibility=Visibility.COACH)
    hidden = make_membership(club)
    for member in (shown, hidden):
        for place in range(3):
            PracticeAnswer.objects.create(
                member=member.user, question=str(place), at=NOW, task="case", stage="oll",
                case="27", angle=0, answered="26", is_right=False,
            )  # fmt: skip
    html = client.get(f"/clubs/{club.slug}/mistaken/").content.decode()
    assert "From 3 answers on the practice page" in html
    assert shown.display_name in html
    assert hidden.display_name not in html
