"""Server time of a club's pages, and of counting a chunk, at 10,000 sightings and up by tens.

A few hundred really labelled solves give the rows their shape. They are copied for 100 members over
two years of weeks (the raw text left out, as no page of the club reads it), then, for ten times as
many, inside the database from those that stand. The service makes the tallies at every size.

Two claims. A page grows with its tallies, a row for each member and case, and not with the
sightings; the copies are of cases already met, so the tallies are as many at every size. And, at the
largest size, the page is beside what a plain pandas groupby of the same rows takes, whose counts
must be its own.

``BENCH_SIGHTINGS`` is the largest size: 100,000 by default, so that CI stays short; a large club's is
``BENCH_SIGHTINGS=1000000``; 10,000,000 wants PostgreSQL. All in one run, so that the ratios hold
whatever else the machine does; the times are for orientation.
"""

import os
import random
import time
from collections.abc import Callable
from datetime import timedelta

import pytest
from django.db import connection
from django.db.models import F
from django.test import Client
from django.utils import timezone

from cubecore.cases import CASES, Stage
from logs.people.models import Role, Visibility
from logs.solves.models.solves import Sighting, Solve, Upload
from logs.solves.models.tallies import CaseTally, WeekTally
from logs.solves.services.tallies import tallies_following, tally_rebuild_all
from tests.bench.plain_groupby import grouped, sighting_rows
from tests.factories import LAST_PAIR, NOW, make_club, make_membership, make_row, make_upload

pytestmark = [pytest.mark.bench, pytest.mark.django_db(transaction=True)]

N_MEMBERS = 100
N_SOLVES = 50
N_PATTERNS = 400
FIRST = 2 * N_MEMBERS * N_SOLVES
FULL = 1_000_000
LARGEST = int(os.environ.get("BENCH_SIGHTINGS", "100000"))
N_WEEKS = 104
N_READS = 15
N_CHUNKS = 5
CHUNK = 500
SEED = 20260301


def labelled_solves(member) -> list[Solve]:
    """Each case in turn, a fourth of the OLLs in two looks, by rows that are really labelled."""
    rng = random.Random(SEED)
    by_stage = [[c for c in CASES.values() if c.id.stage is stage] for stage in Stage]
    edge_step = "F R U R' U' F'"
    rows = []
    for number in range(N_PATTERNS):
        oll, pll = (rng.choice(cases[number % len(cases)].algorithms) for cases in by_stage)
        first = (edge_step,) if number % 4 == 0 else ()
        at = NOW + timedelta(minutes=number)
        gap_ms = rng.randrange(120, 200)
        rows.append(make_row(LAST_PAIR, *first, oll, "U", pll, gap_ms=gap_ms, done_at=at))
    make_upload(member, rows)
    return list(Solve.objects.filter(member=member).prefetch_related("sightings"))


def copy_solves(member, patterns: list[Solve], rng: random.Random) -> None:
    """A member's solves at random moments of the weeks until now: most OLLs, every PLL."""
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
    now = timezone.now()
    first = rng.randrange(len(patterns) - N_SOLVES + 1)
    chosen = patterns[first : first + N_SOLVES]
    solves = []
    for line, pattern in enumerate(chosen, start=1):
        values = {f.attname: getattr(pattern, f.attname) for f in Solve._meta.concrete_fields}
        values |= {"id": None, "member_id": member.pk, "upload_id": upload.pk, "line": line}
        values |= {"scramble": "", "solution": "U", "turn_ms": "", "pair_ms": []}
        values |= {"key": str(line), "done_at": now - rng.random() * timedelta(weeks=N_WEEKS)}
        solves.append(Solve(**values))
    Solve.objects.bulk_create(solves, batch_size=500)
    sightings = []
    for solve, pattern in zip(solves, chosen, strict=True):
        for one in pattern.sightings.all():
            values = {f.attname: getattr(one, f.attname) for f in Sighting._meta.concrete_fields}
            values |= {"id": None, "member_id": member.pk, "solve_id": solve.pk}
            sightings.append(Sighting(**values))
    Sighting.objects.bulk_create(sightings, batch_size=500)


def ten_times_as_many() -> None:
    """Copy every solve and its sightings nine times, by two statements a copy."""
    with connection.cursor() as cursor:
        if connection.vendor == "postgresql":
            cursor.execute("SET synchronous_commit TO off")
        cursor.execute("SELECT max(id), max(line) FROM logs_solve")
        step, lines = cursor.fetchone()
        for copy in range(1, 10):
            shift = copy * step
            new = {
                "id": f"id + {shift}",
                "key": f"'{shift}.' || key",
                "line": f"line + {copy * lines}",
                "solve_id": f"solve_id + {shift}",
            }
            _copy(cursor, Solve, new, f"id <= {step}")
            _copy(cursor, Sighting, new, f"solve_id <= {step}", without="id")
        cursor.execute("ANALYZE")


def _copy(cursor, model, new: dict[str, str], of: str, *, without: str = "") -> None:
    names = [str(f.column) for f in model._meta.concrete_fields if f.column != without]
    columns = ", ".join(f'"{name}"' for name in names)
    values = ", ".join(new.get(name, f'"{name}"') for name in names)
    table = model._meta.db_table
    cursor.execute(f"INSERT INTO {table} ({columns}) SELECT {values} FROM {table} WHERE {of}")


def read_ms(client: Client, address: str) -> float:
    """Least server time of a page, ms; the first read, which notes looks, is not counted."""
    client.get(address)
    return _least_ms(lambda: _read(client, address), N_READS)


def _read(client: Client, address: str) -> None:
    assert client.get(address).status_code == 200


def chunk_ms(member) -> float:
    """Least time to change the times of 500 solves in the midst of a log and have tallies follow."""
    solves = Solve.objects.filter(member=member)
    ids = list(solves.order_by("done_at", "id").values_list("id", flat=True)[:CHUNK])

    def change() -> None:
        with tallies_following({member.pk: ids}):
            changed = Sighting.objects.filter(solve__in=ids, recognition_ms__isnull=False)
            changed.update(recognition_ms=F("recognition_ms") + 1)

    return _least_ms(change, N_CHUNKS)


def _least_ms(act: Callable[[], object], n: int) -> float:
    """The quickest of ``n`` runs: whatever else the machine does only adds to it.

    SQLite works in this process, so there the processor's time is taken, and nothing else is in it.
    """
    clock = time.process_time if connection.vendor == "sqlite" else time.perf_counter
    times = []
    for _ in range(n):
        started = clock()
        act()
        times.append(1000 * (clock() - started))
    return min(times)


def test_dashboards_do_not_grow_with_the_sightings():
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
    home = f"/clubs/{club.slug}/"
    pages = {
        "OLL": home,
        "PLL": f"{home}?stage=pll",
        "compare": f"{home}compare/?{two}",
        "mistaken": f"{home}mistaken/",
    }
    found: dict[int, dict[str, float]] = {}
    n_tallies = set()
    size = FIRST
    while size <= LARGEST:
        filling = time.perf_counter()
        if found:
            ten_times_as_many()
        counting = time.perf_counter()
        tally_rebuild_all()
        counted = time.perf_counter()
        n_solves = sum(WeekTally.objects.values_list("n", flat=True))
        n_sightings = sum(CaseTally.objects.values_list("n", flat=True))
        assert (n_sightings, n_solves) == (size, size // 2)
        n_tallies.add(CaseTally.objects.count())
        found[size] = {name: read_ms(client, address) for name, address in pages.items()}
        shown = ", ".join(f"{name} {ms:.0f} ms" for name, ms in found[size].items())
        if size >= 10 * FIRST:
            found[size]["a chunk"] = chunk_ms(members[0].user)
            shown += f"; {CHUNK} solves changed and counted anew {found[size]['a chunk']:.0f} ms"
        print(
            f"\n{size:,} sightings of {N_MEMBERS} members: {shown};"
            f" filled in {counting - filling:.0f} s, retally {counted - counting:.0f} s"
        )
        size *= 10
    end = max(found)
    start = min(10 * FIRST, end // 10)
    ratios = {name: found[end][name] / ms for name, ms in found[start].items()}
    shown = ", ".join(f"{name} {ratio:.2f}" for name, ratio in ratios.items())
    print(f"{end:,} to {start:,}: {shown}")
    beside_pandas(client, {Stage.OLL: home, Stage.PLL: pages["PLL"]}, found[end])
    assert len(n_tallies) == 1
    # Of a case met once or twice, as at the first size, there is less to say than later.
    most = 2.0 if start == FIRST else 1.5
    assert all(ratios[name] < most for name in pages)


def beside_pandas(client: Client, addresses: dict[Stage, str], page_ms: dict[str, float]) -> None:
    """Print the club's pages beside the groupby; its counts must be those on the pages."""
    rows = sighting_rows()
    plain = grouped(rows)
    for stage, address in addresses.items():
        own = plain.xs(stage.value, level="stage")
        counts = dict(
            zip(own.index, zip(own["n_looked"], own["n_one_look"], strict=True), strict=True)
        )
        for row in client.get(address).context["report"].grid.rows:
            for cell in row.cells:
                key = (row.member.user_id, cell.code.removeprefix(f"{stage.value}-"))
                assert (cell.n_looked, cell.n_one_look) == counts.get(key, (0, 0))
    group_ms = _least_ms(lambda: grouped(rows), N_CHUNKS)
    whole_ms = _least_ms(lambda: grouped(sighting_rows()), N_CHUNKS)
    print(
        f"{len(rows):,} sightings grouped by pandas {group_ms:.0f} ms, read too {whole_ms:.0f} ms"
    )
    for stage in addresses:
        ms = page_ms[stage.name]
        print(
            f"club page, {stage.name}: {ms:.0f} ms, {ms / group_ms:.2f} of grouping,"
            f" {ms / whole_ms:.3f} of reading and grouping"
        )
        assert len(rows) < FULL or ms < whole_ms
