"""What programs are answered: figures as the pages have them, one shape of refusals."""

import json
import re

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from logs.people.models import ApiToken, AuditEvent, Role, Verb, Visibility
from logs.people.page.clubs import made_schema
from logs.people.services.tokens import token_make
from logs.solves.models.solves import Solve, Upload
from tests.factories import (
    NOW,
    make_client,
    make_club,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = pytest.mark.django_db


def program(user, *scopes: str) -> Client:
    """A program with a token of ``user``, good for ``scopes``."""
    _, text = token_make(
        actor=user, name=f"test {scopes}", scopes=scopes or ("read",), days=1, now=timezone.now()
    )
    return Client(headers={"authorization": f"Bearer {text}"})


def post(client: Client, path: str, body: object):
    return client.post(path, json.dumps(body), content_type="application/json")


def test_a_solve_list_has_what_the_page_has(member):
    make_upload(member.user, make_rows(60))
    answer = program(member.user).get("/api/v1/solves?page=2&case=oll-27").json()
    assert (answer["n"], answer["page"], answer["n_pages"], len(answer["lines"])) == (60, 2, 2, 10)
    assert answer["lines"][0]["oll"]["title"] == "OLL 27 Sune"
    assert answer["whose"]["is_own"] is True
    assert "user" not in answer["whose"]


def test_a_case_answers_figures_with_counts_and_sightings_with_their_solves(member):
    make_upload(member.user, make_rows(4))
    answer = program(member.user).get("/api/v1/cases/oll/27").json()
    solves = set(Solve.objects.values_list("pk", flat=True))
    assert (answer["n"], answer["n_one_look"], answer["times"]["n"]) == (4, 4, 4)
    assert {one["solve_id"] for one in answer["sightings"]} == solves
    assert "<svg" not in json.dumps(answer)


def test_a_club_is_answered_by_its_name_and_by_its_place_in_addresses():
    coach = make_membership(make_club("Riverbank"), role=Role.COACH)
    client = program(coach.user)
    case = client.get("/api/v1/cases/oll/27").json()
    named = {"name": "Riverbank", "slug": coach.club.slug}
    assert case["coached"] == case["teaching"]["books"] == [named]
    assert client.get("/api/v1/homework").json()["coached"] == [named]


def test_a_case_of_a_club_has_what_the_page_has():
    coach = make_membership(make_club(), role=Role.COACH)
    make_upload(coach.user, [make_row(done_at=timezone.now())])
    answer = program(coach.user).get(f"/api/v1/clubs/{coach.club.slug}/cases/oll/27").json()
    title = answer["case"]["title"]
    assert (title, answer["n"], len(answer["weeks"])) == ("OLL 27 Sune", 1, 12)
    week = answer["weeks"][0]
    assert (week["n_members"], week["met"]["n"], week["met"]["n_one_look"]) == (1, 1, 1)
    assert week["met"]["one_look_share"] is None  # of one look nothing is said
    assert "figure" not in answer


def test_a_file_sent_twice_is_answered_the_same_and_added_once(member):
    client, content = program(member.user, "upload"), make_csv(make_rows(3))

    def send():
        return client.post("/api/v1/uploads", {"file": SimpleUploadedFile("log.csv", content)})

    first, again = send(), send()
    assert (first.status_code, again.status_code) == (201, 200)
    assert (first.json()["is_repeat"], again.json()["is_repeat"]) == (False, True)
    assert first.json()["report"] == again.json()["report"]
    assert first.json()["report"]["upload"]["n_taken"] == 3
    assert Upload.objects.count() == 1


def test_one_solve_is_added_once_whatever_the_order_of_its_fields(member):
    client = program(member.user, "upload")
    solve = {"scramble": "F R", "time": 3.21, "solution": "R' F'", "note": "é", "penalty": "+2"}
    first = post(client, "/api/v1/solves", solve)
    again = post(client, "/api/v1/solves", dict(reversed(solve.items())))
    assert (first.status_code, again.status_code) == (201, 200), first.content
    assert first.json()["solve_id"] == again.json()["solve_id"] == Solve.objects.get().pk
    assert Solve.objects.get().time_ms == 3_210


def test_a_solve_the_log_has_from_a_file_is_doubled(member):
    make_upload(member.user, [make_row("R U", done_at=NOW)])
    stored = Solve.objects.get()
    solve = {
        "scramble": stored.scramble,
        "time": stored.time_ms / 1000,
        "solution": "R U",
        "turn_ms": [1500, 1650],
        "done_at": NOW.isoformat(),
    }
    answer = post(program(member.user, "upload"), "/api/v1/solves", solve).json()
    assert (answer["is_doubled"], answer["solve_id"]) == (True, stored.pk)
    assert not answer["is_repeat"]
    assert Solve.objects.count() == 1


def test_a_solve_that_cannot_be_taken_is_refused_by_field_and_nothing_is_kept(member):
    answer = post(program(member.user, "upload"), "/api/v1/solves", {"scramble": "F Q", "time": 1})
    assert answer.status_code == 422
    error = answer.json()["error"]
    assert (error["field"], error["line"]) == ("scramble", 1)
    assert "Q" in error["message"]
    assert Upload.objects.count() == 0


def test_a_row_is_mended(member):
    upload = make_upload(
        member.user, content=make_csv([make_row()]) + b"2026-03-01T13:00:00Z,R U,,,,,x\r\n"
    )
    reading, sending = program(member.user), program(member.user, "upload")
    (row,) = reading.get(f"/api/v1/uploads/{upload.pk}/set-aside").json()["lines"]
    path = f"/api/v1/set-aside/{row['id']}/mend"
    refused = post(sending, path, {"text": row["text"]})
    assert (refused.status_code, refused.json()["error"]["field"]) == (422, "time")
    taken = post(sending, path, {"text": "2026-03-01T13:00:00Z,R U,1.23,,U' R',,"})
    assert taken.status_code == 200
    assert Solve.objects.filter(pk=taken.json()["solve_id"], member=member.user).exists()
    assert post(sending, path, {"text": "x"}).status_code == 409


def test_a_due_date_is_taken_however_soon():
    coach = make_membership(make_club(), role=Role.COACH)
    learner = make_membership(coach.club, visibility=Visibility.COACH)
    day = str(timezone.now().date())
    plan = {"case": ["oll-27"], "member": [learner.pk], "due_on": day}
    place = f"/api/v1/clubs/{coach.club.slug}/homework"
    answer = post(program(coach.user, "manage"), place, plan)
    assert answer.status_code == 201
    (line,) = program(coach.user).get(place).json()["open"]
    assert line["head"]["due_on"] == day


def refusal(answer) -> tuple[int, str]:
    error = answer.json()["error"]
    assert set(error) == {"code", "message", "field", "line", "problems"}
    assert error["message"]
    return answer.status_code, error["code"]


def test_every_refusal_has_one_shape(member):
    client = program(member.user, "read", "upload")
    send = "/api/v1/uploads"
    assert refusal(Client().get("/api/v1/log")) == (401, "not_authenticated")
    assert refusal(client.get("/api/v1/nothing/here/")) == (404, "not_found")
    assert refusal(client.get("/api/v1/solves/1")) == (404, "not_found")
    assert refusal(client.put("/api/v1/log")) == (405, "method_not_allowed")
    assert refusal(client.options("/api/v1/log")) == (405, "method_not_allowed")
    assert refusal(client.get("/api/v1/solves?kind=race")) == (422, "invalid")
    assert refusal(client.post(send, "{", content_type="application/json")) == (400, "parse_error")
    deep = "[" * 100_000
    assert refusal(client.post(send, deep, content_type="application/json")) == (400, "parse_error")
    assert refusal(client.post(send, "a,b", content_type="text/csv"))[0] == 415
    assert refusal(client.post(send, {}, content_type="application/json")) == (422, "invalid")
    large = client.post("/api/v1/solves", "[" + "1," * 600_000, content_type="application/json")
    assert refusal(large) == (413, "too_large")
    reading = program(member.user, "read")
    assert refusal(post(reading, send, {"text": "x"})) == (403, "scope_missing")
    sending = program(member.user, "upload")
    assert refusal(sending.get("/api/v1/log")) == (403, "scope_missing")


def test_surrogates_and_zero_characters_are_no_fault_of_ours(member):
    client = program(member.user, "upload")
    for text in ("\ud800", "\x00", "scramble,time\n\ud800,1"):
        answer = post(client, "/api/v1/uploads", {"text": text})
        assert answer.status_code == 422, text
        answer = post(client, "/api/v1/solves", {"scramble": text, "time": 1, text: text})
        assert answer.status_code == 422, text


def test_pages_and_the_api_carry_the_same_headers(member):
    page = make_client(member.user)
    ours = program(member.user).get("/api/v1/log").headers
    theirs = page.get("/").headers
    for name in ("Content-Security-Policy", "Referrer-Policy", "X-Frame-Options"):
        assert ours[name] == theirs[name]
    assert ours["Cache-Control"] == "private, no-cache"
    assert ours["X-Content-Type-Options"] == "nosniff"


def test_an_address_with_a_line_end_in_it_is_refused_in_the_same_shape(member):
    assert refusal(program(member.user).get("/api/v1/homework/%0A/x")) == (404, "not_found")


def test_those_compared_find_that_their_figures_were_read():
    coach = make_membership(make_club(), role=Role.COACH)
    chosen = [make_membership(coach.club, visibility=Visibility.CLUB) for _ in range(2)]
    make_membership(coach.club, visibility=Visibility.CLUB)  # not chosen
    client = program(coach.user)
    compare = f"/api/v1/clubs/{coach.club.slug}/compare?" + "&".join(
        f"member={one.pk}" for one in chosen
    )
    client.head(compare)
    assert not AuditEvent.objects.filter(verb=Verb.LOOK).exists()
    client.get(compare)
    looks = AuditEvent.objects.filter(verb=Verb.LOOK, actor=coach.user, page="compare")
    assert {look.member for look in looks} == {one.user for one in chosen}


@pytest.mark.parametrize("scope", ["read", "upload", "manage"])
def test_a_token_is_good_for_its_scope_alone(member, scope):
    client, n_operations = program(member.user, scope), 0
    for place, methods in made_schema()["paths"].items():
        address = re.sub(r"\{\w+\}", "1", place)
        for method, said in methods.items():
            answer = client.generic(method.upper(), address, content_type="application/json")
            is_refused = answer.status_code == 403 and refusal(answer)[1] == "scope_missing"
            assert is_refused == (said["x-scope"] != scope), (method, place)
            n_operations += 1
    assert n_operations > 50


def test_a_session_signs_nobody_in_here(member):
    page = make_client(member.user)
    assert page.get("/api/v1/log").status_code == 401
    assert post(page, "/api/v1/uploads", {"text": "x"}).status_code == 401


def test_a_token_s_use_is_noted(member):
    client = program(member.user)
    assert ApiToken.objects.get().last_used_at is None
    client.get("/api/v1/log")
    assert ApiToken.objects.get().last_used_at is not None
