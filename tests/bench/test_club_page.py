"""Server time of the Club page with 60 members: 300,000 sightings, and ten times as many.

A few hundred really labelled solves give the rows their shape. Their solves and sightings are then
copied for all 60 members by bulk inserts (the raw text left empty, as no page of the club reads
it) and tallied by the service. At ten times as many the sightings are 3,000,000, copied inside the
database from those that stand, and the tallies are rebuilt by the service once more.
"""

import random
import time
from datetime import timedelta
from statistics import median

import pytest
from django.db import connection
from django.test import Client

from cubecore.cases import CASES, Stage
from logs.models import CaseTally, Role, Sighting, Solve, Upload, Visibility
from logs.services.tallies import tally_rebuild_all
from tests.factories import LAST_PAIR, NOW, make_club, make_membership, make_row, make_upload

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]

N_MEMBERS = 60
N_SOLVES = 2_500
TIMES = 10
N_READS = 15
SEED = 20260301


def labelled_solves(member) -> list[Solve]:
    """Every case in one look, many in two, by a few hundred rows that are really labelled."""
    rng = random.Random(SEED)
    by_stage = {stage: [c for c in CASES.values() if c.id.stage is stage] for stage in Stage}
    edge_step = "F R U R' U' F'"
    rows = []
    for number in range(400):
        oll, pll = (rng.choice(rng.choice(by_stage[stage]).algorithms) for stage in Stage)
        first = (edge_step,) if number % 3 == 0 else ()
        at = NOW + timedelta(minutes=number)
        gap_ms = rng.randrange(120, 200)
        rows.append(make_row(LAST_PAIR, *first, oll, "U", pll, gap_ms=gap_ms, done_at=at))
    make_upload(member, rows)
    return list(Solve.objects.filter(member=member).prefetch_related("sightings"))


def copy_solves(member, patterns: list[Solve], rng: random.Random) -> None:
    upload = Upload.objects.create(
        member=member,
        sha256=f"{member.pk:064}",
        content=b"",
        file_name="bench",
        format="csv",
        time_zone="UTC",
        received_at=NOW,
        n_rows=N_SOLVES,
        n_taken=N_SOLVES,
        n_doubled=0,
        n_set_aside=0,
    )
    chosen = rng.choices(patterns, k=N_SOLVES)
    solves = []
    for line, pattern in enumerate(chosen, start=1):
        values = {f.attname: getattr(pattern, f.attname) for f in Solve._meta.concrete_fields}
        values |= {"id": None, "member_id": member.pk, "upload_id": upload.pk, "line": line}
        values |= {"key": f"{line:064}", "done_at": NOW + timedelta(minutes=line)}
        solves.append(Solve(**values))
    Solve.objects.bulk_create(solves, batch_size=500)
    sightings = []
    for solve, pattern in zip(solves, chosen, strict=True):
        for one in pattern.sightings.all():
            values = {f.attname: getattr(one, f.attname) for f in Sighting._meta.concrete_fields}
            values |= {"id": None, "member_id": member.pk, "solve_id": solve.pk}
            sightings.append(Sighting(**values))
    Sighting.objects.bulk_create(sightings, batch_size=500)


def multiply() -> None:
    """Copy every solve and its sightings nine times, by two statements a copy."""
    solve_columns = [str(f.column) for f in Solve._meta.concrete_fields if f.column != "id"]
    sighting_columns = [str(f.column) for f in Sighting._meta.concrete_fields if f.column != "id"]
    with connection.cursor() as cursor:
        cursor.execute("SELECT max(id), max(line) FROM logs_solve")
        step, lines = cursor.fetchone()
        for copy in range(1, TIMES):
            new = {
                "key": f"key || '-{copy}'",
                "line": f"line + {copy * lines}",
                "solve_id": f"solve_id + {copy * step}",
            }
            _copy(cursor, "logs_solve", solve_columns, new, copy * step, step)
            _copy(cursor, "logs_sighting", sighting_columns, new, None, step)


def _copy(cursor, table: str, columns: list[str], new: dict[str, str], shift, step: int) -> None:
    chosen = ", ".join(f'"{one}"' for one in columns)
    values = ", ".join(new.get(one, f'"{one}"') for one in columns)
    origin = "id" if table == "logs_solve" else "solve_id"
    head, ids = (f"id, {chosen}", f"id + {shift}, {values}") if shift else (chosen, values)
    cursor.execute(
        f"INSERT INTO {table} ({head}) SELECT {ids} FROM {table} WHERE {origin} <= {step}"
    )


def read_ms(client: Client, address: str) -> float:
    """Median server time of a page, ms; the first read, which notes looks, is not counted."""
    client.get(address)
    times = []
    for _ in range(N_READS):
        started = time.perf_counter()
        assert client.get(address).status_code == 200
        times.append(1000 * (time.perf_counter() - started))
    return median(times)


def test_the_club_page_does_not_grow_with_the_sightings():
    rng = random.Random(SEED)
    club = make_club()
    coach = make_membership(club, role=Role.COACH)
    patterns = labelled_solves(coach.user)
    members = [make_membership(club, visibility=Visibility.COACH) for _ in range(N_MEMBERS)]
    Solve.objects.filter(member=coach.user).delete()
    for member in members:
        copy_solves(member.user, patterns, rng)
    client = Client()
    client.force_login(coach.user)
    two = "&".join(f"member={one.pk}" for one in members[:2])
    base = f"/clubs/{club.slug}/"
    pages = {
        "OLL": base,
        "PLL": f"{base}?stage=pll",
        "compare": f"{base}compare/?{two}",
        "mistaken": f"{base}mistaken/",
    }
    found = {}
    for times in (1, TIMES):
        if times > 1:
            multiply()
        n_sightings = Sighting.objects.count()
        assert n_sightings == times * 2 * N_MEMBERS * N_SOLVES
        started = time.perf_counter()
        tally_rebuild_all()
        seconds = time.perf_counter() - started
        looks = CaseTally.objects.filter(kind="solve").values_list("n", flat=True)
        assert sum(looks) == n_sightings
        found[times] = {name: read_ms(client, address) for name, address in pages.items()}
        shown = ", ".join(f"{name} {ms:.0f} ms" for name, ms in found[times].items())
        print(f"\n{N_MEMBERS} members, {n_sightings:,} sightings: {shown}; retally {seconds:.1f} s")
    ratios = {name: found[TIMES][name] / found[1][name] for name in pages}
    print("ratio " + ", ".join(f"{name} {ratio:.2f}" for name, ratio in ratios.items()))
    assert ratios["OLL"] < 1.5
