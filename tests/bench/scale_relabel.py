"""Solves a second that 1, 2 and 4 worker processes label anew, on PostgreSQL with a million solves.

``python -m tests.bench.scale_relabel`` (``--solves 20000 --seconds 10`` for a small one) makes a
database of its own on ``--server``, fills it with copies of the demo club's members and their
solves, gives every solve the version of a book of before, so that each row is not only read and
labelled but written, and drops the database at the end. Each number of workers gets the same time,
after a warm-up, on solves that none has had before.
"""

import argparse
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import psycopg
from psycopg import sql

ROOT = Path(__file__).resolve().parents[2]
NAME = "scale_relabel"
WORKERS = (1, 2, 4)
WARM_UP_S = 5
APART = 10_000_000
"""Between the ids of one copy and the next: above any id of the demo club."""

ACTIVE = "SELECT count(*) FROM logs_job WHERE status IN ('queued', 'running')"

# Table -> the columns that differ from copy to copy; %s is the copy's number times ``APART``.
COPIED = {
    "accounts_user": {"id": "id + {n}", "username": "username || '-' || g"},
    "logs_upload": {"id": "id + {n}", "member_id": "member_id + {n}", "content": "''::bytea"},
    "logs_solve": {
        "id": "id + {n}",
        "member_id": "member_id + {n}",
        "upload_id": "upload_id + {n}",
        "key": "encode(sha256(convert_to(key || g, 'UTF8')), 'hex')",
        "book_version": "'before'",
    },
    "logs_sighting": {
        "id": "id + {n}",
        "member_id": "member_id + {n}",
        "solve_id": "solve_id + {n}",
    },
}


def main() -> None:
    """Make, measure, drop."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--server", default="postgres://root@127.0.0.1:5432")
    parser.add_argument("--solves", type=int, default=1_000_000)
    parser.add_argument("--seconds", type=float, default=20, help="for each number of workers")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as data, database(given.server) as address:
        os.environ |= {
            "DATABASE_URL": address,
            "CLUBSITE_DATA": data,
            "DJANGO_SETTINGS_MODULE": "clubsite.settings",
        }
        for command in (["migrate", "-v0"], ["demo", "--no-serve"]):
            subprocess.run(
                [sys.executable, "manage.py", *command],
                cwd=ROOT,
                check=True,
                stdout=subprocess.DEVNULL,
            )
        with psycopg.connect(address, autocommit=True) as link:
            fill(link, given.solves)
            measure(link, given.seconds)


@contextmanager
def database(server: str) -> Iterator[str]:
    """A fresh database's address; it is dropped at the end, whatever happens."""
    with psycopg.connect(f"{server}/postgres", autocommit=True) as link:
        link.execute(f"DROP DATABASE IF EXISTS {NAME} WITH (FORCE)")
        link.execute(f"CREATE DATABASE {NAME}")
    try:
        yield f"{server}/{NAME}"
    finally:
        with psycopg.connect(f"{server}/postgres", autocommit=True) as link:
            link.execute(f"DROP DATABASE {NAME} WITH (FORCE)")


def fill(link: "psycopg.Connection[Any]", n_solves: int) -> None:
    """Copy the demo club's people, files, solves and sightings until there are ``n_solves``."""
    started = time.perf_counter()
    n_demo = count(link, "SELECT count(*) FROM logs_solve")
    link.execute("UPDATE logs_solve SET book_version = 'before'")
    # The last copy brings as many solves as are still wanting.
    n_copies, rest = divmod(n_solves - n_demo, n_demo)
    last = count(link, "SELECT id FROM logs_solve ORDER BY id OFFSET %s LIMIT 1", [rest])
    for table, changed in COPIED.items():
        columns = [
            name
            for (name,) in link.execute(
                "SELECT column_name FROM information_schema.columns WHERE table_name = %s"
                " AND table_schema = 'public' AND is_generated = 'NEVER'",
                [table],
            )
        ]
        values = [changed.get(name, f'"{name}"').format(n=f"g * {APART}") for name in columns]
        solve = {"logs_solve": "id", "logs_sighting": "solve_id"}.get(table)
        part = f"AND (g <= {n_copies} OR {solve} < {last})" if solve else ""
        link.execute(
            sql.SQL(
                "INSERT INTO {} ({}) SELECT {} FROM {}, generate_series(1, %s) g WHERE true {}"
            ).format(
                sql.Identifier(table),
                sql.SQL(", ").join(map(sql.Identifier, columns)),
                sql.SQL(", ".join(values)),
                sql.Identifier(table),
                sql.SQL(part),
            ),
            [n_copies + 1],
        )
        link.execute(sql.SQL("VACUUM ANALYZE {}").format(sql.Identifier(table)))
    size = count(link, "SELECT pg_database_size(current_database())")
    print(
        f"{count(link, 'SELECT count(*) FROM logs_solve'):,} solves,"
        f" {count(link, 'SELECT count(*) FROM logs_sighting'):,} sightings of"
        f" {count(link, 'SELECT count(*) FROM accounts_user'):,} members: {size / 1e9:.2f} GB,"
        f" made in {time.perf_counter() - started:.0f} s; {os.cpu_count()} cores",
        flush=True,
    )


def count(link: "psycopg.Connection[Any]", query: str, values: list[int] | None = None) -> int:
    """The one number that ``query`` gives."""
    row = link.execute(query, values).fetchone()
    assert row is not None
    return int(row[0])


def measure(link: "psycopg.Connection[Any]", seconds: float) -> None:
    """Start a relabelling of everybody and print the rate for each number of workers."""
    import django  # noqa: PLC0415 - once the environment is set

    django.setup()
    from django.db import connection  # noqa: PLC0415 - see above
    from django.utils import timezone  # noqa: PLC0415 - see above

    from logs.solves.services.relabel import PART, relabel_start  # noqa: PLC0415 - see above

    n_solves = count(link, "SELECT count(*) FROM logs_solve")
    relabel_start(now=timezone.now(), part_solves=min(PART, n_solves // 40))
    connection.close()
    print("workers  solves/s  of one  workers' CPU  all CPU busy  log written MB/s", flush=True)
    alone = 0.0
    for n_workers in WORKERS:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        began = time.perf_counter()
        workers = [
            subprocess.Popen([sys.executable, "manage.py", "worker"], cwd=ROOT)
            for _ in range(n_workers)
        ]
        if not wait_for_first(link):
            print("no solve is left: too few solves for so many seconds", flush=True)
        time.sleep(min(WARM_UP_S, seconds))
        start, n_before, wal, busy = time.perf_counter(), n_done(link), written(link), cpu()
        time.sleep(seconds)
        spent = time.perf_counter() - start
        rate = (n_done(link) - n_before) / spent
        wal_rate = (written(link) - wal) / spent / 1e6
        busy_share = share(busy, cpu())
        n_left = count(link, ACTIVE)
        for worker in workers:
            worker.send_signal(signal.SIGTERM)
        for worker in workers:
            worker.wait()
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        own = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
        alone = alone or rate
        print(
            f"{n_workers:7}  {rate:8,.0f}  {rate / alone:5.2f}x"
            f"  {own / (time.perf_counter() - began) / n_workers:11.0%} each"
            f"  {busy_share:11.0%}  {wal_rate:8.1f}"
            + ("" if n_left else "  (no solve was left before the time was up: too few solves)"),
            flush=True,
        )
    refused = count(link, "SELECT coalesce(sum(n_refused), 0) FROM logs_job")
    failed = count(link, "SELECT count(*) FROM logs_job WHERE status = 'failed'")
    written_anew = count(link, "SELECT count(*) FROM logs_solve WHERE book_version <> 'before'")
    print(f"{written_anew:,} written, {n_done(link):,} counted, {refused} refused, {failed} failed")
    assert (refused, failed) == (0, 0)
    assert written_anew == n_done(link)


def wait_for_first(link: "psycopg.Connection[Any]") -> bool:
    """Wait until the workers have begun; False when there is nothing to begin."""
    at_first = n_done(link)
    while n_done(link) == at_first:
        if not count(link, ACTIVE):
            return False
        time.sleep(0.2)
    return True


def n_done(link: "psycopg.Connection[Any]") -> int:
    """Solves done so far."""
    return count(link, "SELECT coalesce(sum(n_read), 0) FROM logs_job WHERE kind = 'relabel'")


def written(link: "psycopg.Connection[Any]") -> int:
    """Bytes of write-ahead log so far, of the whole server."""
    return count(link, "SELECT pg_current_wal_lsn() - '0/0'")


def cpu() -> list[int]:
    """Ticks of all cores by state: proc(5), ``/proc/stat``."""
    return [int(text) for text in Path("/proc/stat").read_text().split("\n")[0].split()[1:9]]


def share(before: list[int], after: list[int]) -> float:
    """The share of ticks in which the cores were busy: all but idle and waiting."""
    ticks = [b - a for a, b in zip(before, after, strict=True)]
    return 1 - (ticks[3] + ticks[4]) / sum(ticks)


if __name__ == "__main__":
    main()
