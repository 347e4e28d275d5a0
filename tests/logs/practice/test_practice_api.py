"""Practice by programs: the page's questions and answers, without its pictures."""

import pytest
from django.core.signing import Signer
from django.test import Client

from logs.people.models import Club, Membership
from logs.practice.models import PracticeAnswer
from tests.factories import make_club, make_membership
from tests.logs.api.test_answers import post, program, refusal

pytestmark = pytest.mark.django_db

QUESTION, ANSWERS = "/api/v1/practice/question", "/api/v1/practice/answers"


@pytest.fixture
def client(member: Membership) -> Client:
    return program(member.user, "read", "upload")


def ask(client: Client, **query: str | int):
    return client.get(QUESTION, query)


def case_of(question) -> str:
    """The case in a question's seal, which is signed and not secret."""
    case: str = Signer(salt="logs.practice").unsign_object(question["seal"])["case"]
    return case


def test_a_question_names_what_can_be_answered_and_shows_the_case_in_data(client: Client):
    question = ask(client, what="oll-27").json()
    assert (question["task"], question["case"]) == ("case", None)
    assert case_of(question) in [answer["value"] for answer in question["answers"]]
    assert question["pool"]["code"] == "oll-27"
    assert "oll-27" in question["pool"]["cases"]
    assert (len(question["top"]), question["top"][4]) == (9, True)
    assert [side["side"] for side in question["sides"]] == ["front", "right", "back", "left"]
    assert (question["cube"], question["hold"], question["scramble"]) == (None, None, "")
    assert "<svg" not in str(question)


def test_a_sune_shows_one_corner_up(client: Client):
    """OLL 27 has its cross and one corner up (common practice, no source)."""
    asked = [ask(client, what="oll-27").json() for _ in range(12)]
    (question, *_) = [question for question in asked if case_of(question) == "27"]
    corners = [question["top"][place] for place in (0, 2, 6, 8)]
    assert (sum(question["top"]), corners.count(True)) == (6, 1)


def test_a_cube_in_the_hand_is_answered_by_its_three_faces_in_sight(client: Client):
    question = ask(client, what="oll-27", view="cube").json()
    assert set(question["cube"]) == {"up", "right", "front"}
    is_up = [colour == question["colour"] for colour in question["cube"]["up"]]
    assert is_up == question["top"]
    assert [side["side"] for side in question["sides"]] == ["front", "right"]


def test_a_scramble_says_how_the_cube_is_held_after_it(client: Client):
    question = ask(client, what="oll-27", view="scramble").json()
    assert question["scramble"]
    assert (question["top"], question["sides"], question["cube"]) == ([], [], None)
    assert question["hold"]["up"] == question["colour"]
    assert question["hold"]["front"] not in ("", question["colour"])


def test_a_side_is_asked_for_and_answered_by_its_name(client: Client):
    question = ask(client, what="oll-27", task="hold").json()
    assert question["case"]["stage"] == "oll"
    sides = [(answer["value"], answer["side"]) for answer in question["answers"]]
    assert sides == [("0", "front"), ("1", "right"), ("2", "back"), ("3", "left")]
    sent = {"seal": question["seal"], "answer": "1"}
    answered = post(client, ANSWERS, sent).json()["answered"]
    assert (answered["answered_side"], answered["answered_case"]) == ("right", None)
    assert answered["is_right"] == (answered["right_side"] == "right")


def test_a_right_answer_is_kept_once_and_stands_with_what_was_practised(client: Client):
    question = ask(client, what="oll-27").json()
    case = case_of(question)
    sent = {"seal": question["seal"], "answer": case, "recognition_ms": 1}
    taken = post(client, ANSWERS, sent)
    assert taken.status_code == 201
    answered = taken.json()["answered"]
    assert (answered["is_right"], answered["case"]["number"]) == (True, case)
    assert answered["recognition_ms"] == 1
    assert taken.json()["day"]["n"] == 1
    again = post(client, ANSWERS, sent | {"answer": "1"})
    assert (again.status_code, again.json()) == (200, taken.json())
    kept = PracticeAnswer.objects.get()
    assert (kept.pk, kept.case, kept.recognition_ms) == (taken.json()["id"], case, 1)
    (line,) = client.get("/api/v1/practice").json()["told"]
    assert (line["case"]["number"], line["n"], line["n_right"]) == (case, 1, 1)
    for _ in range(3):
        assert case_of(ask(client, what="oll-27", last=kept.pk).json()) != case


def test_a_wrong_answer_is_told_what_tells_the_case_and_another_question_follows(client: Client):
    question = ask(client, what="oll-27").json()
    wrong = next(a["value"] for a in question["answers"] if a["value"] != case_of(question))
    taken = post(client, ANSWERS, {"seal": question["seal"], "answer": wrong}).json()
    assert taken["answered"]["is_right"] is False
    answered = taken["answered"]
    assert (answered["answered_case"]["number"], answered["right_side"]) == (wrong, None)
    assert len(answered["top"]) == 9
    assert all(clue["sticker"]["side"] for clue in answered["clues"])
    assert ask(client, what="oll-27", last=taken["id"]).json()["seal"]
    other = make_membership(make_club())
    assert refusal(program(other.user).get(QUESTION, {"last": taken["id"]})) == (404, "not_found")


def test_an_answer_to_no_question_of_one_s_own_is_refused_at_the_seal(client: Client):
    theirs = program(make_membership(make_club()).user, "read")
    for seal in ("mistyped", ask(theirs).json()["seal"]):
        answer = post(client, ANSWERS, {"seal": seal, "answer": "27"})
        assert (*refusal(answer), answer.json()["error"]["field"]) == (422, "invalid", "seal")
    none_of_them = {"seal": ask(client, what="oll-27").json()["seal"], "answer": "99"}
    assert refusal(post(client, ANSWERS, none_of_them)) == (409, "conflict")
    assert not PracticeAnswer.objects.exists()


def test_once_the_day_is_done_no_question_is_asked(client: Client):
    Club.objects.update(practice_cap=1)
    for _ in range(3):  # taps for each drill
        question = ask(client).json()
        post(client, ANSWERS, {"seal": question["seal"], "answer": case_of(question)})
    answer = ask(client)
    assert refusal(answer) == (409, "conflict")
    assert answer.json()["error"]["message"] == "That is enough practice for today. Go on tomorrow."
