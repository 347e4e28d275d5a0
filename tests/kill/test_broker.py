"""Jobs whose numbers Celery and Redis carry: killed workers and lost numbers cost no row and double none.

As DEVELOPERS.md, "Workers on several hosts": a site, two workers and one beat, each a process of
its own. Leases and waits of minutes are not sat out: the times they end at are set back in the
database, as if the minutes had passed; the sweep comes by itself, every 10 s.
"""

import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from celery import Celery
from django.db import connection
from django.utils import timezone

from clubsite.accounts.models import User
from logs.jobs.models import Job
from logs.jobs.services import REDELIVER_AFTER, TASK
from tests.kill.client import Client
from tests.kill.engine import Broker, Engine, claimed_broker
from tests.kill.made_file import N_ROWS, MadeFile, make_file
from tests.kill.site import Site, serving, wait_for
from tests.kill.tables import check, check_tallies

COMMIT_S = 0.3
"""Within which PostgreSQL ends a commit that a killed worker had asked for."""
PASSWORD = "plum-anvil-orbit-nine"
pytestmark = [pytest.mark.kill, pytest.mark.django_db(transaction=True)]


@pytest.fixture(scope="module")
def made() -> MadeFile:
    return make_file()


@pytest.fixture
def broker() -> Iterator[Broker]:
    with claimed_broker() as claimed:
        yield claimed


@pytest.fixture
def engine(tmp_path: Path, broker: Broker) -> Iterator[Engine]:
    running = Engine(tmp_path, broker.url)
    yield running
    running.stop()


@pytest.fixture
def sender(settings) -> User:
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]
    return User.objects.create_user("Alder", password=PASSWORD)


def _sent(site: Site, made: MadeFile) -> int:
    """The job of the file, sent by a member who had sent some of its rows before."""
    client = Client(site.address, "Alder", PASSWORD)
    assert client.send(made.before, "before.csv")[0] == 200
    assert client.send(made.content, "made.csv")[0] == 200
    return Job.objects.get(n_total=N_ROWS).pk


def _seen(job_id: int, is_so: Callable[[Job], bool]) -> Job:
    """The job, once it is so."""

    def look() -> Job | None:
        job = Job.objects.get(pk=job_id)
        return job if is_so(job) else None

    return wait_for(look, 120)


def _check_whole(job_id: int, made: MadeFile) -> None:
    job = _seen(job_id, lambda job: job.status not in {"queued", "running"})
    assert (job.status, job.token) == ("done", "")
    assert check(job_id, made) == N_ROWS
    check_tallies(job)


def test_a_number_that_redis_lost_is_handed_over_again_and_a_doubled_one_is_done_once(
    tmp_path: Path, sender: User, engine: Engine, broker: Broker, made: MadeFile
):
    with serving(tmp_path, broker=broker.url) as site:
        job_id = _sent(site, made)
        waiting = _seen(job_id, lambda job: job.delivered_at is not None)
        assert broker.n_waiting() == 1
        broker.lose_everything()
        engine.start("one", "two")
        engine.wait_until_ready()
        assert _received(engine) == [0, 0]
        assert Job.objects.filter(pk=job_id, status="queued", n_read=0).exists()

        _wait_ends(waiting)
        _seen(job_id, lambda job: job.n_read > 0)
        with Celery(broker=broker.url, set_as_current=False) as other:
            other.send_task(TASK, args=[job_id])
        _check_whole(job_id, made)
        wait_for(lambda: (broker.n_waiting(), broker.n_given()) == (0, 0))
    assert _received(engine) == [1, 1]
    assert Job.objects.get(pk=job_id).n_before == 0  # it was begun once


def test_what_a_killed_worker_held_is_gone_on_with_by_another(
    tmp_path: Path, sender: User, engine: Engine, broker: Broker, made: MadeFile
):
    engine.start("one", "two")
    with serving(tmp_path, broker=broker.url) as site:
        engine.wait_until_ready()
        job_id = _sent(site, made)
        first = _killed_after(500, engine.kill_child, job_id, made)
        second = _killed_after(2_500, engine.kill, job_id, made)
        _check_whole(job_id, made)
    print(f"\n{connection.vendor}: killed at rows {first} and {second}")


def _killed_after(n_rows: int, kill: Callable[[str], None], job_id: int, made: MadeFile) -> int:
    """Kill whoever holds the job after so many rows; another goes on, at the row that is answered."""
    held = _seen(job_id, lambda job: bool(job.token) and job.n_read >= n_rows)
    kill(held.token.partition("@")[0])
    time.sleep(COMMIT_S)
    n_read = check(job_id, made)
    dead = Job.objects.get(pk=job_id)
    assert (dead.status, dead.token) == ("running", held.token)
    assert n_rows <= n_read < N_ROWS
    _lease_ends(dead)
    other = _seen(job_id, lambda job: job.token not in {"", dead.token})
    assert other.n_before == n_read
    return n_read


def _received(engine: Engine) -> list[int]:
    """How many numbers of jobs each of the two workers was given."""
    return [engine.n_received(name, TASK) for name in ("one", "two")]


def _lease_ends(job: Job) -> None:
    """As if the holder of the job had been silent for a minute."""
    ago = timezone.now() - timedelta(seconds=1)
    assert Job.objects.filter(pk=job.pk, token=job.token).update(lease_until=ago) == 1


def _wait_ends(job: Job) -> None:
    """As if the job's number had been on its way for two minutes."""
    long_ago = timezone.now() - REDELIVER_AFTER - timedelta(seconds=1)
    assert Job.objects.filter(pk=job.pk, status="queued").update(delivered_at=long_ago) == 1
