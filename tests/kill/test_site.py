"""Many clients at once over HTTP, and the processes of a site killed under them."""

import json
import os
import random
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from django.db import connection

from clubsite.accounts.models import User
from logs.jobs.models import Job
from logs.solves.models.solves import Sighting, Solve, Upload
from tests.factories import make_csv, make_rows
from tests.kill.client import Client
from tests.kill.site import ROOT, environment, serving, wait_for

PASSWORD = "plum-anvil-orbit-nine"
N_CLIENTS = 8
SEED = 20261125
pytestmark = [pytest.mark.kill, pytest.mark.django_db(transaction=True)]


@pytest.fixture(autouse=True)
def _real_passwords(settings):
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.Argon2PasswordHasher"]


def _ended(n_jobs: int) -> bool:
    return Job.objects.filter(status="done").count() == n_jobs


def test_overlapping_files_from_eight_clients_at_once_are_one_copy_of_each_solve(tmp_path: Path):
    rng = random.Random(SEED)
    User.objects.create_user("Alder", password=PASSWORD)
    rows = make_rows(2_400)
    files = []
    for number in range(24):  # a third of them is long enough to be taken in behind the request
        n_rows = 800 if number % 3 == 0 else 200
        start = rng.randrange(0, 2_400 - n_rows)
        files.append(tmp_path / f"{number}.csv")
        files[-1].write_bytes(make_csv(rows[start : start + n_rows]))
    files.append(tmp_path / "all.csv")
    files[-1].write_bytes(make_csv(rows))
    with serving(tmp_path) as site:
        clients = [
            subprocess.Popen(
                [sys.executable, "-m", "tests.kill.client", site.address, "Alder", PASSWORD]
                + [str(file) for file in rng.sample(files, 10) + files[-1:]],
                cwd=ROOT,
                env=environment(tmp_path),
                stdout=subprocess.PIPE,
                text=True,
            )
            for _ in range(N_CLIENTS)
        ]
        statuses = [json.loads(client.communicate(timeout=300)[0]) for client in clients]
        wait_for(lambda: _ended(Upload.objects.count()), 300)
        said = site.log.read_text()
    assert statuses == [[200] * 11] * N_CLIENTS
    assert "locked" not in said
    assert "Traceback" not in said
    assert Solve.objects.count() == Solve.objects.values("done_at").distinct().count() == 2_400
    assert Sighting.objects.count() == 4_800
    sent = [(u.n_taken + u.n_doubled, u.n_rows, u.job.n_total) for u in Upload.objects.all()]
    assert all(accounted == read == total for accounted, read, total in sent)
    assert sum(upload.n_taken for upload in Upload.objects.all()) == 2_400
    print(f"\n{connection.vendor}, seed {SEED}: {N_CLIENTS} clients, {len(sent)} files, 88 answers")


def test_a_killed_worker_is_followed_by_another_that_goes_on(tmp_path: Path):
    User.objects.create_user("Alder", password=PASSWORD)
    with serving(tmp_path) as site:
        client = Client(site.address, "Alder", PASSWORD)
        assert client.send(make_csv(make_rows(3_000)), "long.csv")[0] == 200
        wait_for(lambda: Job.objects.filter(n_read__gt=0, status="running").exists())
        killed = wait_for(site.worker)
        os.kill(killed, signal.SIGKILL)
        other = wait_for(lambda: {site.worker()} - {None, killed})
        wait_for(lambda: _ended(1), 120)
        assert other == {site.worker()}
    assert Solve.objects.count() == 3_000


def test_a_worker_does_not_outlive_its_site_and_the_next_site_goes_on(tmp_path: Path):
    User.objects.create_user("Alder", password=PASSWORD)
    with serving(tmp_path) as site:
        client = Client(site.address, "Alder", PASSWORD)
        client.send(make_csv(make_rows(3_000)), "long.csv")
        wait_for(lambda: Job.objects.filter(n_read__gt=0, status="running").exists())
        worker = wait_for(site.worker)
        site.process.kill()
        wait_for(lambda: not Path(f"/proc/{worker}").exists(), 5)
    n_read = Job.objects.get().n_read
    assert Solve.objects.count() == n_read < 3_000
    # As if a minute had passed.
    Job.objects.filter(status="running").update(lease_until="2026-01-01T00:00Z")
    with serving(tmp_path):
        wait_for(lambda: _ended(1), 120)
    assert Solve.objects.count() == 3_000


def test_a_site_that_is_stopped_lets_its_job_go_between_two_chunks(tmp_path: Path):
    User.objects.create_user("Alder", password=PASSWORD)
    with serving(tmp_path) as site:
        Client(site.address, "Alder", PASSWORD).send(make_csv(make_rows(3_000)), "long.csv")
        wait_for(lambda: Job.objects.filter(n_read__gt=0, status="running").exists())
    job = Job.objects.get()
    assert (job.status, job.token) == ("queued", "")
    assert Solve.objects.count() == job.n_read < 3_000
