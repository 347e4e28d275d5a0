"""Server time of Progress for a member with 20,000 sightings, beside a plain pandas groupby.

The rows are copies of a few hundred really labelled solves at random moments of two years. The
groupby reads the same sightings in one query and takes count and mean by stage and case: the least
that a page without anything kept would have to do. All in one run, so that the ratios hold whatever
else the machine does; the times are for orientation.
"""

import random
from datetime import timedelta

import pandas as pd
import pytest
from django.db import connection
from django.test import Client

from logs.progress.models import KeptFigures
from logs.solves.models.solves import Sighting, Solve, Upload
from logs.solves.services.tallies import tally_rebuild
from tests.bench.test_dashboards import SEED, _least_ms, labelled_solves, read_ms
from tests.factories import NOW, make_row, make_upload, make_user

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]

N_SOLVES = 10_000
N_DAYS = 730
N_MISSES = 3


def fill(member, patterns: list[Solve]) -> None:
    """Give the member ``N_SOLVES`` solves, of two sightings each."""
    rng = random.Random(SEED)
    upload = Upload.objects.create(
        member=member, sha256="0" * 64, content=b"", file_name="bench", format="csv",
        time_zone="UTC", received_at=NOW, n_rows=N_SOLVES, n_taken=N_SOLVES, n_doubled=0,
        n_set_aside=0,
    )  # fmt: skip
    chosen = rng.choices(patterns, k=N_SOLVES)
    solves = []
    for line, pattern in enumerate(chosen, start=1):
        values = {f.attname: getattr(pattern, f.attname) for f in Solve._meta.concrete_fields}
        values |= {"id": None, "member_id": member.pk, "upload_id": upload.pk, "line": line}
        values |= {"key": str(line), "done_at": NOW - rng.random() * timedelta(days=N_DAYS)}
        values |= {"time_ms": round(pattern.time_ms * rng.lognormvariate(0, 0.15))}
        solves.append(Solve(**values))
    Solve.objects.bulk_create(solves, batch_size=500)
    sightings = []
    for solve, pattern in zip(solves, chosen, strict=True):
        for one in pattern.sightings.all():
            values = {f.attname: getattr(one, f.attname) for f in Sighting._meta.concrete_fields}
            values |= {"id": None, "member_id": member.pk, "solve_id": solve.pk}
            for part in ("recognition_ms", "execution_ms"):
                values[part] = max(1, round(values[part] * rng.lognormvariate(0, 0.2)))
            sightings.append(Sighting(**values))
    Sighting.objects.bulk_create(sightings, batch_size=500)
    tally_rebuild(member_ids=[member.pk])
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("ANALYZE")


def group(member) -> None:
    columns = ("stage", "case", "recognition_ms", "execution_ms")
    rows = Sighting.objects.filter(member=member).values_list(*columns)
    frame = pd.DataFrame.from_records(rows.iterator(chunk_size=50_000), columns=columns)
    frame.groupby(["stage", "case"])[["recognition_ms", "execution_ms"]].agg(["count", "mean"])


def test_progress_of_20_000_sightings():
    maker, member = make_user(), make_user()
    fill(member, labelled_solves(maker))
    n = Sighting.objects.filter(member=member).count()
    assert n == 2 * N_SOLVES
    client = Client()
    client.force_login(member)

    def missed() -> None:
        KeptFigures.objects.all().delete()
        assert client.get("/progress/").status_code == 200

    missed()
    miss_ms = _least_ms(missed, N_MISSES)
    kept_ms = read_ms(client, "/progress/")
    plain_ms = _least_ms(lambda: group(member), 5)
    assert client.get("/progress/").context["report"].n_solves == N_SOLVES
    make_upload(member, [make_row(done_at=NOW + timedelta(days=1))])
    assert client.get("/progress/").context["report"].n_solves == N_SOLVES + 1
    print(
        f"\n{n:,} sightings: Progress with its figures kept {kept_ms:.0f} ms, worked out anew"
        f" {miss_ms:.0f} ms; read and grouped plainly {plain_ms:.0f} ms:"
        f" {kept_ms / plain_ms:.2f} and {miss_ms / plain_ms:.2f} times that"
    )
    assert kept_ms < miss_ms
