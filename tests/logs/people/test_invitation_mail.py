"""Invitations by mail: only where a server is set up, never a hindrance to the code."""

from datetime import timedelta

import pytest
from django.conf import LazySettings
from django.core import mail
from django.test import Client
from django.utils import timezone

from logs.errors import TooManyTriesError
from logs.people.models import Invitation, Membership
from logs.people.services.invitations import MAIL, Letter, invitation_mail

pytestmark = pytest.mark.django_db
FORM = {"role": "member", "max_uses": 1, "days": 7}


@pytest.fixture
def client_of_coach(coach: Membership, client: Client) -> Client:
    client.force_login(coach.user)
    return client


def invite(client: Client, coach: Membership, **fields: object):
    return client.post(f"/clubs/{coach.club.slug}/invitations/", {**FORM, **fields})


def test_the_code_goes_to_the_address_and_stands_on_the_page(
    client_of_coach: Client, coach: Membership, settings: LazySettings
):
    settings.SENDS_MAIL = True
    page = invite(client_of_coach, coach, mail_to="wren@example.org")
    assert page.status_code == 200
    assert "mailed to wren@example.org" in page.text
    (letter,) = mail.outbox
    assert letter.to == ["wren@example.org"]
    assert letter.subject == "Join Riverbank"
    assert page.context["links"][0].line.code in letter.body
    assert page.context["links"][0].link in letter.body


def test_without_a_server_nobody_is_asked_for_an_address_and_none_is_used(
    client_of_coach: Client, coach: Membership
):
    page = invite(client_of_coach, coach, mail_to="wren@example.org")
    assert "Mail it to" not in page.text
    assert mail.outbox == []
    assert page.context["links"][0].line.code


def test_an_address_that_is_none_makes_no_code(
    client_of_coach: Client, coach: Membership, settings: LazySettings
):
    settings.SENDS_MAIL = True
    assert invite(client_of_coach, coach, mail_to="wren at home").status_code == 422
    assert Invitation.objects.count() == 0


def test_a_server_that_is_away_leaves_the_code_on_the_page(
    client_of_coach: Client, coach: Membership, settings: LazySettings
):
    settings.SENDS_MAIL = True
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", 9  # RFC 863: discard; nothing listens
    page = invite(client_of_coach, coach, mail_to="wren@example.org")
    assert page.status_code == 200
    assert "did not take the invitation" in page.text
    assert page.context["links"][0].line.code


def test_mailing_ends_at_the_days_limit(coach: Membership):
    now = timezone.now()
    letter = Letter(to="wren@example.org", club="Riverbank\nBcc: all", link="/join/", code="AB")
    for _ in range(MAIL.n_account):
        invitation_mail(actor=coach.user, letter=letter, now=now, address="192.0.2.1")
    assert {sent.subject for sent in mail.outbox} == {"Join Riverbank Bcc: all"}
    with pytest.raises(TooManyTriesError):
        invitation_mail(actor=coach.user, letter=letter, now=now, address="192.0.2.1")
    tomorrow = now + timedelta(days=1, seconds=1)
    invitation_mail(actor=coach.user, letter=letter, now=tomorrow, address="192.0.2.1")
