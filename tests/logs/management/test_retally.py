import pytest
from django.core.management import call_command

from logs.solves.models.tallies import CaseTally
from tests.factories import make_rows, make_upload, make_user

pytestmark = pytest.mark.django_db


def test_the_command_rebuilds_what_was_lost_and_says_how_many(capsys):
    make_upload(make_user(), make_rows(2))
    CaseTally.objects.all().delete()
    call_command("retally")
    assert capsys.readouterr().out == "Tallies of 1 member rebuilt.\n"
    assert CaseTally.objects.filter(stage="oll", case="27", n=2, n_one_look=2).exists()
    make_user()
    call_command("retally", verbosity=2)
    assert capsys.readouterr().out == "1 so far\n2 so far\nTallies of 2 members rebuilt.\n"
