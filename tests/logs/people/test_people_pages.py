"""Joining, inviting, deciding who looks, and going: the pages as somebody uses them."""

import json
import re
from datetime import timedelta

import pytest
from django.test import Client
from django.utils import timezone

from clubsite.accounts.models import Throttle, User
from logs.people.models import AuditEvent, Club, Invitation, Membership, Role, Visibility
from logs.people.services.invitations import invitation_create
from tests.factories import make_club, make_membership, make_rows, make_upload

pytestmark = pytest.mark.django_db

PASSWORD = "plum-anvil-orbit-nine"
NEW = {
    "username": "wren7",
    "password": PASSWORD,
    "password_again": PASSWORD,
    "display_name": "Wren",
    "visibility": "coach",
}


@pytest.fixture
def code(owner: Membership) -> str:
    _, code = invitation_create(
        actor=owner.user,
        slug=owner.club.slug,
        role=Role.MEMBER,
        max_uses=2,
        days=7,
        now=timezone.now(),
    )
    return code


def signed_in(user: User, *, address: str = "192.0.2.1") -> Client:
    client = Client(REMOTE_ADDR=address)
    client.force_login(user)
    return client


# Joining


def test_a_stranger_sees_which_club_it_is_before_joining(client: Client, code: str):
    page = client.get("/join/", {"code": code})
    assert page.status_code == 200
    assert "Join Riverbank" in page.text
    assert User.objects.count() == 1


def test_a_stranger_joins_and_is_signed_in(client: Client, code: str, owner: Membership):
    answer = client.post("/join/", {"code": code, **NEW}, follow=True)
    assert answer.request["PATH_INFO"] == f"/clubs/{owner.club.slug}/welcome/"
    assert "You are in, as Wren. Your log there is seen by: my coaches." in answer.text
    joined = Membership.objects.get(display_name="Wren")
    assert (joined.club, joined.visibility) == (owner.club, Visibility.COACH)
    assert client.session["_auth_user_id"] == str(joined.user_id)


def test_two_passwords_must_agree_and_nothing_typed_is_lost(client: Client, code: str):
    answer = client.post("/join/", {"code": code, **NEW, "password_again": "another"})
    assert answer.status_code == 422
    assert "The two passwords are not the same." in answer.text
    assert 'value="wren7"' in answer.text
    assert PASSWORD not in answer.text


def test_a_name_that_is_taken_is_said_once_at_its_field(client: Client, code: str):
    User.objects.create_user("WREN7")
    answer = client.post("/join/", {"code": code, **NEW})
    assert answer.status_code == 422
    assert answer.text.count("already exists") == 1


def test_whoever_is_signed_in_joins_with_their_account(code: str):
    other = make_membership(make_club("Hill"))
    answer = signed_in(other.user).post(
        "/join/", {"code": code, "display_name": "Wren", "visibility": "club"}
    )
    assert answer.status_code == 302
    assert set(Club.objects.filter(memberships__user=other.user)) == set(Club.objects.all())


def test_wrong_out_of_date_used_up_and_withdrawn_codes_read_the_same(client: Client, code: str):
    def body() -> str:
        return client.get("/join/", {"code": code}).text

    invitation = Invitation.objects.get()
    bodies = []
    for change in (
        {"withdrawn_at": timezone.now()},
        {"withdrawn_at": None, "n_uses": 2},
        {
            "n_uses": 0,
            "created_at": timezone.now() - timedelta(days=2),
            "expires_at": timezone.now() - timedelta(days=1),
        },
    ):
        Invitation.objects.filter(pk=invitation.pk).update(**change)
        bodies.append(body())
    invitation.delete()
    bodies.append(body())
    assert len(set(bodies)) == 1
    assert "This code does not work." in bodies[0]
    assert "Riverbank" not in bodies[0]


def test_guessing_codes_is_stopped_for_an_account(code: str):
    user = make_membership(make_club()).user
    answers = [
        signed_in(user, address=f"198.51.100.{n}").get("/join/", {"code": f"WRONG{n}"})
        for n in range(11)
    ]
    assert [answer.status_code for answer in answers] == [422] * 10 + [429]
    assert 800 <= int(answers[-1]["Retry-After"]) <= 901
    assert "Wait 15 minutes" in answers[-1].text or "Wait 14 minutes" in answers[-1].text
    right = signed_in(user, address="203.0.113.1").get("/join/", {"code": code})
    assert right.status_code == 429


def test_guessing_codes_is_stopped_for_an_address_and_no_forged_header_helps(code: str):
    for n in range(31):
        forged = {"x-forwarded-for": f"198.51.100.{n}"}
        last = Client(headers=forged).post("/join/", {"code": f"WRONG{n}", **NEW})
    assert last.status_code == 429
    assert Client().get("/join/", {"code": code}).status_code == 429
    elsewhere = Client(REMOTE_ADDR="203.0.113.1")
    assert elsewhere.get("/join/", {"code": code}).status_code == 200


def test_right_codes_count_as_no_guess(client: Client, code: str):
    for _ in range(40):
        assert client.get("/join/", {"code": code}).status_code == 200
    assert not Throttle.objects.exists()


# People and invitations


def test_nothing_is_chosen_beforehand_and_nothing_happens_unchosen(client: Client, code: str):
    page = client.get("/join/", {"code": code}).text
    assert page.count('name="visibility"') == 3
    assert "checked" not in page
    unsaid = {name: value for name, value in NEW.items() if name != "visibility"}
    answer = client.post("/join/", {"code": code, **unsaid})
    assert answer.status_code == 422
    assert "Choose one of the three." in answer.text
    assert not Membership.objects.filter(display_name="Wren").exists()


def test_a_code_is_shown_as_long_as_it_works(owner: Membership):
    client = signed_in(owner.user)
    form = {"role": "member", "max_uses": "3", "days": "7"}
    answer = client.post(f"/clubs/{owner.club.slug}/invitations/", form)
    (shown,) = answer.context["links"]
    address = f"/clubs/{owner.club.slug}/people/"
    again = client.get(address)
    for text in (answer.text, again.text):
        assert text.count(shown.line.code) == 2  # by itself and in the link
        assert f"http://testserver/join/?code={shown.line.code}" in text
        assert "<svg" in text
    client.post(f"/clubs/{owner.club.slug}/invitations/{shown.line.id}/withdraw/")
    assert shown.line.code not in client.get(address).text


def test_a_coach_is_not_told_the_code_that_makes_coaches(owner: Membership):
    coach = make_membership(owner.club, role=Role.COACH)
    form = {"role": "coach", "max_uses": "1", "days": "7"}
    signed_in(owner.user).post(f"/clubs/{owner.club.slug}/invitations/", form)
    address = f"/clubs/{owner.club.slug}/people/"
    assert len(signed_in(owner.user).get(address).context["links"]) == 1
    assert signed_in(coach.user).get(address).context["links"] == []


def test_who_answers_for_the_club_stands_on_what_we_keep(owner: Membership, client: Client):
    address = f"/clubs/{owner.club.slug}/contact/"
    form = {"name": "Alder Grey", "reach": "555 0100"}
    assert signed_in(owner.user).post(address, {"name": "Alder Grey"}).status_code == 422
    assert "Alder Grey" not in client.get("/what-we-keep/").text
    signed_in(owner.user).post(address, form)
    page = client.get("/what-we-keep/").text
    assert all(part in page for part in ("Alder Grey", "555 0100", "Riverbank"))
    signed_in(owner.user).post(address, {"name": "", "reach": ""})
    assert "Alder Grey" not in client.get("/what-we-keep/").text


def test_an_invitation_with_a_mistake_says_so(owner: Membership):
    form = {"role": "member", "max_uses": "400", "days": "7"}
    answer = signed_in(owner.user).post(f"/clubs/{owner.club.slug}/invitations/", form)
    assert answer.status_code == 422
    assert "less than or equal to 60" in answer.text
    assert not Invitation.objects.exists()


def test_a_coach_s_form_invites_no_coach(owner: Membership):
    coach = make_membership(owner.club, role=Role.COACH)
    form = {"role": "coach", "max_uses": "1", "days": "7"}
    answer = signed_in(coach.user).post(f"/clubs/{owner.club.slug}/invitations/", form)
    assert answer.status_code == 403
    assert not Invitation.objects.exists()


def test_the_people_page_counts_who_shows_nothing_and_names_nobody(owner: Membership):
    member = make_membership(owner.club)
    address = f"/clubs/{owner.club.slug}/people/"

    def page() -> bytes:
        text = signed_in(owner.user).get(address).text
        text = re.sub(r"<p class=\"after-table\">.*?</p>", "", text, flags=re.DOTALL)  # the count
        return text.split('id="people"')[1].split('id="invite"')[0].encode()

    def bare(body: bytes) -> list[bytes]:
        return [line for line in body.splitlines() if b"csrfmiddlewaretoken" not in line]

    hidden = page()
    assert "1 person shows their log to nobody." in signed_in(owner.user).get(address).text
    Membership.objects.filter(pk=member.pk).update(visibility=Visibility.CLUB)
    assert bare(page()) == bare(hidden)


def test_a_coach_is_offered_what_a_coach_may_do(owner: Membership):
    coach = make_membership(owner.club, role=Role.COACH)
    member = make_membership(owner.club)
    seen = signed_in(coach.user).get(f"/clubs/{owner.club.slug}/people/").text
    assert f"Take {member.display_name} out of the club" in seen
    assert f"Take {owner.display_name} out of the club" not in seen
    assert "Hand the club over" not in seen
    assert '<option value="coach"' not in seen


# Privacy


def test_the_most_private_choice_stands_first_and_is_the_default(owner: Membership):
    member = make_membership(owner.club)
    page = signed_in(member.user).get("/privacy/").text
    order = [page.index(f'value="{value}"') for value in ("only_me", "coach", "club")]
    assert order == sorted(order)
    assert page.count(" checked") == 1
    assert "checked" in page[order[0] : order[1]]


def test_the_member_reads_who_looked_and_the_reader_is_told_nothing(owner: Membership):
    member = make_membership(owner.club, visibility=Visibility.COACH)
    client = signed_in(owner.user)
    for _ in range(2):
        client.get(f"/members/{member.pk}/progress/")
        client.head(f"/members/{member.pk}/solves/")
    page = signed_in(member.user).get("/privacy/").text
    assert page.count("looked at your Progress page") == 1
    assert "your list of solves" not in page
    assert owner.display_name in page
    assert owner.user.username not in page.replace(owner.display_name, "")
    assert "Nobody has looked at your pages." in signed_in(owner.user).get("/privacy/").text


@pytest.mark.parametrize(
    ("role", "visibility", "reads_as", "is_named"),
    [
        (Role.MEMBER, Visibility.ONLY_ME, Role.MEMBER, False),
        (Role.MEMBER, Visibility.COACH, Role.MEMBER, False),
        (Role.MEMBER, Visibility.CLUB, Role.MEMBER, True),
        (Role.COACH, Visibility.ONLY_ME, Role.MEMBER, True),
        (Role.MEMBER, Visibility.ONLY_ME, Role.COACH, True),
    ],
)
def test_a_member_who_hides_is_named_to_coaches_alone(
    owner: Membership, role: Role, visibility: Visibility, reads_as: Role, is_named: bool
):
    member = make_membership(owner.club, role=reads_as, visibility=Visibility.CLUB)
    viewer = make_membership(owner.club, role=role, visibility=visibility)
    signed_in(viewer.user).get(f"/members/{member.pk}/solves/")
    client = signed_in(member.user)
    page, copy = client.get("/privacy/").text, client.get("/privacy/about-me.json").text
    assert "looked at your list of solves" in page
    assert ("a member who shows their log to nobody" in page) is not is_named
    assert (f">{viewer.display_name}<" in page) is is_named
    assert (f'"{viewer.display_name}"' in copy) is is_named


def test_who_has_left_is_named_no_more(owner: Membership):
    member = make_membership(owner.club, visibility=Visibility.COACH)
    coach = make_membership(owner.club, role=Role.COACH)
    signed_in(coach.user).get(f"/members/{member.pk}/solves/")
    name = coach.display_name
    coach.delete()
    page = signed_in(member.user).get("/privacy/").text
    assert "somebody who is not in the club any more" in page
    assert f">{name}<" not in page


def test_copies_are_files_and_are_noted(owner: Membership):
    make_upload(owner.user, make_rows(2))
    client = signed_in(owner.user)
    log, data = client.get("/privacy/my-log.jsonl"), client.get("/privacy/about-me.json")
    assert log["Content-Disposition"] == 'attachment; filename="my-log.jsonl"'
    assert len(log.text.splitlines()) == 2
    assert json.loads(data.text)["account"]["user_name"] == owner.user.username
    page = client.get("/privacy/").text
    assert page.count("took a copy of your data") == 2


def test_copies_are_limited(owner: Membership):
    client = signed_in(owner.user)
    codes = [client.get("/privacy/about-me.json").status_code for _ in range(11)]
    assert codes == [200] * 10 + [429]
    assert client.get("/privacy/my-log.jsonl").headers["Retry-After"]
    assert AuditEvent.objects.filter(verb="export").count() == 10


# Going


@pytest.fixture
def known_member(owner: Membership) -> Membership:
    membership = make_membership(owner.club)
    membership.user.set_password(PASSWORD)
    membership.user.save()
    make_upload(membership.user)
    return membership


def test_erasing_takes_the_name_and_the_password(known_member: Membership):
    name = known_member.user.username
    client = signed_in(known_member.user)
    for form, problem in (
        ({"typed": "somebody", "password": PASSWORD}, "not the user name"),
        ({"typed": name, "password": "wrong"}, "This is not your password."),
        ({"typed": "", "password": ""}, "This field is required."),
    ):
        answer = client.post("/privacy/erase/", form)
        assert answer.status_code == 422
        assert problem in answer.text
    assert User.objects.filter(pk=known_member.user_id).exists()
    elsewhere = signed_in(known_member.user)
    done = client.post("/privacy/erase/", {"typed": name.upper(), "password": PASSWORD})
    assert "Your account is erased" in done.text
    assert not User.objects.filter(pk=known_member.user_id).exists()
    assert client.get("/").status_code == 302
    assert elsewhere.get("/").status_code == 302


def test_guessing_the_password_there_shuts_the_door_as_signing_in_does(known_member: Membership):
    client = signed_in(known_member.user)
    form = {"typed": known_member.user.username, "password": "wrong"}
    codes = [client.post("/privacy/erase/", form).status_code for _ in range(11)]
    assert codes == [422] * 10 + [429]
    form["password"] = PASSWORD
    assert client.post("/privacy/erase/", form).status_code == 429
    assert User.objects.filter(pk=known_member.user_id).exists()


def test_an_owner_is_told_what_to_do_first(owner: Membership, known_member: Membership):
    owner.user.set_password(PASSWORD)
    owner.user.save()
    form = {"typed": owner.user.username, "password": PASSWORD}
    answer = signed_in(owner.user).post("/privacy/erase/", form)
    assert answer.status_code == 422
    assert "You are the owner of Riverbank. Hand it over" in answer.text


def test_anybody_may_read_what_is_kept(client: Client):
    assert "There is no leaderboard." in client.get("/what-we-keep/").text
