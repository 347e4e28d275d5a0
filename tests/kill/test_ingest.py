"""Whatever kills a worker or its link to the database, no row is lost, doubled or half taken.

A worker is killed in the midst of a file of 5,000 rows, at points spread over all statements that
it sends (each once before it is sent and once after its answer), and at random instants. What is in the tables then
must be exactly what the model of the file says of the rows that were reported as read; another
worker goes on, and in the end it must be what the model says of the whole file.

``KILL_POINTS`` says how many points (20 by default), ``KILL_SEED`` which.
"""

import os
import random
import signal
import time
from collections import Counter
from datetime import timedelta
from zoneinfo import ZoneInfo

import psycopg
import pytest
from django.db import connection
from django.utils import timezone

from logs.intake.source import SourceFile
from logs.jobs.models import Job
from logs.jobs.services import MAX_ATTEMPTS
from logs.privacy.services import member_erase
from logs.solves.services.uploads import upload_import
from logs.tasks import execute
from tests.factories import NOW, SENT_AT, make_user
from tests.kill.killing import Wrapper, count_statements, ended, forked, killed_at_statement
from tests.kill.made_file import N_ROWS, MadeFile, make_file
from tests.kill.tables import check, check_tallies

POINTS = int(os.environ.get("KILL_POINTS", "20"))
SEED = int(os.environ.get("KILL_SEED", "20261125"))
pytestmark = [pytest.mark.kill, pytest.mark.django_db(transaction=True)]


@pytest.fixture(scope="module")
def made() -> MadeFile:
    return make_file()


def test_what_was_read_when_a_worker_was_killed_is_there_once_and_whole(made: MadeFile):
    rng = random.Random(SEED)
    n_statements, seconds = _measured(made)
    kinds = ["statement"] * 3 + ["instant"]
    if connection.vendor == "postgresql":
        kinds.append("backend")
    seen: Counter[str] = Counter()
    for point in range(POINTS):
        kind = kinds[point % len(kinds)]
        # One place drawn in each of as many equal pieces of the run as there are points.
        place = (point + rng.random()) / POINTS
        job = _sent(made)
        if kind == "statement":
            moment = int(place * 2 * n_statements)
            killed_at_statement(lambda: _work(job.pk), moment)  # noqa: B023 - done at once
        elif kind == "instant":
            _killed_at_instant(job.pk, place * seconds)
        else:
            _cut_off_at_statement(job.pk, int(place * n_statements))
        n_read = check(job.pk, made)
        seen[kind] += 1
        seen["midway"] += 0 < n_read < N_ROWS
        _finish(job.pk)
        assert check(job.pk, made) == N_ROWS
        if point % 10 == 0:
            check_tallies(job)
        _erase(job)
    print(f"\n{connection.vendor}, seed {SEED}, {POINTS} points: {dict(seen)}")
    assert seen["midway"] > POINTS // 4


def _sent(made: MadeFile) -> Job:
    """The job of the file, sent by a new member who had sent some of its rows before."""
    member = make_user()
    for content, inline_rows in ((made.before, None), (made.content, 0)):
        upload = upload_import(
            member=member,
            source=SourceFile(content),
            file_name="made.csv",
            time_zone=ZoneInfo("UTC"),
            now=SENT_AT,
            inline_rows=inline_rows,
        )
    return Job.objects.select_related("member").get(upload=upload)


def _measured(made: MadeFile) -> tuple[int, float]:
    """Statements and seconds of a run that nobody disturbs; it also warms what children inherit."""
    job = _sent(made)
    started = time.perf_counter()
    n_statements = count_statements(lambda: _work(job.pk))
    seconds = time.perf_counter() - started
    assert check(job.pk, made) == N_ROWS
    _erase(job)
    return n_statements, seconds


def _killed_at_instant(job_id: int, seconds: float) -> None:
    child = forked(lambda: _work(job_id))
    time.sleep(seconds)
    os.kill(child, signal.SIGKILL)
    assert ended(child) in {-signal.SIGKILL, 0}


def _cut_off_at_statement(job_id: int, number: int) -> None:
    """Have PostgreSQL end the worker's connection before statement ``number``."""
    settings = connection.get_connection_params()
    address = {
        name: settings[name]
        for name in ("dbname", "user", "host", "port", "password")
        if settings.get(name)
    }
    passed = 0

    def cut_at(run: Wrapper, *arguments: object) -> object:
        nonlocal passed
        if passed == number:
            backend = connection.connection.info.backend_pid
            with psycopg.connect(**address, autocommit=True) as other:
                other.execute("SELECT pg_terminate_backend(%s)", [backend])
        passed += 1
        return run(*arguments)

    def work() -> None:
        with connection.execute_wrapper(cut_at):
            execute(job_id, worker="cut off")

    assert ended(forked(work)) in {3, 0}


def _work(job_id: int) -> None:
    execute(job_id, worker="killed")


def _finish(job_id: int) -> None:
    """Another worker goes on, once the lease of the dead one has ended."""
    ago = timezone.now() - timedelta(seconds=1)
    Job.objects.filter(pk=job_id, status="running").update(lease_until=ago)
    job = Job.objects.get(pk=job_id)
    if job.status != "done":
        assert execute(job_id, worker="second")
        job.refresh_from_db()
    assert (job.status, job.attempts < MAX_ATTEMPTS) == ("done", True)


def _erase(job: Job) -> None:
    assert job.member is not None
    member_erase(actor=job.member, now=NOW)
