"""A club's coverage, members compared, and what is mistaken for what."""

import re
from datetime import timedelta

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from logs.people.models import AuditEvent, Membership, Role, Verb, Visibility
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_client,
    make_club,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"
MISTAKEN = (LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM)  # a Sune shown, the Antisune done first
SESSION_AND_USER = 2


class World:
    """A club: a coach, a member known for Sunes, one who takes them for Antisunes, one who hides."""

    def __init__(self) -> None:
        self.club = make_club("Riverbank")
        self.coach = self.member("Cleo", Visibility.ONLY_ME, role=Role.COACH)
        self.able = self.member("Ada", Visibility.CLUB)
        self.mistaken = self.member("Milo", Visibility.COACH)
        self.hidden = self.member("Hugo", Visibility.ONLY_ME)
        make_upload(self.able.user, make_rows(5))
        known = make_row(done_at=NOW - timedelta(days=1))
        make_upload(self.mistaken.user, [known, *make_rows(4, *MISTAKEN)])
        make_upload(self.hidden.user, make_rows(3))

    def member(self, name: str, visibility: Visibility, *, role: Role = Role.MEMBER) -> Membership:
        membership = make_membership(self.club, role=role, visibility=visibility)
        membership.display_name = name
        membership.save()
        return membership

    def client(self, member: Membership) -> Client:
        return make_client(member)

    def address(self, page: str = "") -> str:
        return f"/clubs/{self.club.slug}/{page}"


@pytest.fixture
def world() -> World:
    return World()


def report_of(client: Client, address: str):
    response = client.get(address)
    assert response.status_code == 200
    return response.context["report"]


def page_of(client: Client, address: str) -> str:
    response = client.get(address)
    assert response.status_code == 200
    return response.content.decode()


def cells_of(report, name: str) -> dict[str, str]:
    (row,) = [row for row in report.grid.rows if row.member.name == name]
    numbers = [column.case.number for column in report.grid.columns]
    return {
        number: cell.standing
        for number, cell in zip(numbers, row.cells, strict=True)
        if cell.is_met
    }


def test_a_coach_sees_the_standings_of_those_who_show_them(world: World):
    report = report_of(world.client(world.coach), world.address())
    assert [row.member.name for row in report.grid.rows] == ["Ada", "Cleo", "Milo"]
    assert cells_of(report, "Ada") == {"27": "one-look"}
    assert cells_of(report, "Milo") == {"27": "two-look"}
    assert cells_of(report, "Cleo") == {}
    (column,) = [one for one in report.grid.columns if one.case.number == "27"]
    assert (column.n_one_look, column.n_met) == (1, 2)


def test_a_member_sees_themselves_and_those_who_show_theirs_to_the_club(world: World):
    report = report_of(world.client(world.hidden), world.address())
    assert [row.member.name for row in report.grid.rows] == ["Ada", "Hugo"]
    page = page_of(world.client(world.hidden), world.address())
    assert "Milo" not in page
    assert "Cleo" not in page


def test_a_cell_leads_to_the_solves_behind_it(world: World):
    client = world.client(world.coach)
    page = page_of(client, world.address())
    (address,) = re.findall(
        rf'href="(/members/{world.mistaken.pk}/solves/\?[^"]+)" data-standing="two-look"', page
    )
    assert 'title="two-look, 1 of 5"' in page
    solves = report_of(client, address.replace("&amp;", "&"))
    assert (solves.n, solves.case.title, solves.kind) == (5, "OLL 27 Sune", "solve")


def test_coverage_has_three_parts_that_add_up(world: World):
    report = report_of(world.client(world.coach), world.address("?stage=pll"))
    lines = {line.member.name: line for line in report.coverage}
    ada = lines["Ada"]
    # PLL T comes up 4 times in 72, the skip once (orbit sizes): 67 in 72 were never met.
    assert ada.coverage.never_met_share == pytest.approx(67 / 72)
    assert (ada.coverage.n_looks, ada.coverage.n_cases_met) == (5, 1)
    parts = (ada.coverage.covered_share, ada.coverage.not_covered_share, 67 / 72)
    assert sum(parts) == pytest.approx(1)
    assert 1 / 72 < ada.coverage.covered_share <= 5 / 72
    assert lines["Cleo"].coverage is None
    page = page_of(world.client(world.coach), world.address("?stage=pll"))
    assert "5 looks at 1 case<" in page
    assert "No solve with its solution yet, so nothing is known." in page


def test_the_grid_is_filtered_by_family_and_standing(world: World):
    client = world.client(world.coach)
    cross = report_of(client, world.address("?family=cross"))
    assert [one.case.number for one in cross.grid.columns] == [
        "21",
        "22",
        "23",
        "24",
        "25",
        "26",
        "27",
    ]
    assert [(one.family, one.n_columns) for one in cross.grid.heads] == [("cross", 7)]
    two_look = report_of(client, world.address("?standing=two-look"))
    assert [one.case.number for one in two_look.grid.columns] == ["27"]
    shown = [[cell.fits for cell in row.cells] for row in two_look.grid.rows]
    assert shown == [[False], [False], [True]]
    page = page_of(client, world.address("?standing=fluent"))
    assert "Nobody is fluent in any of these cases." in page


@pytest.mark.parametrize(
    "query", ["stage=x", "family=x", "standing=x", "stage=pll&family=dot", "names=x"]
)
def test_a_choice_that_means_nothing_is_as_none(world: World, query: str):
    report = report_of(world.client(world.coach), world.address(f"?{query}"))
    assert not report.is_filtered
    assert report.view.members[0].name == "Ada"


@pytest.mark.parametrize("page", ["", "compare/", "mistaken/"])
def test_names_can_be_hidden_for_a_picture_of_the_screen(world: World, page: str):
    client = world.client(world.coach)
    query = f"?names=hidden&member={world.able.pk}&member={world.mistaken.pk}"
    text = page_of(client, world.address(page + query))
    assert "Ada" not in text
    assert "Milo" not in text
    assert "Member C" in text


@pytest.mark.parametrize("page", ["", "compare/", "mistaken/"])
def test_an_empty_club_says_what_will_fill_it(page: str):
    alone = make_membership(make_club(), role=Role.COACH)
    client = make_client(alone.user)
    text = page_of(client, f"/clubs/{alone.club.slug}/{page}")
    assert 'class="empty"' in text
    assert 'href="/members/"' in text


def test_two_are_compared_and_who_could_show_whom_is_named(world: World):
    client = world.client(world.coach)
    query = f"?member={world.able.pk}&member={world.mistaken.pk}"
    report = report_of(client, world.address("compare/" + query))
    assert [one.name for one in report.chosen] == ["Ada", "Milo"]
    (teaching,) = report.teachings
    assert (teaching.teacher.name, teaching.learner.name) == ("Ada", "Milo")
    assert teaching.n_cases == 1
    assert teaching.share == pytest.approx(4 / 216)  # OLL 27, by its orbit
    assert [one.case.number for one in report.differences.columns] == ["27"]
    assert [line.member.name for line in report.coverage] == ["Ada", "Milo"]


def test_a_case_that_one_has_never_met_parts_nobody(world: World):
    """Ada has met the Sune alone, Una the Antisune alone: each does theirs in one look."""
    una = world.member("Una", Visibility.CLUB)
    make_upload(una.user, make_rows(5, LAST_PAIR, ANTISUNE, T_PERM))
    query = f"?member={world.able.pk}&member={una.pk}"
    report = report_of(world.client(world.coach), world.address("compare/" + query))
    assert [one.name for one in report.chosen] == ["Ada", "Una"]
    assert report.differences is None
    assert report.teachings == ()


def test_who_is_not_shown_to_the_reader_cannot_be_compared(world: World):
    client = world.client(world.able)
    make_upload(world.coach.user, make_rows(1))
    query = f"?member={world.able.pk}&member={world.mistaken.pk}&member={world.hidden.pk}"
    report = report_of(client, world.address("compare/" + query))
    assert [one.name for one in report.chosen] == ["Ada"]
    text = page_of(client, world.address("compare/" + query))
    assert "Milo" not in text
    assert "Hugo" not in text


def test_one_alone_is_asked_for_another(world: World):
    text = page_of(world.client(world.coach), world.address(f"compare/?member={world.able.pk}"))
    assert "Choose at least two members above" in text


def test_more_than_six_are_cut_to_six_and_that_is_said(world: World):
    more = [world.member(f"Zoe {n}", Visibility.CLUB) for n in range(7)]
    query = "&".join(f"member={one.pk}" for one in more)
    client = world.client(world.coach)
    report = report_of(client, world.address("compare/?" + query))
    assert (len(report.chosen), report.n_dropped) == (6, 1)
    assert "1 more was chosen and left out" in page_of(client, world.address("compare/?" + query))


def timed(oll: str, gap_ms: int, minute: int):
    at = NOW + timedelta(minutes=minute)
    return make_row(LAST_PAIR, oll, T_PERM, gap_ms=gap_ms, done_at=at)


def test_slow_is_told_for_ones_own_speed_and_no_member_is_ranked(world: World):
    """The slower member has the same shape, twice as long: nothing of theirs is slow."""
    slow = world.member("Sid", Visibility.CLUB)
    fast = world.member("Fay", Visibility.CLUB)
    for member, gap_ms in ((slow, 304), (fast, 152)):
        rows = [
            timed(oll, gap_ms, 10 * place + n)
            for place, oll in enumerate((SUNE, ANTISUNE, "F R U R' U' F'"))
            for n in range(6)
        ]
        make_upload(member.user, rows)
    client = world.client(world.coach)
    query = f"compare/?member={slow.pk}&member={fast.pk}&part="
    for part in ("recognition", "execution"):
        report = report_of(client, world.address(query + part))
        assert report.findings == ()
        cells = [cell for line in report.speeds for cell in line.cells]
        assert [abs(cell.excess_share) <= 0.015 for cell in cells] == [True] * 6
        assert {cell.n for cell in cells} == {6}


def test_the_club_sees_what_is_taken_for_what(world: World):
    report = report_of(world.client(world.coach), world.address("mistaken/"))
    (line,) = report.lines.other_case
    assert (line.case.title, line.done.title) == ("OLL 27 Sune", "OLL 26 Antisune")
    assert (line.n_members, line.n_members_met) == (1, 2)
    assert (line.n_events, line.n) == (4, 5)  # Milo's own: Ada's five looks say nothing of them
    assert [(one.member.name, one.n_events, one.n) for one in line.by] == [("Milo", 4, 5)]
    assert line.by[0].is_finding
    assert line.p_lean is None  # nobody has met the Antisune, so the other way round is not known
    page = page_of(world.client(world.coach), world.address("mistaken/"))
    assert f'href="/members/{world.mistaken.pk}/solves/?kind=solve&amp;case=oll-27"' in page
    assert "1 of 2 members, 4 of 5" in page


def test_a_coach_alone_is_led_to_a_case_week_by_week(world: World):
    address = f'href="{world.address("cases/oll/27/")}"'
    coach, member = world.client(world.coach), world.client(world.able)
    for page in (world.address(), "/cases/oll/27/"):
        assert address in page_of(coach, page)
        assert address not in page_of(member, page)
    assert "Nobody whose log is open to you met this case" in page_of(
        coach, world.address("cases/oll/27/")
    )


def test_a_single_mistake_is_too_few_to_say(world: World):
    make_upload(world.coach.user, [*make_rows(6), make_row(*MISTAKEN)])
    lines = report_of(world.client(world.coach), "/mistaken/").lines
    assert (lines.other_case, lines.wrong_hold) == ((), ())
    assert [(line.n_events, line.n) for line in lines.too_few] == [(1, 7)]


def test_a_member_s_own_page_names_nobody_and_leads_to_their_solves(world: World):
    own = page_of(world.client(world.mistaken), "/mistaken/")
    assert 'href="/solves/?kind=solve&amp;case=oll-27"' in own
    seen = page_of(world.client(world.coach), f"/members/{world.mistaken.pk}/mistaken/")
    assert "What Milo takes for what" in seen
    assert f'href="/members/{world.mistaken.pk}/solves/?kind=solve&amp;case=oll-27"' in seen
    assert "fills itself from solves" in page_of(world.client(world.coach), "/mistaken/")


def test_drills_change_no_standing_and_no_mistake(world: World):
    client = world.client(world.coach)
    before = report_of(client, world.address()), report_of(client, world.address("mistaken/"))
    make_upload(world.able.user, [make_row(ANTISUNE, SUNE, SUNE, gap_ms=160)])
    after = report_of(client, world.address()), report_of(client, world.address("mistaken/"))
    assert after == before


def looks_of(page: str) -> set[str]:
    events = AuditEvent.objects.filter(verb=Verb.LOOK, page=page)
    return {event.member.username for event in events if event.member}


def test_those_named_beneath_a_case_s_weeks_find_that_they_were_looked_at(world: World):
    make_upload(world.able.user, [make_row(done_at=timezone.now())])
    page = page_of(world.client(world.coach), world.address("cases/oll/27/"))
    assert [name in page for name in ("Ada", "Milo", "Hugo")] == [True, True, False]
    assert looks_of("club_case") == {world.able.user.username, world.mistaken.user.username}


def test_those_who_are_shown_find_that_they_were_looked_at(world: World):
    client = world.client(world.coach)
    able, mistaken = world.able.user.username, world.mistaken.user.username
    client.get(world.address("compare/"))
    assert looks_of("compare") == set()
    client.get(world.address(f"compare/?member={world.able.pk}&member={world.coach.pk}"))
    assert looks_of("compare") == {able}
    client.get(world.address("mistaken/"))
    assert looks_of("mistaken") == {mistaken}
    client.get(world.address())
    assert looks_of("club") == {able, mistaken}


def n_queries(client: Client, address: str) -> int:
    client.get(address)  # a first look is written down, and pictures are made once
    with CaptureQueriesContext(connection) as queries:
        assert client.get(address).status_code == 200
    return len(queries) - SESSION_AND_USER


@pytest.mark.parametrize("n_members", [1, 50])
def test_a_page_asks_as_often_for_fifty_members_as_for_one(n_members: int):
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    members = [make_membership(club, visibility=Visibility.COACH) for _ in range(n_members)]
    for member in members[:3]:
        known = make_row(done_at=NOW - timedelta(days=1))
        make_upload(member.user, [known, *make_rows(2, *MISTAKEN)])
    client = make_client(coach.user)
    base = f"/clubs/{club.slug}/"
    # The own membership with its club, its groups, who is visible, tallies, coverage, weeks, and whom was looked at
    # today.
    assert n_queries(client, base) == 7
    assert n_queries(client, base + "?stage=pll&standing=one-look") == 7
    assert n_queries(client, f"{base}compare/?member={coach.pk}&member={members[0].pk}") == 6
    assert n_queries(client, base + "compare/") == 3
    assert n_queries(client, base + "mistaken/") == 8  # tallies of both stages, mix-ups, practice
    # Sight, tallies, mix-ups, the solves behind each line, practice, looks.
    assert n_queries(client, f"/members/{members[0].pk}/mistaken/") == 6


def test_a_members_mistakes_name_the_solves_that_they_are_counted_from(world):
    lines = report_of(world.client(world.coach), f"/members/{world.mistaken.pk}/mistaken/").lines
    every = (*lines.other_case, *lines.wrong_hold, *lines.too_few)
    assert every
    assert all(len(line.solves) == line.n_events for line in every)


@pytest.mark.parametrize(("n_there", "is_told"), [(9, False), (10, True)])
def test_the_mark_is_taught_where_a_lean_is_likely_and_not_at_a_coins_toss(n_there, is_told):
    """9 of 16 against 4 of 16 lean with .57, 10 with .73 (`test_rates` has the Bayes factor)."""
    member = make_membership(make_club()).user
    back = (LAST_PAIR, SUNE, ANTISUNE, ANTISUNE, T_PERM)
    parts = [
        *[(LAST_PAIR, SUNE, T_PERM)] * (16 - n_there),
        *[(LAST_PAIR, ANTISUNE, T_PERM)] * 12,
        *[MISTAKEN] * n_there,
        *[back] * 4,
    ]
    make_upload(
        member, [make_row(*one, done_at=NOW + timedelta(minutes=n)) for n, one in enumerate(parts)]
    )
    lines = report_of(make_client(member), "/mistaken/").lines.other_case
    line = next(one for one in lines if (one.case.number, one.done.number) == ("27", "26"))
    assert (line.n_events, line.n, line.n_back, line.n_back_of) == (n_there, 16, 4, 16)
    assert (line.p_lean is not None) == is_told
