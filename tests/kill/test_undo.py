"""Whatever kills it, an upload is in the log, out of it or on its way back, and no row is lost.

``KILL_POINTS`` says how many points (20 by default; a quarter of them here), ``KILL_SEED`` which.
"""

import os
import random
from collections import Counter
from datetime import timedelta

import pytest
from django.db import connection
from django.utils import timezone

from clubsite.accounts.models import User
from logs.jobs.models import Job
from logs.privacy.services import member_erase
from logs.solves.models.kept_rows import KeptRow
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload
from logs.solves.services.undo import upload_put_back, upload_take_back
from logs.tasks import execute
from tests.factories import NOW, SENT_AT, make_upload, make_user
from tests.kill.killing import count_statements, killed_at_statement
from tests.kill.made_file import N_ROWS, MadeFile, make_file
from tests.kill.tables import check, check_tallies

POINTS = max(5, int(os.environ.get("KILL_POINTS", "20")) // 4)
SEED = int(os.environ.get("KILL_SEED", "20261125"))
pytestmark = [pytest.mark.kill, pytest.mark.django_db(transaction=True)]


@pytest.fixture(scope="module")
def made() -> MadeFile:
    return make_file()


def test_an_upload_is_taken_back_whole_and_put_back_row_by_row_whatever_kills_it(made: MadeFile):
    rng = random.Random(SEED)
    member, upload = _sent(made)
    n_back = count_statements(lambda: _take_back(member, upload))
    _begin(member, upload)
    n_forth = count_statements(lambda: _work(upload))
    seen: Counter[str] = Counter()
    for point in range(POINTS):
        place = (point + rng.random()) / POINTS
        killed_at_statement(lambda: _take_back(member, upload), int(place * 2 * n_back))
        is_out = not Upload.objects.filter(pk=upload.pk).exists()
        seen["out" if is_out else "in"] += 1
        if not is_out:
            assert check(_job(upload).pk, made) == N_ROWS
            _take_back(member, upload)
        assert _n_away(upload, made) == N_ROWS
        _begin(member, upload)
        killed_at_statement(lambda: _work(upload), int(place * 2 * n_forth))
        n_away = _n_away(upload, made)
        seen["midway"] += 0 < n_away < N_ROWS
        _finish(upload)
        assert check(_job(upload).pk, made) == N_ROWS
        assert _n_away(upload, made) == 0
    check_tallies(_job(upload))
    print(f"\n{connection.vendor}, seed {SEED}, {POINTS} points: {dict(seen)}")
    assert seen["in"]
    assert seen["midway"] > POINTS // 3
    member_erase(actor=member, now=NOW)


def _sent(made: MadeFile) -> tuple[User, Upload]:
    member = make_user()
    make_upload(member, content=made.before, file_name="before.csv")
    upload = make_upload(member, content=made.content)
    assert check(_job(upload).pk, made) == N_ROWS
    return member, upload


def _job(upload: Upload) -> Job:
    return Job.objects.select_related("member").get(upload=upload)


def _take_back(member: User, upload: Upload) -> None:
    upload_take_back(actor=member, upload_id=upload.pk, now=SENT_AT)


def _begin(member: User, upload: Upload) -> None:
    """Have the upload be put back by a worker."""
    upload_put_back(actor=member, upload_id=upload.pk, now=SENT_AT, inline_rows=0)


def _work(upload: Upload) -> None:
    execute(_job(upload).pk, worker="one")


def _finish(upload: Upload) -> None:
    """Another worker goes on, once the lease of the dead one has ended."""
    ago = timezone.now() - timedelta(seconds=1)
    Job.objects.filter(upload=upload, status="running").update(lease_until=ago)
    if _job(upload).status != "done":
        assert execute(_job(upload).pk, worker="second")


def _n_away(upload: Upload, made: MadeFile) -> int:
    """How many rows are not in the log; each row of the file is in one place, and counted there."""
    upload = Upload.all_uploads.get(pk=upload.pk)
    away = dict(KeptRow.objects.filter(upload=upload, is_away=True).values_list("line", "fate"))
    told = dict(KeptRow.objects.filter(upload=upload, is_away=False).values_list("line", "fate"))
    solves = dict(Solve.objects.filter(upload=upload).values_list("line", "note"))
    aside = dict(SetAsideRow.objects.filter(upload=upload).values_list("line", "code"))
    places = (away, told, solves, aside)
    assert sorted(line for lines in places for line in lines) == list(made.lines)
    by_line = dict(zip(made.lines, zip(made.fates, made.notes, strict=True), strict=True))
    assert {line: by_line[line][0] for line in away} == away
    assert {line: by_line[line][0] for line in told} == told
    assert {line: by_line[line][1] for line in solves} == solves
    assert {by_line[line][0] for line in solves} <= {"taken"}
    n_sightings = Sighting.objects.filter(solve__upload=upload).count()
    assert n_sightings == sum(
        n for line, n in zip(made.lines, made.n_sightings, strict=True) if line in solves
    )
    n_in = len(told) + len(solves) + len(aside)
    assert upload.n_rows == (N_ROWS if upload.taken_back_at else n_in)
    if not upload.taken_back_at:
        assert (upload.n_taken, upload.n_doubled) == (len(solves), len(told))
        return len(away)
    assert not told | solves
    return len(away) + len(aside)
