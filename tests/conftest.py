"""What every test may ask for: a database in a file, fast passwords."""

import hashlib
import os
import shutil
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from typing import Any

import django
import pytest
from django.apps import apps
from django.db import connection
from django.db.backends.base.operations import BaseDatabaseOperations
from django.test import override_settings
from hypothesis import settings
from pytest_django import DjangoDbBlocker

# Examples are not timed: machines are noisy, and how fast is a matter for tests/bench.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


@pytest.hookimpl(tryfirst=True)  # before pytest itself leaves out what was not asked for by mark
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test that reaches a database: all others need no second run on another one."""
    for item in items:
        if item.get_closest_marker("django_db") or "django_db_setup" in _fixture_names(item):
            item.add_marker("database")


def _fixture_names(item: pytest.Item) -> list[str]:
    return item.fixturenames if isinstance(item, pytest.Function) else []


@pytest.fixture(scope="session")
def _migrated(request: pytest.FixtureRequest, django_db_use_migrations: bool) -> Path | None:
    """Where an SQLite file stands that these very migrations made, or is to stand."""
    cache = getattr(request.config, "cache", None)
    if connection.vendor != "sqlite" or cache is None or not django_db_use_migrations:
        return None
    sources = hashlib.sha256(django.get_version().encode())
    for app in apps.get_app_configs():
        for file in sorted(Path(app.path).glob("migrations/*.py")):
            sources.update(file.read_bytes())
    folder: Path = cache.mkdir("migrated")
    return folder / f"{sources.hexdigest()[:16]}.sqlite3"


@pytest.fixture(scope="session")
def django_db_keepdb(_migrated: Path | None) -> bool:
    """Whether the database is kept as it is found: so is a copy of the file above."""
    return _migrated is not None


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    tmp_path_factory: pytest.TempPathFactory, _migrated: Path | None
) -> None:
    """SQLite in a file: in memory, threads share one cache, which ignores the busy timeout."""
    if connection.vendor == "sqlite":
        place = tmp_path_factory.mktemp("database") / "test.sqlite3"
        connection.settings_dict["TEST"]["NAME"] = str(place)
        if _migrated and _migrated.exists():
            shutil.copy(_migrated, place)


@pytest.fixture(scope="session")
def django_db_setup(
    django_db_setup: None,
    _migrated: Path | None,
    django_db_blocker: DjangoDbBlocker,
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    """As the plugin does it; what the migrations made is then kept for the next run."""
    if _migrated is None or _migrated.exists():
        return
    copy = tmp_path_factory.mktemp("migrated") / "copy.sqlite3"
    with django_db_blocker.unblock(), closing(sqlite3.connect(copy)) as target:
        connection.ensure_connection()
        connection.connection.backup(target)
    for older in _migrated.parent.glob("*.sqlite3"):
        older.unlink(missing_ok=True)
    shutil.copy(copy, partial := _migrated.with_suffix(f".{os.getpid()}"))
    partial.replace(_migrated)


@pytest.fixture(autouse=True, scope="session")
def _emptied_tables() -> Iterator[None]:
    """Let a test with real transactions empty the tables after itself, the audit trail too.

    The trail's triggers refuse that: they are put aside for that moment alone.
    """
    from logs.people.models import AuditEvent  # noqa: PLC0415 - models are ready only now

    execute = BaseDatabaseOperations.execute_sql_flush
    trail = AuditEvent._meta.db_table

    def flush(operations: Any, statements: list[str]) -> None:
        with operations.connection.cursor() as cursor:
            if operations.connection.vendor == "postgresql":
                cursor.execute(f"ALTER TABLE {trail} DISABLE TRIGGER USER")
                execute(operations, statements)
                cursor.execute(f"ALTER TABLE {trail} ENABLE TRIGGER USER")
                return
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
            for name, _ in triggers:
                cursor.execute(f"DROP TRIGGER {name}")
            execute(operations, statements)
            for _, create in triggers:
                cursor.execute(create)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(BaseDatabaseOperations, "execute_sql_flush", flush)
        yield


@pytest.fixture(autouse=True, scope="session")
def _fast_passwords() -> Iterator[None]:
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield
