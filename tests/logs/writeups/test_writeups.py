"""Solves written down through the page: kept as they are written, read by the engine, sent into the log."""

from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from cubecore.rows import format_time_exactly
from logs.errors import TooManyTriesError
from logs.people.models import Membership
from logs.solves.models.solves import Solve
from logs.writeups.models import Writeup
from logs.writeups.services import READING, reading_count
from tests.demo.written import demo_solves, labels, write_down
from tests.factories import (
    LAST_PAIR,
    SUNE,
    T_PERM,
    make_client,
    make_club,
    make_membership,
    make_row,
    make_upload,
)

pytestmark = pytest.mark.django_db
ANTISUNE = "R U2 R' U' R U' R'"  # of OLL 26
ROW = make_row()._replace(turn_ms=None)
TIME_ONLY = ROW._replace(solution=None)


@pytest.fixture
def member() -> Membership:
    return make_membership(make_club())


@pytest.fixture
def mine(member: Membership) -> Client:
    return make_client(member)


def begin(mine: Client, scramble: str = ROW.scramble, time: str = "9.87") -> Writeup:
    mine.post("/write/", {"scramble": scramble, "time": time})
    return Writeup.objects.order_by("-pk")[0]


def read(mine: Client, own: Writeup, solution: str, edition: int = 1, **more: str) -> Any:
    sent = {"solution": solution, "edition": edition, **more}
    return mine.post(f"/write/{own.pk}/read/", sent).json()


def test_demo_solves_are_written_down_by_typing_two_layers_and_picking_offers(mine: Client):
    n_typed = n_tokens = 0
    for n, row in enumerate(demo_solves("kestrel.jsonl", 4)):
        own = begin(mine, row.scramble, format_time_exactly(row.time_ms))

        def offers(text: str, own: Writeup = own) -> list[str]:
            return [offer["text"] for offer in read(mine, own, text)["offers"]]

        written = write_down(row, offers)
        assert read(mine, own, written.text)["isSolved"]
        mine.post(f"/write/{own.pk}/", {"solution": written.text, "then": "send"})
        solve = Solve.objects.order_by("-pk")[0]
        assert Solve.objects.count() == n + 1
        assert labels(row._replace(solution=solve.solution)) == labels(row)
        n_typed, n_tokens = n_typed + written.n_typed, n_tokens + written.n_tokens
    assert n_typed <= 0.6 * n_tokens
    assert not Writeup.objects.exists()


def test_the_strip_fills_in_and_the_case_is_named(mine: Client):
    own = begin(mine)
    assert (
        read(mine, own, "")["now"] == "Done with the yellow cross: cross, pair 1, pair 2, pair 3."
    )
    pair = read(mine, own, LAST_PAIR)
    assert pair["now"] == "OLL 27 Sune lies open."
    assert [stage["at"] for stage in pair["stages"]] == [0, 0, 0, 0, 3, None, None]
    assert pair["stages"][5]["label"] == "OLL 27 Sune"
    assert SUNE in [offer["text"] for offer in pair["offers"]]
    assert read(mine, own, f"{LAST_PAIR} R U R'")["now"] == "In the midst of the last layer."
    done = read(mine, own, f"{LAST_PAIR} {SUNE} {T_PERM}")
    assert done["isSolved"]
    assert [stage["at"] for stage in done["stages"]] == [0, 0, 0, 0, 3, 10, 24]


def test_an_offer_is_lined_up_for_how_the_cube_is_held(mine: Client):
    own = begin(mine)
    text = f"{LAST_PAIR} U x2 y"
    for offer in read(mine, own, text)["offers"]:
        after = read(mine, own, f"{text} {offer['text']}")
        assert offer["isStep"] or after["stages"][5]["at"] is not None


def test_a_token_that_cannot_be_read_is_named_in_its_place(mine: Client):
    own = begin(mine)
    bad = read(mine, own, "R U Q R'")
    assert bad["problem"]["column"] == 5
    assert bad["problem"]["token"] == "Q"
    assert "expected" in bad["problem"]["message"]
    assert [step["token"] for step in bad["steps"]] == ["", "R", "U"]
    assert read(mine, own, "R (U R")["problem"]["column"] == 3


def test_what_would_solve_it_is_offered(mine: Client):
    own = begin(mine)
    whole = f"{LAST_PAIR} {SUNE} {T_PERM}"
    for wrong in (whole.replace("R U2 R'", "R U R'"), whole[:-3], f"U {whole}"):
        mends = read(mine, own, wrong, whole="1")["mends"]
        assert mends
        assert all(read(mine, own, mend)["isSolved"] for mend in mends)
    assert read(mine, own, "R U", whole="1")["mends"] == []


def test_another_case_than_was_written_is_named(mine: Client):
    own = begin(mine)
    wrong = read(mine, own, f"{LAST_PAIR} {ANTISUNE}")
    assert "The case was OLL 27 Sune" in wrong["mixUp"]["words"]
    mended = read(mine, own, wrong["mixUp"]["text"])
    assert (mended["mixUp"], mended["stages"][5]["at"]) == (None, 10)


def test_what_is_written_is_kept_and_never_replaced_by_something_older(mine: Client):
    own = begin(mine)
    read(mine, own, "R U", edition=2)
    assert read(mine, own, "R", edition=1)["edition"] == 2
    own.refresh_from_db()
    assert own.solution == "R U"
    assert "R U</textarea>" in mine.get(f"/write/{own.pk}/").content.decode()
    assert "R U" in mine.get("/write/").content.decode()


def test_a_solve_of_the_log_without_a_solution_gets_it(mine: Client, member: Membership):
    make_upload(member.user, [TIME_ONLY])
    solve = Solve.objects.get()
    assert "Write it down" in mine.get(f"/solves/{solve.pk}/").content.decode()
    for _ in range(2):
        mine.post("/write/", {"solve": str(solve.pk)})
    own = Writeup.objects.get()
    response = mine.post(f"/write/{own.pk}/", {"solution": ROW.solution, "then": "send"})
    assert response["Location"] == f"/solves/{solve.pk}/"
    solve.refresh_from_db()
    assert (solve.solution, solve.sightings.count()) == (ROW.solution, 2)
    assert mine.post("/write/", {"solve": str(solve.pk)}).status_code == 404


def test_without_script_the_form_is_checked_on_sending(mine: Client):
    own = begin(mine)
    response = mine.post(f"/write/{own.pk}/", {"solution": "R U", "then": "send"})
    assert response.status_code == 422
    assert "do not solve this scramble" in response.content.decode()
    assert Writeup.objects.get().solution == "R U"
    empty = mine.post(f"/write/{own.pk}/", {"solution": " ", "then": "send"})
    assert "nothing is written yet" in empty.content.decode()
    page = mine.post(f"/write/{own.pk}/", {"solution": LAST_PAIR, "then": "look"}).content.decode()
    assert "OLL 27 Sune lies open." in page
    assert f'value="{LAST_PAIR} {SUNE}"'.replace("'", "&#x27;") in page
    mine.post(f"/write/{own.pk}/", {"solution": LAST_PAIR, "offer": f"{LAST_PAIR} {SUNE}"})
    own.refresh_from_db()
    assert own.solution == f"{LAST_PAIR} {SUNE}"


def test_a_scramble_or_time_that_cannot_be_taken_is_said_at_once(mine: Client):
    for scramble, time, words in (
        ("R Q", "9.87", "cannot be read here"),
        ("R R'", "9.87", "leaves the cube solved"),
        ("R U", "soon", "write seconds as"),
    ):
        response = mine.post("/write/", {"scramble": scramble, "time": time})
        assert response.status_code == 422
        assert words in response.content.decode()
    assert not Writeup.objects.exists()


def test_reading_is_bounded(mine: Client, member: Membership):
    own = begin(mine)
    now = timezone.now()
    for _ in range(READING.n_account):
        reading_count(actor=member.user, address="192.0.2.1", now=now)  # RFC 5737, documentation
    with pytest.raises(TooManyTriesError):
        reading_count(actor=member.user, address="192.0.2.1", now=now)
    reading_count(actor=member.user, address="192.0.2.1", now=now + READING.window)
    assert read(mine, own, "R")["edition"] == 1


def test_dropping_leaves_the_log_as_it_is(mine: Client, member: Membership):
    make_upload(member.user, [TIME_ONLY])
    mine.post("/write/", {"solve": str(Solve.objects.get().pk)})
    mine.post(f"/write/{Writeup.objects.get().pk}/drop/")
    assert not Writeup.objects.exists()
    assert Solve.objects.get().solution == ""
