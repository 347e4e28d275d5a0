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
def member() -> Membership:
    return make_membership(make_club())


@pytest.fixture
def client(member: Membership) -> Client:
    return program(member.user, "read", "upload")


def ask(client: Client, **query: str | int):
    return client.get(QUESTION, query)


def case_of(question) -> str:
    """The case in a question's seal, which is signed and not secret."""
    case: str = Signer(salt="logs.practice").unsign_object(question["seal"])["case"]
    return case


def test_a_question_names_what_can_be_answered_and_shows_the_case_in_words(client: Client):
    question = ask(client, what="oll-27").json()
    assert (question["task"], question["case"]) == ("case", None)
    assert case_of(question) in [answer["value"] for answer in question["answers"]]
    assert question["pool"]["code"] == "oll-27"
    assert "oll-27" in question["pool"]["cases"]
    assert question["sees"]
    assert "OLL" not in question["sees"]
    assert "<svg" not in str(question)


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
    assert taken["answered"]["tells"]
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
    question = ask(client).json()
    post(client, ANSWERS, {"seal": question["seal"], "answer": case_of(question)})
    answer = ask(client)
    assert refusal(answer) == (409, "conflict")
    assert answer.json()["error"]["message"] == "That is enough practice for today. Go on tomorrow."
