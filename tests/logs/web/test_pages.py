import re
from datetime import timedelta

import pytest
from django.test import Client

from cubecore.rows import Penalty
from logs.people.models import Role, Visibility
from logs.solves.models.solves import Solve
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_csv,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"  # OLL 26


@pytest.fixture
def mine(client: Client, member) -> Client:
    client.force_login(member.user)
    return client


def page_of(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


@pytest.mark.parametrize(
    ("address", "words"),
    [
        ("/solves/", "Your solves will stand here"),
        ("/progress/", "There are none yet among 0 solves."),
        ("/progress/?stage=pll", "The cases met will stand here"),
        ("/cases/", "Where you stand is read from solves that have their turns."),
        ("/cases/pll/T/", "You have not met this case yet: it comes up once in 18 solves."),
    ],
)
def test_an_empty_page_says_what_will_fill_it_and_leads_there(mine: Client, address, words: str):
    page = page_of(mine, address)
    assert words in page
    assert 'href="/log/#add"' in page


def test_a_person_in_no_club_has_a_log_all_the_same(client: Client, django_user_model):
    client.force_login(django_user_model.objects.create(username="alone"))
    assert "You are in no club yet" in page_of(client, "/members/")
    client.post("/uploads/", {"text": make_csv(make_rows(1)).decode()})
    assert "1 solve" in page_of(client, "/solves/")


def test_solves_are_filtered_by_kind_and_case_and_paged(mine: Client, member):
    drill = make_row(SUNE)
    make_upload(member.user, [*make_rows(51), make_row(LAST_PAIR, ANTISUNE), drill])
    first = mine.get("/solves/").context["report"]
    assert (first.n, len(first.lines), first.page, first.n_pages) == (53, 50, 1, 2)
    assert len(mine.get("/solves/?page=2").context["report"].lines) == 3
    assert "Page 2 of 2" in page_of(mine, "/solves/?page=99")
    assert mine.get("/solves/?kind=drill").context["report"].n == 1
    report = mine.get("/solves/?kind=solve&case=oll-26").context["report"]
    assert (report.n, report.case.title) == (1, "OLL 26 Antisune")
    assert report.lines[0].pll.title == "PLL skip"
    assert "No solve fits this choice." in page_of(mine, "/solves/?case=oll-1")


@pytest.mark.parametrize(
    "query", ["kind=x", "case=oll-99", "case=x", "case=oll-", "page=-1", "page=²"]
)
def test_a_filter_that_means_nothing_is_as_none(mine: Client, member, query: str):
    make_upload(member.user, make_rows(2))
    assert mine.get(f"/solves/?{query}").context["report"].n == 2


@pytest.mark.parametrize(
    "query", ["stage=x", "order=mean", "family=x", "looks=x", "family=G", "stage=oll&family=G"]
)
def test_a_choice_that_means_nothing_is_as_none(mine: Client, member, query: str):
    make_upload(member.user, make_rows(2))
    report = mine.get(f"/progress/?{query}").context["report"]
    assert report.choice.family == ""
    assert [line.title for line in report.cases] == ["OLL 27 Sune"]


def test_a_family_without_sightings_leads_back_to_all(mine: Client, member):
    make_upload(member.user, make_rows(1))
    page = page_of(mine, "/progress/?family=dot")
    assert "No case of the family “dot” has come up yet." in page
    assert mine.get("/progress/?family=cross").context["report"].cases[0].number == "27"


def test_progress_shows_figures_with_their_counts(mine: Client, member):
    make_upload(member.user, make_rows(4))
    page = page_of(mine, "/progress/")
    assert "4 solves with turn times" in page
    assert "One look in <strong>4 of 4</strong> cases met" in page
    assert "<strong>56 of 57</strong> have not come up in 4 solves." in page
    assert 'id="shares"' in page
    assert 'id="cases-chart"' in page


def test_untimed_solves_fill_the_table_and_no_chart(mine: Client, member):
    make_upload(member.user, [make_row(is_timed=False)])
    page = page_of(mine, "/progress/")
    assert "None of these was timed" in page
    assert "1 time</a>, 0 timed" in page
    assert "cases-chart" not in page


def test_a_drill_changes_no_figure_of_solves(mine: Client, member):
    make_upload(member.user, make_rows(3))
    before = mine.get("/progress/").context["report"]
    make_upload(member.user, [make_row(SUNE, T_PERM, gap_ms=903)])
    after = mine.get("/progress/").context["report"]
    assert (before.n_drills, after.n_drills) == (0, 1)
    for name in ("n_solves", "n_split", "n_met", "shares", "cases", "one_look", "unmet"):
        assert getattr(after, name) == getattr(before, name)
    assert mine.get("/cases/oll/27/").context["report"].n == 3


def test_a_coach_reads_the_progress_and_solves_of_a_member(client: Client, member):
    coach = make_membership(member.club, role=Role.COACH)
    shown = make_membership(member.club, visibility=Visibility.COACH)
    make_upload(shown.user, make_rows(2))
    client.force_login(coach.user)
    assert shown.display_name in page_of(client, "/members/")
    assert f"Progress of {shown.display_name}" in page_of(client, f"/members/{shown.pk}/progress/")
    assert f"Solves of {shown.display_name}" in page_of(client, f"/members/{shown.pk}/solves/")
    solve = Solve.objects.filter(member=shown.user)[0]
    page = page_of(client, f"/solves/{solve.pk}/")
    assert shown.display_name in page
    assert f'href="/members/{shown.pk}/solves/"' in page


def test_members_nobody_shows_themselves_to_are_told_why(mine: Client):
    assert "log is open to you. Members appear here" in page_of(mine, "/members/")


def test_the_grid_holds_every_case_with_its_count(mine: Client, member):
    make_upload(member.user, make_rows(2))
    page = page_of(mine, "/cases/")
    assert page.count('<a class="map-case"') == 57 + 21
    assert page.count("2 times") == 2  # OLL 27 and PLL T


@pytest.mark.parametrize(
    "address", ["/cases/oll/58/", "/cases/oll/0/", "/cases/pll/Q/", "/cases/x/1/"]
)
def test_a_case_that_is_none_is_not_there(mine: Client, address: str):
    assert mine.get(address).status_code == 404


def test_a_case_page_holds_algorithms_sightings_and_what_was_done_instead(mine: Client, member):
    # Turning the Antisune first and then two Sunes undoes it and solves the Sune that was shown.
    mistaken = make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE)
    make_upload(member.user, [*make_rows(3), mistaken])
    report = mine.get("/cases/oll/27/").context["report"]
    assert (report.title, report.chance) == ("OLL 27 Sune", pytest.approx(4 / 216))
    assert (report.n, report.n_one_look, report.usual, report.n_usual) == (4, 3, SUNE, 3)
    assert [(line.misfire.case.title, line.n) for line in report.misfires] == [
        ("OLL 26 Antisune", 1)
    ]
    assert {line.facts.text: line.facts.n_htm for line in report.algorithms}[SUNE] == 7
    assert [line.n_used for line in report.algorithms if line.facts.text == SUNE] == [3]
    page = page_of(mine, "/cases/oll/27/")
    # The three timed ones stand in the chart's table too.
    assert len(re.findall(r'<a href="/solves/\d+/">', page)) == 7


def test_a_solve_of_each_kind_has_a_page(mine: Client, member):
    rows = [
        make_row(),
        make_row(is_timed=False, done_at=NOW + timedelta(minutes=1)),
        make_row(SUNE),
        make_row(penalty=Penalty.DNF),
        make_row(penalty=Penalty.PLUS_TWO, note="slipped"),
    ]
    time_only = "2026-03-01T13:00:00Z,R U,12.34,,,,\r\n"
    make_upload(member.user, content=make_csv(rows) + time_only.encode())
    pages = [page_of(mine, f"/solves/{solve.pk}/") for solve in Solve.objects.order_by("line")]
    assert len(pages) == 6
    assert "time-strip" in pages[0]
    assert "This log holds no turn times" in pages[1]
    assert "drill" in pages[2]
    assert " on the timer" in pages[3]
    assert "(+2)" in pages[4]
    assert "slipped" in pages[4]
    assert "The log holds no solution for it" in pages[5]
    assert "data-replay" not in pages[5]


def test_the_page_on_figures_has_every_place_other_pages_lead_to(mine: Client, member):
    make_upload(member.user, make_rows(4))
    how = page_of(mine, "/how/")
    solve = Solve.objects.all()[0]
    addresses = ["/log/", "/progress/", "/cases/oll/27/", f"/solves/{solve.pk}/"]
    linked = {
        part.split('"')[0]
        for address in addresses
        for part in page_of(mine, address).split("/how/#")[1:]
    }
    assert {"hands", "shares", "case-times", "unmet", "looks", "stages", "one-look"} <= linked
    for place in linked:
        assert f'id="{place}"' in how


def test_no_page_has_a_script_or_a_style_of_its_own(mine: Client, member):
    make_upload(member.user, make_rows(4))
    solve = Solve.objects.all()[0]
    for address in ("/", "/log/", "/progress/", "/cases/", "/cases/pll/T/", f"/solves/{solve.pk}/"):
        page = page_of(mine, address)
        assert " style=" not in page
        assert "<style" not in page
        assert "javascript:" not in page
