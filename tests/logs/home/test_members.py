"""The members of one's clubs: last log, open homework, cases in one look; nothing of who hides."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from logs.home.report.members import MemberChoice, MemberOrder, MemberRow, members_page
from logs.people.models import Membership, Role, Visibility
from tests.desk import CASE_27, CASE_40, CASE_T, DAY, make_homework, make_team, solves
from tests.factories import NOW, SENT_AT, make_club, make_membership, make_rows, make_upload
from tests.logs.api.test_answers import program

pytestmark = pytest.mark.django_db

SESSION_AND_USER = 2


def client_of(member: Membership) -> Client:
    client = Client()
    client.force_login(member.user)
    return client


def lines(reader: Membership, **choice: object) -> dict[str, MemberRow]:
    page = members_page(actor=reader.user, choice=MemberChoice(**choice))  # type: ignore[arg-type]  # any of its fields
    return {line.name: line for club in page.clubs for line in club.members}


def test_a_coach_reads_what_each_member_shows():
    _, coach, (wren, tarn) = make_team(2)
    make_upload(wren.user, make_rows(6))
    make_homework(coach, [wren, tarn], (CASE_40, CASE_T), now=NOW + DAY)
    make_homework(coach, [wren], (CASE_27,), now=NOW + DAY)
    by_name = lines(coach)
    of_wren, of_tarn = by_name[wren.display_name], by_name[tarn.display_name]
    assert of_wren.last_log_at == SENT_AT
    assert of_wren.homework is not None
    assert (of_wren.homework.n_asked, of_wren.homework.n_learnt) == (3, 0)
    # Six solves, each with OLL 27 and PLL T in one look: likely the rule (`chance_known`).
    assert [(one.stage, one.n_one_look, one.n_cases) for one in of_wren.known] == [
        ("oll", 1, 57),
        ("pll", 1, 21),
    ]
    assert (of_tarn.last_log_at, of_tarn.known) == (None, ())


def test_of_who_hides_a_coach_reads_the_name_and_what_was_set_and_no_more():
    club, coach, _ = make_team(0)
    hider = make_membership(club)
    make_upload(hider.user, make_rows(6))
    make_homework(coach, [hider], (CASE_40, CASE_T))
    line = lines(coach)[hider.display_name]
    assert not line.is_visible
    assert (line.last_log_at, line.known) == (None, ())
    assert line.homework is not None
    assert (line.homework.n_asked, line.homework.n_learnt) == (2, None)
    page = client_of(coach).get("/members/").text
    row = page[page.index(hider.display_name) :]
    row = row[: row.index("</tr>")]
    assert "2 set" in row
    assert row.count("not shared") == 2
    assert f"/members/{hider.pk}/" not in page
    assert "none yet" not in row


def test_a_program_reads_the_members_of_a_club_as_the_page_has_them():
    club, coach, (wren,) = make_team(1)
    hider = make_membership(club)
    make_upload(wren.user, make_rows(6))
    make_homework(coach, [wren, hider], (CASE_40, CASE_T), now=NOW + DAY)
    address = f"/api/v1/clubs/{club.slug}/members"
    client = program(coach.user)
    answer = client.get(f"{address}?order=homework").json()
    by_name = {line["name"]: line for line in answer["members"]}
    assert list(by_name) == [wren.display_name, coach.display_name, hider.display_name]
    of_wren = by_name[wren.display_name]
    assert of_wren["homework"] == {"n_asked": 2, "n_learnt": 0, "n_left": 2}
    assert of_wren["known"][0] == {"stage": "oll", "n_one_look": 1, "n_cases": 57}
    assert by_name[hider.display_name]["homework"] == {"n_asked": 2, "n_learnt": None, "n_left": 2}
    assert by_name[hider.display_name]["last_log_at"] is None
    few = client.get(f"{address}?q={wren.display_name}").json()
    assert ([line["name"] for line in few["members"]], few["n_members"]) == ([wren.display_name], 3)


def test_a_member_sees_those_who_show_it_to_the_club_and_nobody_s_homework():
    club, coach, (wren,) = make_team(1)
    open_ = make_membership(club, visibility=Visibility.CLUB)
    make_homework(coach, [open_], (CASE_40,))
    by_name = lines(wren)
    assert set(by_name) == {wren.display_name, open_.display_name}
    assert all(line.homework is None for line in by_name.values())
    page = client_of(wren).get("/members/").text
    assert "homework" not in page[page.index("<main") :].lower()


def test_names_lead_to_the_person():
    _, coach, (wren,) = make_team(1)
    page = client_of(coach).get("/members/").text
    assert f'<a href="/members/{wren.pk}/progress/">{wren.display_name}</a>' in page


def test_members_are_put_in_order_by_what_stands_out_and_who_hides_stands_last():
    club, coach, (wren, tarn, moss) = make_team(3)
    hider = make_membership(club)
    for member, name in ((coach, "Coach"), (wren, "Wren"), (tarn, "tarn"), (moss, "Moss")):
        Membership.objects.filter(pk=member.pk).update(display_name=name)
    Membership.objects.filter(pk=hider.pk).update(display_name="Aspen")
    make_upload(tarn.user, make_rows(6), now=SENT_AT + timedelta(days=1))
    make_upload(moss.user, solves("0"), now=SENT_AT)
    make_homework(coach, [wren, hider], (CASE_40, CASE_T))
    make_homework(coach, [moss], (CASE_40,))
    orders = {order: list(lines(coach, order=order)) for order in MemberOrder}
    assert orders == {
        MemberOrder.NAME: ["Coach", "Moss", "tarn", "Wren", "Aspen"],
        MemberOrder.LOG: ["tarn", "Moss", "Coach", "Wren", "Aspen"],
        MemberOrder.HOMEWORK: ["Wren", "Moss", "Coach", "tarn", "Aspen"],
        MemberOrder.STANDING: ["tarn", "Moss", "Coach", "Wren", "Aspen"],
    }
    assert list(lines(coach, query="R")) == ["tarn", "Wren"]


def test_an_address_that_asks_wrongly_is_as_if_it_did_not():
    _, coach, _ = make_team(1)
    assert client_of(coach).get("/members/?order=speed&group=-1&q=").status_code == 200
    empty = client_of(coach).get("/members/?q=nobody").text
    assert "Nobody in" in empty
    assert "Show everyone" in empty


def test_nobody_is_in_two_minds_about_two_clubs():
    first, second = make_club("Riverbank"), make_club("Hillside")
    coach = make_membership(first, role=Role.COACH)
    make_membership(second, coach.user)
    page = members_page(actor=coach.user, choice=MemberChoice())
    assert [(one.view.club.name, one.view.is_coach) for one in page.clubs] == [
        ("Hillside", False),
        ("Riverbank", True),
    ]


@pytest.mark.parametrize("n", [1, 50])
def test_it_asks_as_often_for_fifty_members_as_for_one(n: int):
    _, coach, members = make_team(n)
    for member in members[:3]:
        make_upload(member.user, make_rows(2))
    make_homework(coach, members, (CASE_40, CASE_T), now=NOW)
    client = client_of(coach)
    client.get("/members/")
    with CaptureQueriesContext(connection) as queries:
        client.get("/members/")
    # Clubs, own place, groups, members; everybody (2); logs, tallies of both stages; homework (5), what
    # was done (4) and rows of rates (2), looks.
    assert len(queries) - SESSION_AND_USER == 21
