"""The drill pages: what is dealt, in which forms, within the day's number, and the same again."""

import csv
import io
from collections import Counter
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.utils import timezone
from pypdf import PdfReader

from cubecore.book import default_book
from cubecore.replay import replay_row
from cubecore.results import Kind
from cubecore.rows import Row
from logs.homework.models import DrillAnswer
from logs.homework.plan import Plan
from logs.homework.services import homework_set
from logs.intake.formats import PLAIN_FIELDS
from logs.people.models import Membership, Visibility
from logs.solves.models.solves import Solve
from tests.cubecore import twin
from tests.desk import CASE_40, DRILL
from tests.factories import make_client, make_membership, make_row, make_upload

pytestmark = pytest.mark.django_db
SHEET = "/drills/sheet/?case=oll-33&case=oll-45&n=12&last=yellow&seed=7"
QUERY = SHEET.partition("?")[2]


@pytest.fixture
def mine(coach: Membership) -> Client:
    return make_client(coach.user)


def scrambles(client: Client, address: str) -> list[str]:
    response = client.get(address)
    assert response.status_code == 200
    return [drill.scramble for drill in response.context["sheet"].drills]


def shown(scramble: str) -> str:
    """The OLL that a scramble leads to, as the engine's replay labels it."""
    row = Row(scramble=scramble, time_ms=9000, solution=twin.inverse(scramble))
    result = replay_row(row, default_book())
    assert result.kind is Kind.DRILL
    assert result.oll is not None
    return str(result.oll.case)


def test_a_sheet_deals_its_cases_mixed(mine: Client):
    cases = [shown(scramble) for scramble in scrambles(mine, SHEET)]
    assert Counter(cases) == {"33": 6, "45": 6}
    assert cases != sorted(cases)
    page = mine.get(SHEET).content.decode()
    assert "12 drills of 2 cases in random order" in page
    assert "see a doctor" in page


def test_an_address_makes_the_same_sheet_again(mine: Client):
    assert scrambles(mine, SHEET) == scrambles(mine, SHEET)
    assert scrambles(mine, SHEET) != scrambles(mine, SHEET.replace("seed=7", "seed=8"))


def test_a_sheet_without_a_seed_gets_one_of_its_own(mine: Client):
    response = mine.get("/drills/sheet/?case=oll-33&n=3&last=yellow")
    assert response.status_code == 302
    asked = parse_qs(urlsplit(response["Location"]).query)
    assert int(asked["seed"][0]) > 0
    assert (asked["case"], asked["n"], asked["last"]) == (["oll-33"], ["3"], ["yellow"])
    assert len(scrambles(mine, response["Location"])) == 3


def test_look_alikes_are_dealt_in_when_asked_for(mine: Client):
    alone = scrambles(mine, "/drills/sheet/?case=oll-33&n=10&last=yellow&seed=7")
    mixed = scrambles(mine, "/drills/sheet/?case=oll-33&mix=1&n=10&last=yellow&seed=7")
    assert {shown(one) for one in alone} == {"33"}
    assert {shown(one) for one in mixed} == {"33", "45"}  # the two T's: one shape on top


def test_text_log_and_pdf_hold_the_same_scrambles(mine: Client):
    made = scrambles(mine, SHEET)
    text = mine.get(f"/drills/scrambles.txt?{QUERY}").content.decode()
    assert [line.partition(". ")[2] for line in text.splitlines() if line[:1].isdigit()][
        -12:
    ] == made
    rows = list(csv.DictReader(io.StringIO(mine.get(f"/drills/log.csv?{QUERY}").content.decode())))
    assert [row["scramble"] for row in rows] == made
    assert tuple(rows[0]) == PLAIN_FIELDS
    assert not any(value for row in rows for name, value in row.items() if name != "scramble")
    pdf = PdfReader(io.BytesIO(mine.get(f"/drills/sheet.pdf?{QUERY}").content))
    printed = " ".join(page.extract_text() for page in pdf.pages)
    assert all(scramble in printed for scramble in made)
    assert "see a doctor" in printed


def test_a_filled_in_log_is_taken_as_drills(mine: Client, coach: Membership):
    empty = mine.get(f"/drills/log.csv?{QUERY}").content.decode()
    lines = list(csv.reader(io.StringIO(empty)))
    for line in lines[1:]:
        line[PLAIN_FIELDS.index("time")] = "9.87"
        line[PLAIN_FIELDS.index("solution")] = twin.inverse(line[PLAIN_FIELDS.index("scramble")])
    filled = io.StringIO()
    csv.writer(filled).writerows(lines)
    make_upload(coach.user, content=filled.getvalue().encode())
    assert set(Solve.objects.values_list("kind", flat=True)) == {Kind.DRILL}
    assert Solve.objects.count() == 12


def test_no_more_are_dealt_than_a_day_may_have(mine: Client, coach: Membership):
    assert mine.get("/drills/sheet/?case=oll-33&n=31&last=yellow&seed=7").status_code == 302
    assert len(scrambles(mine, "/drills/sheet/?case=oll-33&n=30&last=yellow&seed=7")) == 30
    response = mine.post(f"/clubs/{coach.club.slug}/practice-cap/", {"practice_cap": "5"})
    assert response["Location"] == f"/clubs/{coach.club.slug}/homework/#practice"
    moved = mine.get("/drills/sheet/?case=oll-33&n=30&last=yellow&seed=7")
    assert "n=5" in moved["Location"]
    assert len(mine.get("/drills/log.csv?case=oll-33&n=30&seed=7").content.splitlines()) == 6


@pytest.mark.parametrize("number", ["", "0", "201", "-4", "many"])
def test_a_number_that_cannot_be_is_refused_and_nothing_changes(
    mine: Client, coach: Membership, number: str
):
    address = f"/clubs/{coach.club.slug}/practice-cap/"
    page = mine.post(address, {"practice_cap": number}, follow=True).content.decode()
    assert "Give a number from 1 to 200." in page
    coach.club.refresh_from_db()
    assert coach.club.practice_cap == 30


def test_the_day_says_when_it_is_enough(mine: Client, coach: Membership):
    mine.post(f"/clubs/{coach.club.slug}/practice-cap/", {"practice_cap": "2"})
    now = timezone.now()
    page = mine.get("/drills/").content.decode()
    assert "Keep these for tomorrow" not in page
    rows = [make_row(*DRILL, done_at=now, gap_ms=gap) for gap in (90, 91)]
    make_upload(coach.user, rows, now=now)
    page = mine.get("/drills/").content.decode()
    assert "2 drills of today are in your log, and at most 2 a day are wanted" in page


def test_homework_is_offered_first_and_named_in_the_address(mine: Client, coach: Membership):
    member = make_membership(coach.club, visibility=Visibility.COACH)
    homework_set(
        actor=coach.user,
        slug=coach.club.slug,
        plan=Plan(cases=(CASE_40,), membership_ids=(member.pk,)),
        now=timezone.now(),
    )
    client = make_client(member.user)
    assert client.get("/drills/").context["report"].pools[0].kind == "homework"
    moved = client.get("/drills/sheet/?what=homework&n=3")
    assert "case=oll-40" in moved["Location"]


@pytest.mark.parametrize(
    "query", ["", "?case=oll-99&n=x&seed=-1&last=mauve&what=nothing", "?n=0", "?case=&mix=2"]
)
def test_what_is_asked_wrongly_is_as_if_it_were_not(mine: Client, query: str):
    assert mine.get(f"/drills/{query}").status_code == 200
    response = mine.get(f"/drills/sheet/{query}", follow=True)
    assert response.status_code == 200
    assert response.context["sheet"].drills
    for name in ("sheet.pdf", "scrambles.txt", "log.csv"):
        assert mine.get(f"/drills/{name}{query}").status_code == 200


def test_a_word_is_kept_with_its_time_and_told_alone_to_a_page_that_stays(mine: Client):
    seal = mine.get("/drills/sheet/?case=oll-27&n=2&seed=3&last=yellow").context["in_hand"][0][
        "seal"
    ]
    sent = {"seal": seal, "word": "clean", "stay": "1"}
    refused = mine.post("/drills/one/", sent | {"time": "soon"})
    assert (refused.status_code, refused.content.decode()) == (
        409,
        "Write the time in seconds, up to 600, or leave it out.",
    )
    assert mine.post("/drills/one/", sent | {"time": "9.87"}).status_code == 204
    assert mine.post("/drills/one/", sent | {"word": "stumbled"}).status_code == 204
    answer = DrillAnswer.objects.get()
    assert (answer.word, answer.time_ms, answer.case) == ("clean", 9_870, "27")
