"""An e-mail address that its member may have kept, and a forgotten password by mail."""

import re
from datetime import timedelta

import pytest
from django.conf import LazySettings
from django.core import mail
from django.test import Client
from django.utils import timezone

from clubsite.accounts.models import User
from logs.people.models import AuditEvent, Verb
from logs.people.services.mail import MAIL_LINK
from tests.factories import make_user

pytestmark = pytest.mark.django_db

OLD, NEW = "plum-anvil-orbit-nine", "barn-quilt-seven-otter"


@pytest.fixture(autouse=True)
def sends_mail(settings: LazySettings) -> None:
    settings.SENDS_MAIL = True


@pytest.fixture
def person() -> User:
    user = make_user("Wren")
    user.set_password(OLD)
    user.email = "wren@example.org"
    user.save()
    return user


def signed_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def link_in_letter() -> str:
    """The path of the one address in the newest letter."""
    found = re.findall(r"http://testserver(/\S+)", str(mail.outbox[-1].body))
    assert len(found) == 1
    return str(found[0])


def ask(client: Client, typed: str):
    return client.post("/new-password/mail/", {"typed": typed})


@pytest.mark.parametrize("typed", ["Wren", "wREN", "wren@example.org", "Wren@Example.org"])
def test_a_mailed_link_lets_its_person_choose_a_password_once(
    person: User, client: Client, typed: str
):
    ask(client, typed)
    assert mail.outbox[-1].to == ["wren@example.org"]
    link = link_in_letter()
    form = client.get(link, follow=True)
    there = form.redirect_chain[-1][0]
    answer = client.post(there, {"new_password1": NEW, "new_password2": NEW}, follow=True)
    assert "Your password is changed. Sign in with it." in answer.text
    person.refresh_from_db()
    assert person.check_password(NEW)
    assert "This link does not work" in Client().get(link, follow=True).text
    assert AuditEvent.objects.get(verb=Verb.PASSWORD_RESET).member == person


def test_a_new_password_signs_out_every_device(person: User, client: Client):
    device = signed_in(person)
    ask(client, "Wren")
    there = client.get(link_in_letter(), follow=True).redirect_chain[-1][0]
    client.post(there, {"new_password1": NEW, "new_password2": NEW})
    assert device.get("/password/").status_code == 302


def test_a_weak_password_is_refused_with_its_reason(person: User, client: Client):
    ask(client, "Wren")
    there = client.get(link_in_letter(), follow=True).redirect_chain[-1][0]
    assert (
        "8 are the least"
        in client.post(there, {"new_password1": "short", "new_password2": "short"}).text
    )
    person.refresh_from_db()
    assert person.check_password(OLD)


def test_a_link_is_good_for_an_hour_and_ends_with_a_new_password(
    person: User, client: Client, settings: LazySettings
):
    assert settings.PASSWORD_RESET_TIMEOUT == 3600
    ask(client, "Wren")
    link = link_in_letter()
    person.set_password(NEW)
    person.save()
    assert "This link does not work" in client.get(link, follow=True).text


def test_the_answer_is_the_same_whoever_was_named(person: User, client: Client):
    make_user("Nomail")
    answers = {ask(client, name).content for name in ("Wren", "Nomail", "nobody at all")}
    assert len(answers) == 1
    assert len(mail.outbox) == 1


def test_a_locked_account_gets_no_letter(person: User, client: Client):
    person.is_active = False
    person.save()
    ask(client, "Wren")
    assert mail.outbox == []


def test_nobody_s_box_is_filled_from_many_addresses(person: User):
    for n in range(MAIL_LINK.n_account + 5):
        assert ask(Client(REMOTE_ADDR=f"192.0.2.{n}"), "Wren").status_code == 200
    assert len(mail.outbox) == MAIL_LINK.n_account


def test_a_server_that_is_away_changes_nothing_in_the_answer(
    person: User, client: Client, settings: LazySettings
):
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9  # RFC 863: discard; nothing listens
    assert ask(client, "Wren").content == ask(client, "nobody").content


def test_an_address_is_kept_once_its_link_is_opened_and_forgotten_again():
    user = make_user("Tarn")
    client = signed_in(user)
    sent = {"mail_address": "tarn@example.org"}
    assert client.post("/privacy/mail-address/", {**sent, "password": "wrong"}).status_code == 422
    user.set_password(OLD)
    user.save()
    client.force_login(user)
    client.post("/privacy/mail-address/", {**sent, "password": OLD})
    user.refresh_from_db()
    assert user.email == ""
    link = link_in_letter()
    assert client.get(link).status_code == 200
    user.refresh_from_db()
    assert user.email == ""  # a mail program that looks ahead keeps nothing
    client.post(link)
    user.refresh_from_db()
    assert user.email == "tarn@example.org"
    client.post("/privacy/mail-address/", {"forget": "yes"})
    user.refresh_from_db()
    assert user.email == ""
    events = AuditEvent.objects.filter(verb=Verb.MAIL_ADDRESS, member=user).order_by("pk")
    assert [event.detail for event in events] == [{"is_kept": True}, {"is_kept": False}]
    assert "example" not in str(list(events.values()))


def test_a_link_for_an_address_works_for_its_own_account_and_for_a_day(person: User):
    client = signed_in(person)
    client.post("/privacy/mail-address/", {"mail_address": "new@example.org", "password": OLD})
    link = link_in_letter()
    assert signed_in(make_user("Other")).get(link).status_code == 404
    assert client.get(link[:-3] + "x/").status_code == 404
    with pytest.MonkeyPatch.context() as patch:
        late = timezone.now() + timedelta(days=1, seconds=5)
        patch.setattr("django.core.signing.time.time", late.timestamp)
        assert client.get(link).status_code == 404


@pytest.mark.parametrize("address", ["/privacy/mail-address/", "/new-password/mail/"])
def test_a_site_that_sends_no_mail_has_no_such_pages(
    person: User, settings: LazySettings, address: str
):
    client = signed_in(person)
    assert client.get(address).status_code == 200
    settings.SENDS_MAIL = False
    assert client.get(address).status_code == 404
    assert address not in Client().get("/sign-in/").text
