"""The pages of teaching: a case in its hold, the club's book, sheets."""

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from logs.jobs.models import Job, JobKind
from logs.people.models import Membership, Visibility
from logs.solves.services import relabel
from tests.factories import (
    LAST_PAIR,
    SUNE,
    T_PERM,
    make_client,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = pytest.mark.django_db

CORNER_CYCLE = "R U' L' U R' U' L"  # an OLL 27 that the standard book lacks
SESSION_AND_USER = 2


def book_at(member: Membership, rest: str = "") -> str:
    return f"/clubs/{member.club.slug}/book/{rest}"


def said(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


def test_a_case_is_shown_in_its_hold_and_from_any_angle(coach):
    client = make_client(coach)
    held = client.get("/cases/oll/27/").context["report"].teaching
    assert held.is_hold
    assert [angle.n_quarter_turns for angle in held.angles] == [0, 1, 2, 3]
    turned = client.get("/cases/oll/27/?angle=2").context["report"].teaching
    assert (turned.is_hold, turned.held.angle) == (False, 2)
    assert client.get("/cases/oll/27/?angle=x").context["report"].teaching.held.angle == 0
    assert client.get("/cases/oll/27/?angle=7").context["report"].teaching.held.angle == 3


def test_the_cue_names_the_readers_own_last_layer_colour(coach):
    client = make_client(coach)
    assert "is yellow, a lone corner" in said(client, "/cases/oll/27/")
    # Rows are turned in the hold of the scramble, white up: the cross is yellow, white is last.
    make_upload(coach.user, [make_row()])
    assert "is white, a lone corner" in said(client, "/cases/oll/27/")


def test_the_text_alternative_of_a_picture_is_its_cue(coach):
    page = said(make_client(coach), "/cases/oll/5/")
    cue = "OLL 5 Square: Square, on the front right. The right face's right corner is yellow"
    assert cue in page.replace("&#x27;", "'")
    assert page.count('class="cue-ring"') >= 2  # its own and its look-alike's


def test_the_book_is_read_by_all_and_changed_by_coaches(coach):
    member = make_membership(coach.club)
    assert "Prove and add it" in said(make_client(coach), book_at(coach, "oll/27/"))
    page = said(make_client(member), book_at(coach, "oll/27/"))
    assert SUNE.replace("'", "&#x27;") in page
    assert "Prove and add it" not in page
    assert "Give the name" not in said(make_client(member), book_at(coach))


def test_what_is_proved_is_added_and_known_in_every_look(coach):
    make_upload(coach.user, [make_row(LAST_PAIR, CORNER_CYCLE, T_PERM)])
    client = make_client(coach)
    use = client.get(book_at(coach, "oll/27/")).context["report"].uses
    assert [(one.is_in_book, one.n, one.n_members) for one in use] == [(False, 1, 1)]
    answer = client.post(book_at(coach, "oll/27/add/"), {"text": CORNER_CYCLE, "note": "short"})
    assert answer.status_code == 302
    report = client.get(answer["Location"]).context["report"]
    assert [(e.facts.text, e.note) for e in report.entries][-1] == (CORNER_CYCLE, "short")
    assert [(one.text, one.is_in_book) for one in report.uses] == [(CORNER_CYCLE, True)]
    assert not client.get(book_at(coach)).context["report"].is_behind


def test_what_is_refused_stays_in_the_field_with_the_reason(coach):
    answer = make_client(coach).post(book_at(coach, "oll/27/add/"), {"text": "R U R' U R U R'"})
    assert answer.status_code == 422
    page = answer.content.decode().replace("&#x27;", "'")
    assert "at turn 6 that has U2 and this has U" in page
    assert "value=\"R U R' U R U R'\"" in page


def test_algorithms_are_moved_and_taken_out(coach):
    client = make_client(coach)
    entries = client.get(book_at(coach, "oll/27/")).context["report"].entries
    second = entries[1].facts.text
    client.post(book_at(coach, "oll/27/move/"), {"text": second, "place": "1"})
    report = client.get(book_at(coach, "oll/27/")).context["report"]
    assert report.entries[0].facts.text == second
    assert report.held.angle == report.entries[0].facts.angle
    client.post(book_at(coach, "oll/27/retire/"), {"text": SUNE})
    for change in ("retire", "move"):  # from a page left open
        sent = {"text": SUNE, "place": "1"}
        late = client.post(book_at(coach, f"oll/27/{change}/"), sent, follow=True)
        assert "has no such algorithm for this case" in late.content.decode()
    last = client.post(book_at(coach, "oll/27/retire/"), {"text": second}, follow=True)
    assert "the only one for this case" in last.content.decode()
    assert len(last.context["report"].entries) == len(entries) - 1


def test_a_name_is_given_and_read_out(coach):
    client = make_client(coach)
    given = {"name": "the dip", "turns": "R U R' U"}
    assert "is called the dip" in client.post(
        book_at(coach, "triggers/"), given, follow=True
    ).content.decode().replace("&#x27;", "'")
    again = client.post(book_at(coach, "triggers/"), given, follow=True).content.decode()
    assert "No name was given" in again
    unread = client.post(book_at(coach, "triggers/"), {"name": "x", "turns": "?"}, follow=True)
    assert "No name was given" in unread.content.decode()
    nameless = client.post(book_at(coach, "triggers/"), {"turns": "F R"}, follow=True)
    assert "No name was given" in nameless.content.decode()
    client.post(book_at(coach, "triggers/forget/"), {"name": "the dip"})
    assert not client.get(book_at(coach)).context["report"].triggers[0].is_own
    late = client.post(book_at(coach, "triggers/forget/"), {"name": "the dip"}, follow=True)
    assert "has given no such name" in late.content.decode()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("R U R'", "does not bring the first two layers back"),
        ("R U Q", "Q"),
        (CORNER_CYCLE, "OLL 27 Sune"),
        (SUNE, "and is in the book"),
    ],
)
def test_an_algorithm_is_tried_out(coach, text, words):
    page = Client.get(make_client(coach), book_at(coach), {"try": text}).content.decode()
    assert words in page


def test_labels_that_are_behind_are_said_and_made_anew(coach, monkeypatch):
    make_upload(make_membership(coach.club).user, make_rows(2, LAST_PAIR, CORNER_CYCLE, T_PERM))
    monkeypatch.setattr(relabel, "RELABEL_LIMIT", 1)
    client = make_client(coach)
    added = client.post(book_at(coach, "oll/27/add/"), {"text": CORNER_CYCLE}, follow=True)
    assert "labelled anew while you go on" in added.content.decode()
    page = said(client, book_at(coach))
    assert "Waiting for its turn" in page
    assert "0 of 2 solves done" in page
    assert "Label them anew" not in page
    client.post(f"/jobs/{Job.objects.get(kind=JobKind.RELABEL).pk}/stop/")
    assert "Label them anew" in said(client, book_at(coach))
    monkeypatch.setattr(relabel, "RELABEL_LIMIT", 2)
    done = client.post(book_at(coach, "relabel/"), follow=True).content.decode()
    assert "labelled by the book as it stands" in done
    assert "labels of an earlier book" not in done


def test_a_case_that_is_none_is_not_there(coach):
    client = make_client(coach)
    for address in ("oll/58/", "pll/Q/", "x/1/"):
        assert client.get(book_at(coach, address)).status_code == 404
        assert client.post(book_at(coach, address + "add/"), {"text": SUNE}).status_code == 404


def test_a_sheet_is_chosen_shown_and_sent_as_pdf(coach):
    client = make_client(coach)
    assert 'name="case"' in said(client, "/sheet/")
    page = said(client, "/sheet/?case=oll-41&case=oll-41&case=none&paper=letter")
    assert page.count("<h2>OLL 41 Awkward</h2>") == 1
    assert "Mirror: OLL 42 Awkward" in page
    assert "Sune, then F, righty trigger, F&#x27;" in page
    assert "sheet-letter.css" in page
    answer = client.get("/sheet.pdf?case=oll-41&paper=a4")
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="last-layer-cases.pdf"'
    assert answer.content.startswith(b"%PDF-")


@pytest.mark.parametrize("n", [1, 50])
def test_the_book_asks_as_often_for_many_members_as_for_one(coach, n):
    for _ in range(n):
        make_upload(make_membership(coach.club, visibility=Visibility.CLUB).user)
    client = make_client(coach)

    def n_queries(address: str) -> int:
        client.get(address)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(address).status_code == 200
        return len(queries) - SESSION_AND_USER

    # Club with own place, groups, and members, for the tabs; club, algorithms, names; then for the coach whether
    # labels are behind: clubs coached, members, their clubs, those clubs' books, solves.
    assert n_queries(book_at(coach)) == 12
    # As above, then who is seen and their sightings in one, the reader's colour, and the coach's words. Where one
    # member's own times stand there, the look is noted.
    assert n_queries(book_at(coach, "oll/27/")) == (10 if n == 1 else 9)
