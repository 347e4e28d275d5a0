"""``manage.py upload`` says what became of each file and row, and fails when a file was refused."""

from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from logs.solves.models.solves import Solve
from tests.factories import make_club, make_csv, make_membership, make_rows, make_user

UPLOADS = Path(__file__).parents[3] / "fixtures" / "uploads"
pytestmark = pytest.mark.django_db


def _upload(*args: object) -> tuple[str, str]:
    out, err = StringIO(), StringIO()
    call_command("upload", *map(str, args), stdout=out, stderr=err)
    return out.getvalue(), err.getvalue()


def test_counts_problems_and_unread_columns_are_printed(tmp_path):
    make_user("ada")
    good = tmp_path / "good.csv"
    good.write_bytes(make_csv(make_rows(2)))
    out, err = _upload(
        "ada", good, UPLOADS / "valid" / "sensor.jsonl", UPLOADS / "broken" / "cells.csv"
    )
    assert err == ""
    assert out.splitlines() == [
        f"{good}: 2 imported, 0 duplicate, 0 on hold.",
        f"{UPLOADS}/valid/sensor.jsonl: 3 imported, 0 duplicate, 0 on hold.",
        "  column 'battery' is not read",
        f"{UPLOADS}/broken/cells.csv: 2 imported, 0 duplicate, 2 on hold.",
        "  line 3: The row has 8 cells where the header has 7.",
        "  line 4: The row has 2 cells where the header has 7.",
    ]
    again, _ = _upload("ADA", good)
    assert again == f"{good}: sent before, nothing new: all 2 duplicate.\n"


def test_local_times_are_read_in_the_zone_of_the_club_or_as_told():
    club = make_club(time_zone="Asia/Tokyo")
    make_membership(club, make_user("mei"))
    make_user("ada")
    _upload("mei", UPLOADS / "valid" / "timed.csv")
    _upload("ada", UPLOADS / "valid" / "timed.csv", "--time-zone", "Europe/Oslo")
    hours = Solve.objects.filter(note__startswith="æøå").order_by("id")
    moments = hours.values_list("done_at", flat=True)
    assert [moment.hour for moment in moments if moment] == [9, 17]  # 18:08 there


def test_a_refused_file_does_not_stop_the_others_but_the_command_fails(tmp_path):
    make_user("ada")
    out, err = StringIO(), StringIO()
    files = [
        UPLOADS / "broken" / "zipped.csv",
        tmp_path / "none.csv",
        UPLOADS / "valid" / "least.csv",
    ]
    with pytest.raises(CommandError, match="2 of 3 files were not taken"):
        call_command("upload", "ada", *map(str, files), stdout=out, stderr=err)
    assert "zipped.csv: The file is a ZIP archive" in err.getvalue()
    assert "none.csv: No such file or directory." in err.getvalue()
    assert "least.csv: 2 imported, 0 duplicate" in out.getvalue()


def test_unknown_people_and_zones_are_named():
    with pytest.raises(CommandError, match="Nobody signs in as 'eve'"):
        _upload("eve", "x.csv")
    make_user("ada")
    with pytest.raises(CommandError, match="'Mars/Base' is no IANA time zone"):
        _upload("ada", "x.csv", "--time-zone", "Mars/Base")
