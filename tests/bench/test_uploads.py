"""Seconds that 5,000 timed solves take from bytes to tables, and what its first steps take alone."""

import random
import time
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest

from clubsite.accounts.models import User
from cubecore.book import default_book
from cubecore.cases import CASES, Stage
from cubecore.notation import parse_script
from cubecore.rows import Row
from logs.intake.reading import read_upload
from logs.intake.rows import Clock
from logs.intake.source import SourceFile
from logs.solves.models.solves import Sighting, Solve, Upload
from logs.solves.services.labels import label_rows
from logs.solves.services.relabel import solve_relabel
from logs.solves.services.uploads import upload_import
from tests.factories import NOW, SENT_AT, make_csv, make_row, make_user

CLOCK = Clock(UTC, datetime(2100, 1, 1, tzinfo=UTC))

N_SOLVES = 5_000
SEED = 20260301

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]


def _rows() -> list[Row]:
    """Solves of some 55 turns: eight turns at random, pairs by triggers, two algorithms."""
    rng = random.Random(SEED)
    by_stage = {stage: [c for c in CASES.values() if c.id.stage is stage] for stage in Stage}
    triggers = ("R U R'", "U L' U' L", "U2 F' U F", "R U' R' U R U R'", "U' L' U L U2 L' U L")
    rows = []
    for number in range(N_SOLVES):
        start = " ".join(rng.choices("RUFDLB", k=8))
        pairs = rng.choices(triggers, k=4)
        algorithms = [rng.choice(rng.choice(by_stage[stage]).algorithms) for stage in Stage]
        parts = (start, *pairs, algorithms[0], rng.choice(("U", "U'", "U2")), algorithms[1])
        rows.append(make_row(*parts, done_at=NOW + timedelta(minutes=number)))
    return rows


def add(member: User, content: bytes) -> Upload:
    """Add a log as its page adds a short one: all of it at once, by chunks, with its tallies."""
    return upload_import(
        member=member,
        source=SourceFile(content),
        file_name="bench.csv",
        time_zone=ZoneInfo("UTC"),
        now=SENT_AT,
    )


def test_five_thousand_timed_solves_from_bytes_to_tables():
    rows = _rows()
    content = make_csv(rows)
    member = make_user()
    clock = [time.perf_counter()]
    parsed = read_upload(SourceFile(content), CLOCK)
    clock.append(time.perf_counter())
    label_rows(parsed.rows, book=default_book())
    clock.append(time.perf_counter())
    upload = add(member, content)
    clock.append(time.perf_counter())
    assert (upload.n_taken, upload.n_doubled, upload.n_set_aside) == (N_SOLVES, 0, 0)
    assert Solve.objects.count() == N_SOLVES
    assert Sighting.objects.count() == 2 * N_SOLVES
    parse, label, whole = (after - before for before, after in pairwise(clock))
    n_turns = sum(len(parse_script(row.solution or "").turns) for row in rows) / N_SOLVES
    print(
        f"\n{N_SOLVES} solves of {n_turns:.0f} turns, seed {SEED}, {len(content) / 1e6:.1f} MB:"
        f" parse {parse:.2f} s, label {label:.2f} s alone; all of it, by chunks with"
        f" their tallies, {whole:.2f} s"
    )


def test_the_same_solves_again_and_their_labels_anew():
    content = make_csv(_rows())
    member = make_user()

    def seconds(file: bytes) -> float:
        started = time.perf_counter()
        add(member, file)
        return time.perf_counter() - started

    first, again, doubled = seconds(content), seconds(content), seconds(content + b"\r\n")
    started = time.perf_counter()
    assert solve_relabel().n_solves == N_SOLVES
    relabelled = time.perf_counter() - started
    assert Solve.objects.count() == N_SOLVES
    print(
        f"\nimport {first:.2f} s; the same file again {again:.3f} s; all its solves doubled"
        f" {doubled:.2f} s; relabel {relabelled:.2f} s"
    )
