"""Many clients at once: each solve is stored once, each file answered, nobody is turned away."""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from datetime import timedelta
from functools import partial
from typing import TypeVar

import pytest
from django.db import connections

from logs.solves.models.solves import Sighting, Solve, Upload
from logs.solves.services.relabel import Relabelled, solve_relabel
from tests.factories import NOW, make_rows, make_upload, make_user

T = TypeVar("T")
pytestmark = pytest.mark.django_db(transaction=True)


def _at_once(jobs: Sequence[Callable[[], T]]) -> list[T]:
    def run(job: Callable[[], T]) -> T:
        try:
            return job()
        finally:
            connections.close_all()

    with ThreadPoolExecutor(len(jobs)) as pool:
        return list(pool.map(run, jobs))


def test_one_file_from_many_clients_is_one_upload():
    member, rows = make_user(), make_rows(20)
    uploads = _at_once([lambda: make_upload(member, rows)] * 8)
    assert len({upload.pk for upload in uploads}) == 1
    assert sorted(upload.is_repeat for upload in uploads) == [False] + [True] * 7
    assert Solve.objects.count() == 20


def test_overlapping_files_at_once_take_each_solve_once():
    member, rows = make_user(), make_rows(60)
    parts = [rows[start : start + 20] for start in (0, 10, 20, 30, 40)]
    parts += [part[::-1] for part in parts]  # the same rows the other way round
    _at_once([partial(make_upload, member, part) for part in parts])
    assert Solve.objects.count() == 60
    assert Sighting.objects.count() == 120
    uploads = Upload.objects.all()
    assert sum(upload.n_taken for upload in uploads) == 60
    assert sum(upload.n_taken + upload.n_doubled for upload in uploads) == 200


def test_labels_are_made_anew_while_logs_come_in():
    member, other = make_user(), make_user()
    make_upload(member, make_rows(100))
    later = NOW + timedelta(days=1)
    jobs: list[Callable[[], Upload | Relabelled]] = [
        solve_relabel,
        solve_relabel,
        lambda: make_upload(other, make_rows(30), now=later),
    ]
    results = _at_once(jobs)
    assert all(result.n_changed == 0 for result in results if isinstance(result, Relabelled))
    assert (Solve.objects.count(), Sighting.objects.count()) == (130, 260)
