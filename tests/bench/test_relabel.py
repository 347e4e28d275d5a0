"""What labelling anew costs a solve, on the database the tests run on, and what writing costs.

Beside each other in one run: labels that stand, a new version alone, labels that all differ; and the
same columns written by `update_rows` and by Django's ``bulk_update``.
"""

import statistics
import time
from collections.abc import Callable

import pytest
from django.db import connection

from cubecore.rows import parse_row
from logs.solves.models.solves import Sighting, Solve
from logs.solves.services.labels import LABEL_FIELDS, TURN_FIELDS
from logs.solves.services.relabel import solve_relabel, update_rows
from tests.bench.solved_rows import timed_rows
from tests.factories import make_upload, make_user

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]
N_SOLVES = 1_000
ROUNDS = 3


def us_a_solve(work: Callable[[], object]) -> float:
    started = time.perf_counter()
    work()
    return (time.perf_counter() - started) / N_SOLVES * 1e6


def spoil_labels() -> None:
    Solve.objects.update(f2l_ms=1, cross_ms=1)
    Sighting.objects.update(angle=3, position=0)


def test_labels_that_stand_a_new_version_and_labels_that_differ():
    rows = [parse_row(fields) for fields in timed_rows()[:N_SOLVES]]
    make_upload(make_user(), rows)
    assert Solve.objects.count() == N_SOLVES
    spoilers: dict[str, Callable[[], object]] = {
        "labels that stand": lambda: None,
        "a new version alone": lambda: Solve.objects.update(engine_version="0"),
        "labels that all differ": spoil_labels,
        "turns read from the texts": lambda: Solve.objects.update(
            **dict.fromkeys(TURN_FIELDS, None)
        ),
    }
    found: dict[str, list[float]] = {name: [] for name in spoilers}
    for _ in range(ROUNDS):
        for name, spoil in spoilers.items():
            spoil()
            found[name].append(us_a_solve(solve_relabel))
    print(f"\n{connection.vendor}, {N_SOLVES} solves, microseconds a solve, median of {ROUNDS}:")
    for name, costs in found.items():
        print(f"  {name:<27}{statistics.median(costs):7.0f} (best {min(costs):.0f})")


def test_rows_written_by_a_join_and_by_bulk_update():
    make_upload(make_user(), [parse_row(fields) for fields in timed_rows()[:N_SOLVES]])
    solves = list(Solve.objects.order_by("pk"))
    ours, djangos = [], []
    for _ in range(ROUNDS):
        ours.append(us_a_solve(lambda: update_rows(solves, LABEL_FIELDS)))
        djangos.append(
            us_a_solve(lambda: Solve.objects.bulk_update(solves, LABEL_FIELDS, batch_size=100))
        )
    ratio = statistics.median(djangos) / statistics.median(ours)
    print(
        f"\n{connection.vendor}, {len(LABEL_FIELDS)} columns, microseconds a row: a join"
        f" {statistics.median(ours):.0f}, bulk_update {statistics.median(djangos):.0f}"
        f" ({ratio:.1f} times as much)"
    )
    assert list(Solve.objects.order_by("pk").values()) == [
        {name: getattr(solve, name) for name in _names()} for solve in solves
    ]


def _names() -> list[str]:
    return [field.attname for field in Solve._meta.concrete_fields]
