"""``manage.py club``: the first person of a club comes in by a code on the command line."""

import re

import pytest
from django.core.management import CommandError, call_command
from django.utils import timezone

from logs.people.models import Club, Role
from logs.people.services.invitations import invitation_accept
from tests.factories import make_user

pytestmark = pytest.mark.django_db


def found(*arguments: str, capsys: pytest.CaptureFixture[str]) -> str:
    call_command("club", *arguments)
    code = re.search(r"[0-9A-Z]{4}(-[0-9A-Z]{4}){2}", capsys.readouterr().out)
    assert code is not None
    return code[0]


def test_a_club_is_founded_and_its_code_makes_an_owner(capsys):
    code = found("Riverbank Turners", "--zone", "Europe/Oslo", capsys=capsys)
    club = Club.objects.get()
    assert (club.name, club.slug, club.time_zone) == (
        "Riverbank Turners",
        "riverbank-turners",
        "Europe/Oslo",
    )
    joined = invitation_accept(
        actor=make_user(), code=code, display_name="Marlow", now=timezone.now()
    )
    assert joined.role == Role.OWNER


def test_a_code_that_was_lost_is_made_anew_until_there_is_an_owner(capsys):
    found("Hill", capsys=capsys)
    code = found("Hill", capsys=capsys)
    invitation_accept(actor=make_user(), code=code, display_name="Ash", now=timezone.now())
    with pytest.raises(CommandError, match=r"^Hill has an owner already\. The owner invites"):
        call_command("club", "Hill")
    assert Club.objects.count() == 1


@pytest.mark.parametrize(
    ("arguments", "problem"),
    [
        (["Hill", "--zone", "Mars/Base"], "'Mars/Base' is no IANA time zone"),
        (["Hill", "--days", "0"], "Write a number from 1 to 60"),
        (["???"], "cannot be blank"),
    ],
)
def test_a_mistake_founds_nothing(arguments: list[str], problem: str):
    with pytest.raises(CommandError, match=problem):
        call_command("club", *arguments)
    assert not Club.objects.exists()
