"""Who is in a club as what, changed by programs: the same as by the pages."""

import pytest
from django.utils import timezone

from clubsite.accounts.models import Throttle
from logs.people.models import Club, Invitation, Membership, Role, Visibility
from logs.people.services.invitations import invitation_create
from logs.people.services.passwords import INVITATION
from tests.factories import make_club, make_membership
from tests.logs.api.test_answers import post, program, refusal

pytestmark = pytest.mark.django_db


def place(membership: Membership) -> str:
    return f"/api/v1/clubs/{membership.club.slug}/people/{membership.pk}"


def a_code(owner: Membership) -> str:
    _, code = invitation_create(
        actor=owner.user,
        slug=owner.club.slug,
        role=Role.MEMBER,
        max_uses=2,
        days=7,
        now=timezone.now(),
    )
    return code


def test_an_owner_makes_a_coach_and_hands_the_club_over(owner):
    client, other = program(owner.user, "manage"), make_membership(owner.club)
    made = post(client, f"{place(other)}/role", {"role": "coach"}).json()
    assert (made["membership_id"], made["role"], made["new_role"]) == (other.pk, "coach", "member")
    assert refusal(post(client, f"{place(other)}/role", {"role": "owner"})) == (422, "invalid")
    new_owner = client.post(f"{place(other)}/owner").json()
    assert (new_owner["role"], new_owner["can_remove"]) == ("owner", False)
    assert dict(Membership.objects.values_list("pk", "role")) == {
        owner.pk: Role.COACH,
        other.pk: Role.OWNER,
    }
    assert refusal(client.post(f"{place(other)}/owner")) == (403, "not_allowed")


def test_a_coach_s_program_invites_no_coach(owner):
    coach = make_membership(owner.club, role=Role.COACH)
    asked = f"/api/v1/clubs/{owner.club.slug}/invitations", {"role": "coach"}
    assert refusal(post(program(coach.user, "manage"), *asked)) == (403, "not_allowed")
    assert not Invitation.objects.exists()
    assert post(program(owner.user, "manage"), *asked).status_code == 201


def test_somebody_is_taken_out_of_a_club_and_the_owner_is_not(owner):
    client, other = program(owner.user, "manage"), make_membership(owner.club)
    assert client.delete(place(other)).status_code == 204
    assert refusal(client.delete(place(other))) == (404, "not_found")
    assert refusal(client.delete(place(owner))) == (409, "conflict")
    assert list(Membership.objects.all()) == [owner]


def test_a_club_is_left_but_not_by_its_owner_while_others_are_in_it(owner):
    other, leave = make_membership(owner.club), f"/api/v1/clubs/{owner.club.slug}/leave"
    refused = program(owner.user, "manage").post(leave)
    assert refusal(refused) == (409, "conflict")
    assert "Hand it over to somebody first." in refused.json()["error"]["message"]
    assert program(other.user, "manage").post(leave).status_code == 204
    assert list(Membership.objects.all()) == [owner]


def test_a_code_tells_what_it_opens_and_lets_its_holder_in_with_their_own_word(owner):
    joiner, code = make_membership(make_club("Hill")).user, a_code(owner)
    told = program(joiner).get("/api/v1/join", {"code": code.lower()}).json()
    assert (told["club"], told["role"]) == ("Riverbank", "member")
    client, sent = program(joiner, "manage"), {"code": code, "display_name": "Wren"}
    assert refusal(post(client, "/api/v1/join", sent)) == (422, "invalid")
    sent["visibility"] = "club"
    answer = post(client, "/api/v1/join", sent)
    assert (answer.status_code, answer.json()["slug"]) == (201, owner.club.slug)
    joined = Membership.objects.get(club=owner.club, user=joiner)
    assert (joined.display_name, joined.visibility) == ("Wren", Visibility.CLUB)
    assert refusal(post(client, "/api/v1/join", sent)) == (409, "conflict")


def test_a_code_that_opens_nothing_is_refused_at_its_field_and_counted(owner):
    joiner, code = make_membership(make_club("Hill")).user, a_code(owner)
    reading, client = program(joiner), program(joiner, "manage")
    for n in range(INVITATION.n_account):
        answer = (
            post(
                client,
                "/api/v1/join",
                {"code": f"WRONG{n}", "display_name": "Wren", "visibility": "coach"},
            )
            if n % 2
            else reading.get("/api/v1/join", {"code": f"WRONG{n}"})
        )
        assert (answer.status_code, answer.json()["error"]["field"]) == (422, "code")
        assert "ask for a new one" in answer.json()["error"]["message"]
    assert Throttle.objects.filter(scope=INVITATION.scope).count() == 2  # account and address
    shut = post(
        client, "/api/v1/join", {"code": code, "display_name": "Wren", "visibility": "coach"}
    )
    assert (*refusal(shut), "Retry-After" in shut.headers) == (429, "too_many_tries", True)
    assert Club.objects.get(memberships__user=joiner).name == "Hill"
