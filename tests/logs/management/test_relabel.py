"""``manage.py relabel`` says how many labels differ."""

from io import StringIO

import pytest
from django.core.management import call_command

from logs.solves.models.solves import Solve
from tests.factories import make_rows, make_upload, make_user

pytestmark = pytest.mark.django_db


def test_what_changed_and_what_was_refused_is_printed(caplog):
    make_upload(make_user(), make_rows(3))
    first, second, _ = Solve.objects.order_by("id")
    Solve.objects.filter(pk=first.pk).update(f2l_ms=1)
    Solve.objects.filter(pk=second.pk).update(solution_turns=b"", turn_gaps=None)
    out, err = StringIO(), StringIO()
    call_command("relabel", verbosity=2, stdout=out, stderr=err)
    assert out.getvalue() == "3 of 3 solves so far\n3 solves relabelled, 1 changed.\n"
    assert err.getvalue().startswith("1 are taken by the engine no longer and keep their labels")
    assert caplog.messages == [f"solve {second.pk}: the engine takes it no longer; labels kept"]
