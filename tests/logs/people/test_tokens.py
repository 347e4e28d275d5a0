"""Tokens: made, kept as a digest alone, used, over, withdrawn."""

import hashlib
from datetime import timedelta
from importlib import import_module

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.test import Client
from django.utils import timezone

from clubsite.accounts.models import User
from logs.errors import ConflictError, NotFoundError
from logs.limits import TOKENS
from logs.people.models import ApiToken, AuditEvent
from logs.people.selectors import token_shown
from logs.people.services.passwords import password_note
from logs.people.services.tokens import token_make, token_use, token_withdraw
from tests.factories import NOW, make_client, make_user

pytestmark = pytest.mark.django_db
HOUR = timedelta(hours=1)


def make(user, name="mine", **said):
    return token_make(
        actor=user, **({"name": name, "scopes": ["read"], "days": 1, "now": NOW} | said)
    )


def test_a_token_is_kept_as_its_sha_256_alone():
    token, text = make(make_user())
    row = ApiToken.objects.values().get()
    assert text not in str(row)
    assert row["token_hash"] == hashlib.sha256(text.encode()).hexdigest()
    # RFC 6749, section 10.10: a guess must succeed with a chance of at most 2^-160.
    assert len(text) * 6 >= 160
    assert token_shown(text, now=NOW) == token


def test_tokens_that_were_made_when_their_scopes_said_less_are_over():
    _, text = make(make_user())
    import_module("logs.migrations.0021_tokens_anew").end(apps, None)
    assert token_shown(text, now=NOW) is None


def test_a_token_ends_with_its_days_its_withdrawal_and_its_member_s_account():
    user = make_user()
    token, text = make(user)
    assert token_shown(text, now=NOW + 24 * HOUR) is None
    assert token_shown(text, now=NOW + 23 * HOUR) == token
    user.is_active = False
    user.save()
    assert token_shown(text, now=NOW) is None
    user.is_active = True
    user.save()
    token_withdraw(actor=user, token_id=token.pk, now=NOW)
    assert token_shown(text, now=NOW) is None


def test_another_s_token_is_not_there():
    token, _ = make(make_user())
    with pytest.raises(NotFoundError):
        token_withdraw(actor=make_user(), token_id=token.pk, now=NOW)
    assert ApiToken.objects.exists()


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"name": " "}, "name"),
        ({"name": "x" * 61}, "name"),
        ({"scopes": []}, "scopes"),
        ({"scopes": ["all"]}, "scopes"),
        ({"days": 0}, "days"),
        ({"days": 367}, "days"),
    ],
)
def test_what_cannot_be_taken_is_named(said, field):
    with pytest.raises(ValidationError) as refused:
        make(make_user(), **said)
    assert list(refused.value.message_dict) == [field]


def test_one_name_once_and_not_too_many():
    user = make_user()
    make(user, "0")
    with pytest.raises(ValidationError, match="0"):
        make(user, "0")
    make(make_user(), "0")
    for number in range(1, TOKENS):
        make(user, str(number))
    with pytest.raises(ConflictError, match=r"^You have 20 tokens"):
        make(user, "more")


def test_use_is_noted_once_in_an_hour():
    token, _ = make(make_user())
    for minutes, noted in ((0, 0), (59, 0), (60, 60), (119, 60), (120, 120)):
        token.refresh_from_db()
        token_use(token, now=NOW + timedelta(minutes=minutes))
        token.refresh_from_db()
        assert token.last_used_at == NOW + timedelta(minutes=noted)


def test_the_trail_tells_of_both_without_a_name():
    user = make_user()
    token, _ = make(user, "secret-name")
    token_withdraw(actor=user, token_id=token.pk, now=NOW)
    events = AuditEvent.objects.order_by("pk")
    assert [event.verb for event in events] == ["token_make", "token_withdraw"]
    assert "secret-name" not in str([event.detail for event in events])


def test_a_withdrawn_a_locked_and_a_mistyped_token_are_refused_alike_at_the_next_request():
    user, now = make_user(), timezone.now()
    token, text = make(user, now=now)
    client = Client(headers={"authorization": f"Bearer {text}"})
    assert client.get("/api/v1/log").status_code == 200
    mistyped = Client(headers={"authorization": f"Bearer {text}x"}).get("/api/v1/log")
    user.is_active = False
    user.save()
    locked = client.get("/api/v1/log")
    user.is_active = True
    user.save()
    token_withdraw(actor=user, token_id=token.pk, now=now)
    withdrawn = client.get("/api/v1/log")
    for refused in (mistyped, locked, withdrawn):
        assert (refused.status_code, refused.content) == (401, mistyped.content)


def test_wrong_tokens_are_counted_for_their_address_and_right_ones_still_work():
    _, text = make(make_user(), now=timezone.now())
    wrong = Client(headers={"authorization": "Bearer wrong"})
    answers = [wrong.get("/api/v1/log").status_code for _ in range(31)]
    assert answers == [401] * 30 + [429]
    assert int(wrong.get("/api/v1/log").headers["Retry-After"]) > 0
    assert Client(headers={"authorization": f"Bearer {text}"}).get("/api/v1/log").status_code == 200


def test_too_many_changes_wait_and_say_how_long():
    _, text = make(make_user(), scopes=["upload"], now=timezone.now())
    client = Client(headers={"authorization": f"Bearer {text}"})
    answers = [client.post("/api/v1/jobs/1/cancel").status_code for _ in range(121)]
    assert answers == [404] * 120 + [429]
    refused = client.post("/api/v1/jobs/1/cancel")
    assert 0 < int(refused.headers["Retry-After"]) <= 600
    assert refused.json()["error"]["code"] == "too_many_tries"


PASSWORD, NEW = "plum-anvil-orbit-nine", "seven-lanterns-under-ice"


@pytest.fixture
def browser() -> Client:
    user = make_user("mirre")
    user.set_password(PASSWORD)
    user.save()
    return make_client(user)


def change(browser: Client, **more: str) -> None:
    sent = {"old_password": PASSWORD, "new_password1": NEW, "new_password2": NEW}
    assert browser.post("/password/", sent | more).status_code == 302


def test_a_new_password_ends_every_token_and_both_are_in_the_trail(browser: Client):
    user = User.objects.get()
    _, text = make(user)
    change(browser)
    assert token_shown(text, now=NOW) is None
    events = AuditEvent.objects.filter(member=user).order_by("pk")
    assert [event.verb for event in events] == ["token_make", "password_change", "token_withdraw"]
    assert {event.origin for event in events[1:]} == {"127.0.0.0/24"}
    page = browser.get("/privacy/").text
    assert "changed your password" in page
    assert "withdrew a token for your programs" in page


def test_tokens_are_kept_over_a_new_password_by_choice(browser: Client):
    token, text = make(User.objects.get())
    change(browser, keeps_programs="on")
    assert token_shown(text, now=NOW) == token
    assert AuditEvent.objects.get(verb="password_change").detail == {"keeps_programs": True}


def test_a_forgotten_password_ends_every_token():
    user = make_user()
    _, text = make(user)
    password_note(user=user, now=NOW)
    assert token_shown(text, now=NOW) is None


def test_a_token_is_made_with_the_password_alone(browser: Client):
    sent = {"name": "mine", "scopes": ["read"], "days": "7"}
    for password in ("", "wrong"):
        answer = browser.post("/privacy/tokens/", sent | {"password": password})
        assert answer.status_code == 422
    assert "This is not your password." in answer.text
    assert not ApiToken.objects.exists()
    assert browser.post("/privacy/tokens/", sent | {"password": PASSWORD}).status_code == 200
    assert ApiToken.objects.get().name == "mine"
