"""Each address asked the same questions: a stranger, its owner, others, nobody's."""

import pytest
from django.test import Client
from django.urls import get_resolver

from logs.models import Membership, Role, SetAsideRow, Solve, Visibility
from logs.urls import urlpatterns
from tests.factories import make_club, make_csv, make_membership, make_row, make_upload
from tests.logs.web.access import ABOUT_ONE, NOWHERE, OWN_PAGES, POSTED, answer

pytestmark = pytest.mark.django_db

BAD_LINE = b"2026-03-01T13:00:00Z,R U,,,,,\r\n"


class World:
    """A club with a coach and three members, each with a log; an outsider of another club."""

    def __init__(self) -> None:
        self.club = make_club()
        self.coach = make_membership(self.club, role=Role.COACH)
        self.hidden = self.member(Visibility.ONLY_ME)
        self.to_coach = self.member(Visibility.COACH)
        self.to_club = self.member(Visibility.CLUB)
        self.outsider = make_membership(make_club())

    def member(self, visibility: Visibility) -> Membership:
        membership = make_membership(self.club, visibility=visibility)
        make_upload(membership.user, content=make_csv([make_row()]) + BAD_LINE)
        return membership

    def numbers(self, member: Membership) -> dict[str, int]:
        solve = Solve.objects.get(member=member.user)
        row = SetAsideRow.objects.get(upload=solve.upload)
        return {
            "upload": solve.upload_id,
            "solve": solve.pk,
            "membership": member.pk,
            "row": row.pk,
        }

    def client(self, member: Membership) -> Client:
        client = Client()
        client.force_login(member.user)
        return client


@pytest.fixture
def world() -> World:
    return World()


def test_every_address_of_the_app_is_asked():
    named = {str(pattern.pattern) for pattern in urlpatterns}
    assert len(named) == len(OWN_PAGES) + len(ABOUT_ONE) + len(POSTED) + 1  # and the template
    assert get_resolver().resolve("/log-template.csv").url_name == "template"


@pytest.mark.parametrize("address", [*OWN_PAGES, *ABOUT_ONE, "/log-template.csv"])
def test_a_stranger_is_asked_to_sign_in(client: Client, world: World, address: str):
    address = address.format(**world.numbers(world.to_club))
    response = client.get(address)
    assert response.status_code == 302
    assert response["Location"].startswith("/sign-in/?next=")


@pytest.mark.parametrize("address", POSTED)
def test_a_stranger_can_send_nothing(client: Client, world: World, address: str):
    response = client.post(address.format(**world.numbers(world.to_club)), {"text": "x"})
    assert response.status_code == 302
    assert response["Location"].startswith("/sign-in/")
    assert Solve.objects.count() == 3


@pytest.mark.parametrize("address", [*OWN_PAGES, *ABOUT_ONE, "/log-template.csv"])
def test_a_member_reads_their_own(world: World, address: str):
    client = world.client(world.hidden)
    assert client.get(address.format(**world.numbers(world.hidden))).status_code == 200


@pytest.mark.parametrize("address", [*ABOUT_ONE, POSTED[1]])
@pytest.mark.parametrize("reader", ["coach", "to_club", "outsider"])
def test_what_is_hidden_answers_as_what_was_never_there(world: World, address: str, reader: str):
    client = world.client(getattr(world, reader))
    is_post = address in POSTED
    theirs = answer(client, address.format(**world.numbers(world.hidden)), is_post=is_post)
    nobodys = answer(client, address.format(**NOWHERE), is_post=is_post)
    assert theirs == nobodys
    assert theirs[0] == 404


@pytest.mark.parametrize("address", ABOUT_ONE[2:])
@pytest.mark.parametrize(
    ("reader", "shown", "status"),
    [
        ("coach", "to_coach", 200),
        ("coach", "to_club", 200),
        ("hidden", "to_club", 200),
        ("hidden", "to_coach", 404),
        ("outsider", "to_club", 404),
        ("outsider", "to_coach", 404),
    ],
)
def test_a_log_is_seen_by_those_it_is_shown_to(
    world: World, address: str, reader: str, shown: str, status: int
):
    client = world.client(getattr(world, reader))
    address = address.format(**world.numbers(getattr(world, shown)))
    assert client.get(address).status_code == status


@pytest.mark.parametrize("address", [*ABOUT_ONE[:2], POSTED[1]])
def test_files_are_their_members_own_however_much_is_shown(world: World, address: str):
    client = world.client(world.coach)
    address = address.format(**world.numbers(world.to_club))
    assert answer(client, address, is_post=address.endswith("mend/"))[0] == 404


@pytest.mark.parametrize("address", [*OWN_PAGES, *ABOUT_ONE])
def test_pages_are_read_and_not_written(world: World, address: str):
    client = world.client(world.hidden)
    address = address.format(**world.numbers(world.hidden))
    assert client.post(address).status_code == 405
    assert client.delete(address).status_code == 405


@pytest.mark.parametrize("address", POSTED)
def test_what_is_sent_is_not_read(world: World, address: str):
    client = world.client(world.hidden)
    assert client.get(address.format(**world.numbers(world.hidden))).status_code == 405


def test_a_number_too_large_for_the_database_is_not_there(world: World):
    client = world.client(world.hidden)
    for address in ABOUT_ONE:
        numbers = dict.fromkeys(("upload", "solve", "membership"), 10**30)
        assert client.get(address.format(**numbers)).status_code == 404
