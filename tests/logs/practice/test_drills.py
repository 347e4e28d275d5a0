"""Drills and the day's cap asked for by programs: the same as on the pages."""

import pytest
from django.utils import timezone

from tests.desk import DRILL
from tests.factories import make_client, make_row, make_upload
from tests.logs.api.test_answers import post, program, refusal

pytestmark = pytest.mark.django_db

ASKED = "?case=oll-33&case=oll-45&mix=1&n=12&last=yellow&seed=7"


def test_a_seed_deals_what_the_pages_deal(coach):
    page = make_client(coach.user)
    sheet = page.get(f"/drills/sheet/{ASKED}").context["sheet"]
    answer = program(coach.user).get(f"/api/v1/drills{ASKED}").json()
    assert [(one["number"], one["scramble"], one["case"]["title"]) for one in answer["drills"]] == [
        (one.number, one.scramble, one.case.title) for one in sheet.drills
    ]
    assert answer["n_cases"] == sheet.n_cases == 2
    assert answer["log"] == page.get(f"/drills/log.csv{ASKED}").content.decode()


@pytest.mark.parametrize("asked", [{"what": "oll"}, {"case": ["oll-33", "pll-T"], "mix": True}])
def test_drills_without_a_seed_say_what_deals_them_again(coach, asked):
    client, asked = program(coach.user), asked | {"n": 200}
    first = client.get("/api/v1/drills", asked).json()
    assert len(first["drills"]) == first["ask"]["n"] == first["day"]["cap"] == 30
    assert client.get("/api/v1/drills", first["ask"]).json() == first


def test_a_day_that_is_full_is_said(coach):
    client, now = program(coach.user, "read", "manage"), timezone.now()
    set_to = post(client, f"/api/v1/clubs/{coach.club.slug}/practice-cap", {"practice_cap": 2})
    assert (set_to.status_code, set_to.json()) == (200, {"practice_cap": 2})
    coach.club.refresh_from_db()
    assert coach.club.practice_cap == 2
    make_upload(coach.user, [make_row(*DRILL, done_at=now, gap_ms=ms) for ms in (90, 91)], now=now)
    day = client.get("/api/v1/drills?case=oll-33&n=1&seed=7").json()["day"]
    assert (day["cap"], day["n_today"]) == (2, 2)
    assert day["is_enough"] is True


@pytest.mark.parametrize(
    ("asked", "field"),
    [
        ("case=oll-58", "case.0"),
        ("what=zbll", "what"),
        ("n=0", "n"),
        ("last=pink", "last"),
        ("seed=0", "seed"),
    ],
)
def test_what_cannot_be_dealt_is_refused_by_field(coach, asked, field):
    answer = program(coach.user).get(f"/api/v1/drills?{asked}")
    assert refusal(answer) == (422, "invalid")
    assert answer.json()["error"]["field"] == field


def test_a_cap_that_cannot_be_is_refused_and_nothing_changes(coach):
    client = program(coach.user, "manage")
    for number in (0, 201, "many"):
        sent = {"practice_cap": number}
        answer = post(client, f"/api/v1/clubs/{coach.club.slug}/practice-cap", sent)
        assert refusal(answer) == (422, "invalid")
        assert answer.json()["error"]["field"] == "practice_cap"
    coach.club.refresh_from_db()
    assert coach.club.practice_cap == 30
