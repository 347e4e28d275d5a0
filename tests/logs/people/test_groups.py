"""Groups of a club's people: made by its coaches, seen by them alone, a filter that stays chosen."""

import re
from urllib.parse import parse_qsl

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone

from logs.errors import ConflictError, NotFoundError
from logs.limits import GROUPS
from logs.people.models import Group, Membership, Role, Visibility
from logs.people.services.memberships import group_delete, group_keep, membership_leave
from logs.people.sight import club_sight
from logs.solves.figures.counts import week_of
from logs.solves.models.tallies import CaseWeekTally
from tests.factories import (
    LAST_PAIR,
    NOW,
    SUNE,
    T_PERM,
    make_club,
    make_membership,
    make_row,
    make_rows,
    make_upload,
)
from tests.logs.api.test_answers import post, program

pytestmark = pytest.mark.django_db

ANTISUNE = "R U2 R' U' R U' R'"


@pytest.fixture
def coach() -> Membership:
    return make_membership(make_club("Riverbank"), role=Role.COACH)


def shown(coach: Membership, n: int = 1) -> list[Membership]:
    return [make_membership(coach.club, visibility=Visibility.CLUB) for _ in range(n)]


def keep(coach: Membership, name: str, *members: Membership, group_id: int | None = None) -> Group:
    return group_keep(
        actor=coach.user,
        slug=coach.club.slug,
        name=name,
        membership_ids=[member.pk for member in members],
        group_id=group_id,
    )


def client_of(member: Membership) -> Client:
    client = Client()
    client.force_login(member.user)
    return client


def test_a_person_may_be_in_any_number_of_groups(coach: Membership):
    wren, tarn = shown(coach, 2)
    keep(coach, "Tuesday", wren, tarn)
    keep(coach, "Beginners", wren)
    groups = club_sight(actor=coach.user, slug=coach.club.slug).groups
    assert [(one.name, set(one.membership_ids)) for one in groups] == [
        ("Beginners", {wren.pk}),
        ("Tuesday", {wren.pk, tarn.pk}),
    ]


def test_a_group_is_kept_under_another_name_with_other_people(coach: Membership):
    wren, tarn = shown(coach, 2)
    group = keep(coach, "Tuesday", wren)
    keep(coach, "  Thursday \n evening ", tarn, group_id=group.pk)
    group.refresh_from_db()
    assert group.name == "Thursday evening"
    assert list(group.members.all()) == [tarn]


def test_people_of_another_club_are_left_out(coach: Membership):
    elsewhere = make_membership(make_club())
    assert not keep(coach, "Tuesday", elsewhere).members.exists()


@pytest.mark.parametrize("name", ["", "   ", "x" * 61])
def test_a_name_is_needed_and_short(coach: Membership, name: str):
    with pytest.raises(ValidationError):
        keep(coach, name)
    assert not Group.objects.exists()


def test_two_groups_of_a_club_have_two_names_whatever_their_capitals(coach: Membership):
    keep(coach, "Tuesday")
    with pytest.raises(ValidationError, match="called “TUESDAY” already"):
        keep(coach, "TUESDAY")
    keep(make_membership(make_club(), role=Role.COACH), "Tuesday")


def test_a_club_has_so_many_groups_and_no_more(coach: Membership):
    for n in range(GROUPS):
        keep(coach, f"Group {n}")
    with pytest.raises(ConflictError, match="Delete one"):
        keep(coach, "One more")


def test_groups_are_for_the_coaches_of_their_club(coach: Membership):
    (member,) = shown(coach)
    group = keep(coach, "Tuesday", member)
    other = make_membership(make_club(), role=Role.COACH)
    for actor in (member, other):
        with pytest.raises(NotFoundError):
            group_delete(actor=actor.user, slug=coach.club.slug, group_id=group.pk)
    with pytest.raises(NotFoundError):
        group_delete(actor=other.user, slug=other.club.slug, group_id=group.pk)
    assert club_sight(actor=member.user, slug=coach.club.slug).groups == ()


def test_who_leaves_the_club_leaves_its_groups(coach: Membership):
    (member,) = shown(coach)
    group = keep(coach, "Tuesday", member)
    membership_leave(actor=member.user, slug=coach.club.slug, now=NOW)
    assert not group.members.exists()


def test_a_group_filters_what_a_coach_sees_and_nothing_that_a_member_asks(coach: Membership):
    wren, tarn = shown(coach, 2)
    group = keep(coach, "Tuesday", wren)
    sight = club_sight(actor=coach.user, slug=coach.club.slug, group_id=group.pk)
    assert sight.user_ids == (wren.user_id,)
    by_member = club_sight(actor=tarn.user, slug=coach.club.slug, group_id=group.pk)
    assert set(by_member.user_ids) == {wren.user_id, tarn.user_id}
    unknown = club_sight(actor=coach.user, slug=coach.club.slug, group_id=group.pk + 1)
    assert unknown.group is None
    assert len(unknown.members) == 3


PAGES = [
    "/clubs/{slug}/",
    "/clubs/{slug}/?stage=pll&names=hidden",
    "/clubs/{slug}/compare/",
    "/clubs/{slug}/mistaken/",
    "/clubs/{slug}/cases/oll/27/",
    "/members/",
    "/clubs/{slug}/homework/",
    "/clubs/{slug}/lessons/new/",
    "/clubs/{slug}/homework/new/",
]


@pytest.mark.parametrize("address", PAGES)
def test_every_page_that_lists_members_offers_the_groups(coach: Membership, address: str):
    (wren,) = shown(coach)
    keep(coach, "Tuesday", wren)
    page = client_of(coach).get(address.format(slug=coach.club.slug)).text
    assert ">Tuesday</a>" in page
    assert "Tuesday" not in client_of(wren).get(address.format(slug=coach.club.slug)).text


@pytest.mark.parametrize("address", PAGES[:6])
def test_a_page_of_a_group_names_its_members_alone(coach: Membership, address: str):
    wren, moss, tarn = shown(coach, 3)
    for member in (wren, moss, tarn):
        mistaken = [make_row(LAST_PAIR, ANTISUNE, SUNE, SUNE, T_PERM) for _ in range(3)]
        make_upload(member.user, [*make_rows(6), *mistaken], now=timezone.now())
        CaseWeekTally.objects.update(week=week_of(timezone.now()))
    group = keep(coach, "Tuesday", wren, moss)
    path, _, query = address.format(slug=coach.club.slug).partition("?")
    asked = dict(parse_qsl(query.replace("names=hidden", "")))
    client = client_of(coach)
    for group_id, is_there in ((0, True), (group.pk, False)):
        page = client.get(path, {**asked, "group": str(group_id)}).text
        main = page[page.index("<main") :]
        assert wren.display_name in main
        assert (re.search(rf"\b{tarn.display_name}\b", main) is not None) is is_there


def test_the_group_stays_chosen_from_tab_to_tab(coach: Membership):
    (wren,) = shown(coach)
    group = keep(coach, "Tuesday", wren)
    slug, client = coach.club.slug, client_of(coach)
    tabs = re.findall(
        rf'href="(/clubs/{slug}/[a-z]*/?\?group={group.pk})"',
        client.get(f"/clubs/{slug}/?group={group.pk}").text,
    )
    assert len(tabs) == 8
    for tab in tabs:
        page = client.get(tab).text
        assert f"/clubs/{slug}/compare/?group={group.pk}" in page
    hidden = f'<input type="hidden" name="group" value="{group.pk}">'
    assert hidden in client.get(f"/clubs/{slug}/?group={group.pk}").text
    assert "compare/?group=" not in client.get(f"/clubs/{slug}/?group=nonsense").text


def test_the_people_page_makes_keeps_and_deletes_groups(coach: Membership):
    (wren,) = shown(coach)
    client, slug = client_of(coach), coach.club.slug
    client.post(f"/clubs/{slug}/groups/", {"name": "Tuesday", "member": [wren.pk]})
    group = Group.objects.get()
    assert list(group.members.all()) == [wren]
    page = client.post(f"/clubs/{slug}/groups/", {"name": "tuesday"}, follow=True).text
    assert "There is a group called “tuesday” already." in page
    client.post(f"/clubs/{slug}/groups/{group.pk}/", {"name": "Thursday"})
    group.refresh_from_db()
    assert (group.name, group.members.count()) == ("Thursday", 0)
    client.post(f"/clubs/{slug}/groups/{group.pk}/", {"delete": "yes", "name": ""})
    assert not Group.objects.exists()


def test_a_program_names_a_group_changes_it_and_deletes_it(coach: Membership):
    ash, fern = shown(coach, 2)
    client, groups = (
        program(coach.user, "read", "manage"),
        f"/api/v1/clubs/{coach.club.slug}/groups",
    )
    sent = {"name": " Tuesday  evening ", "member": [ash.pk, 10**9]}
    first = post(client, groups, sent)
    assert first.status_code == 201
    group = {"id": first.json()["id"], "name": "Tuesday evening", "membership_ids": [ash.pk]}
    assert first.json() == group
    assert post(client, groups, {"name": "tuesday evening"}).status_code == 422
    assert client.get(groups).json() == [group]
    change = {"name": "Tuesday", "member": [fern.pk]}
    place = f"{groups}/{group['id']}"
    changed = client.put(place, change, content_type="application/json")
    assert changed.json() == group | {"name": "Tuesday", "membership_ids": [fern.pk]}
    assert client.delete(place).status_code == 204
    assert client.get(groups).json() == []
