"""What an address asks wrongly: one rule for all pages, and one for the API.

The choices are the same on both sides. A program is refused with the name of the field, since it
would take the answer for what it asked; a page shows what it shows when nothing is asked, since a
person comes to it by links of ours, or by an old one.
"""

import pytest
from django.http import QueryDict

from logs.http.pages import several
from logs.limits import MEMBERS_CHOSEN
from logs.people.models import Role, Visibility
from tests.factories import make_client, make_club, make_membership, make_rows, make_upload
from tests.logs.api.test_answers import program, refusal

pytestmark = pytest.mark.django_db

# Page, what it shows of the choice, endpoint, field, a value that cannot be taken.
WRONG = [
    ("/solves/", "report", "solves", "kind", "race"),
    ("/solves/", "report", "solves", "case", "oll-99"),
    ("/solves/", "report", "solves", "page", "0"),
    ("/solves/", "report", "solves", "page", "two"),
    ("/solves/", "report", "solves", "behind", "everything"),
    ("/solves/", "report", "solves", "since", "yesterday"),
    ("/solves/", "report", "solves", "days", "8"),
    ("/progress/", "report.choice", "progress", "stage", "f2l"),
    ("/progress/", "report.choice", "progress", "family", "birds"),
    ("/progress/", "report.choice", "progress", "order", "beauty"),
    ("/progress/", "report.choice", "progress", "looks", "three"),
    ("{club}/", "report.choice", "{club}", "stage", "f2l"),
    ("{club}/", "report.choice", "{club}", "family", "birds"),
    ("{club}/", "report.choice", "{club}", "standing", "tired"),
    ("{club}/", "report.choice", "{club}", "names", "invented"),
    ("{club}/compare/", "report.choice", "{club}/compare", "part", "cross"),
    ("{club}/compare/", "report.choice", "{club}/compare", "stage", "f2l"),
    ("/practice/", "report.choice", "practice/question", "task", "dance"),
    ("/practice/", "report.choice", "practice/question", "view", "below"),
    ("/practice/", "report.choice", "practice/question", "what", "fish"),
    ("/drills/", "report.ask", "drills", "n", "many"),
    ("/drills/", "report.ask", "drills", "last", "mauve"),
    ("/drills/", "report.ask", "drills", "seed", "-1"),
    ("/drills/", "report.ask", "drills", "what", "fish"),
]


@pytest.fixture
def coach():
    coach = make_membership(make_club(), role=Role.COACH, visibility=Visibility.CLUB)
    make_upload(coach.user, make_rows(3))
    return coach


@pytest.mark.parametrize(("page", "name", "place", "field", "value"), WRONG)
def test_a_program_is_refused_and_a_page_passes_over_it(
    coach, page: str, name: str, place: str, field: str, value: str
):
    club = f"clubs/{coach.club.slug}"
    answer = program(coach.user).get(f"/api/v1/{place.format(club=club)}", {field: value})
    assert refusal(answer) == (422, "invalid")
    assert answer.json()["error"]["field"] == field
    client, address = make_client(coach.user), page.format(club=f"/{club}")

    def choice(**query: str) -> object:
        answer = client.get(address, query)
        assert answer.status_code == 200
        shown = answer.context["report"]
        for part in name.split(".")[1:]:
            shown = getattr(shown, part)
        return shown

    assert choice(**{field: value}) == choice()


@pytest.mark.parametrize("page", ["?page=99", "?page=1"])
def test_past_the_end_is_the_last_page_for_both(coach, page: str):
    answer = program(coach.user).get(f"/api/v1/solves{page}").json()
    report = make_client(coach.user).get(f"/solves/{page}").context["report"]
    assert (answer["page"], answer["n_pages"]) == (report.page, report.n_pages) == (1, 1)


def test_both_list_the_solves_behind_a_figure(coach):
    client, page = program(coach.user), make_client(coach.user)
    for query, n in (
        ("?case=oll-27&behind=looks", 3),
        ("?since=2026-03-01", 3),
        ("?since=2026-03-02&days=7", 0),
        ("?since=2026-02-23&days=7", 3),
    ):
        answer = client.get(f"/api/v1/solves{query}").json()
        report = page.get(f"/solves/{query}").context["report"]
        assert (answer["n"], report.n) == (n, n), query


def test_what_is_sent_again_and_again_under_a_name_is_looked_at_once():
    sent = QueryDict("case=oll-27&" * 400 + "case=oll-28")
    assert several(sent, "case") == ["oll-27", "oll-28"]
    many = QueryDict("&".join(f"member={n}" for n in range(900)))
    assert several(many, "member") == [str(n) for n in range(MEMBERS_CHOSEN)]
    assert several(QueryDict(""), "case") == []
