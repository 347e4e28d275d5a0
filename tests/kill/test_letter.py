"""Whatever kills it, a weekly letter goes out once at most, and what it kept back stands in the next.

``KILL_POINTS`` says how many points (20 by default; half of them here), ``KILL_SEED`` which.
"""

import os
import random
from collections import Counter
from datetime import UTC, datetime, timedelta
from functools import partial
from pathlib import Path

import pytest
from django.conf import LazySettings
from django.db import connection
from django.utils import timezone

from logs.home.models import WeeklyLetter
from logs.home.services import letter_switch, letters_queue
from logs.jobs.models import Job, JobKind, JobStatus
from logs.tasks import execute
from tests.desk import CASE_40, make_homework, make_team
from tests.factories import make_rows, make_upload
from tests.kill.killing import count_statements, killed_at_statement

POINTS = max(6, int(os.environ.get("KILL_POINTS", "20")) // 2)
SEED = int(os.environ.get("KILL_SEED", "20261125"))
MONDAY = datetime(2026, 3, 2, 6, 0, tzinfo=UTC)
WEEK = timedelta(days=7)
pytestmark = [pytest.mark.kill, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def letters(settings: LazySettings, tmp_path: Path) -> Path:
    """Where letters go, a file each; a coach with a homework and a member's log wants them."""
    settings.SENDS_MAIL, settings.SITE_ADDRESS = True, "https://cubes.example.org"
    settings.EMAIL_BACKEND = "django.core.mail.backends.filebased.EmailBackend"
    settings.EMAIL_FILE_PATH = str(tmp_path)
    _, coach, (member,) = make_team(1)
    coach.user.email = "coach@example.org"
    coach.user.save()
    make_homework(coach, [member], (CASE_40,))
    make_upload(member.user, make_rows(3), now=timezone.now())
    letter_switch(actor=coach.user, slug=coach.club.slug, is_wanted=True, now=MONDAY)
    return tmp_path


def test_a_letter_goes_out_once_at_most_whatever_kills_it(letters: Path):
    rng = random.Random(SEED)
    n_queue = count_statements(partial(_queue, 1))
    n_run = count_statements(_run)
    assert len(list(letters.iterdir())) == 1
    seen: Counter[str] = Counter()
    for point in range(POINTS):
        place, week = (point + rng.random()) / POINTS, point + 2
        killed_at_statement(partial(_queue, week), int(place * 2 * n_queue))
        _queue(week)
        assert Job.objects.filter(kind=JobKind.LETTER).count() == week
        since, n_before = WeeklyLetter.objects.get().since_at, len(list(letters.iterdir()))
        late = 1 - (1 - place) ** 2  # most at its end, where the letter goes
        killed_at_statement(_run, int(late * 2 * n_run))
        seen["went out"] += len(list(letters.iterdir())) > n_before
        is_told = WeeklyLetter.objects.get().since_at > since
        ago = timezone.now() - timedelta(seconds=1)
        Job.objects.filter(status=JobStatus.RUNNING).update(lease_until=ago)
        while Job.objects.filter(kind=JobKind.LETTER).exclude(status=JobStatus.DONE).exists():
            _run()
        n_sent = len(list(letters.iterdir())) - n_before
        is_next = WeeklyLetter.objects.get().since_at == since
        assert n_sent == 1 or (n_sent == 0 and is_next)
        assert n_sent == 1 or not is_told
        seen["kept for the next"] += n_sent == 0
    print(
        f"\n{connection.vendor}, seed {SEED}, {POINTS} points of {n_queue} + {n_run}: {dict(seen)}"
    )
    assert 0 < seen["went out"] < POINTS
    assert seen["kept for the next"] <= 1  # between two statements, of all there are


def _queue(n_weeks: int) -> None:
    letters_queue(now=MONDAY + n_weeks * WEEK)


def _run() -> None:
    """A worker takes the letter that waits."""
    job = Job.objects.filter(kind=JobKind.LETTER).exclude(status=JobStatus.DONE).get()
    execute(job.pk, worker="one")
