"""Jobs in words."""

from dataclasses import replace

import pytest

from logs.jobs.report import JobReport
from logs.jobs.words import job_counts, job_title, time_left
from tests.factories import NOW

JOB = JobReport(
    id=1,
    kind="upload",
    status="running",
    upload_id=1,
    club_slug="",
    n_total=5000,
    n_read=1500,
    n_taken=1480,
    n_doubled=15,
    n_set_aside=5,
    n_changed=0,
    n_refused=0,
    share=30,
    is_waiting_long=False,
    left_s=41,
    error_code="",
    error_message="",
    made_at=NOW,
    started_at=NOW,
    ended_at=None,
)


@pytest.mark.parametrize(
    ("status", "kind", "title"),
    [
        ("running", "upload", "The log is being taken in"),
        ("running", "relabel", "Solves are being labelled anew"),
        ("queued", "upload", "Waiting for its turn"),
        ("failed", "relabel", "Stopped by a fault"),
    ],
)
def test_a_job_is_headed_by_what_it_does_or_how_it_stands(status: str, kind: str, title: str):
    assert job_title(replace(JOB, status=status, kind=kind)) == title


def test_a_job_counts_what_it_read():
    assert job_counts(JOB) == (
        "1,500 of 5,000 rows read: 1,480 taken, 15 doubled, 5 set aside."
        " At the pace so far it takes about 45 seconds more."
    )
    relabelling = replace(JOB, kind="relabel", n_changed=1200, left_s=None)
    assert job_counts(relabelling) == "1,500 of 5,000 solves done; 1,200 have a label that differs."


@pytest.mark.parametrize(
    ("left_s", "words"),
    [
        (None, ""),
        (0, "about 5 seconds"),
        (41, "about 45 seconds"),
        (60, "about 1 minute"),
        (200, "about 3 minutes"),
    ],
)
def test_time_left_is_told_roughly(left_s: int | None, words: str):
    assert time_left(left_s) == words
