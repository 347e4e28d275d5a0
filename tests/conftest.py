"""What every test may ask for: a database in a file, fast passwords."""

from collections.abc import Iterator
from typing import Any

import pytest
from django.db import connections
from django.db.backends.sqlite3.base import DatabaseWrapper as SQLite
from django.test import override_settings
from hypothesis import settings

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
def django_db_modify_db_settings(tmp_path_factory: pytest.TempPathFactory) -> None:
    """SQLite in a file: in memory, threads share one cache, which ignores the busy timeout."""
    for connection in connections.all():
        if connection.vendor == "sqlite":
            place = tmp_path_factory.mktemp("database") / "test.sqlite3"
            connection.settings_dict["TEST"]["NAME"] = str(place)


@pytest.fixture(autouse=True, scope="session")
def _emptied_tables() -> Iterator[None]:
    """Let a test with real transactions empty the tables after itself, the audit trail too.

    SQLite empties a table with DELETE, which the trail's triggers refuse: they are put aside for
    that moment alone. PostgreSQL truncates, which fires no trigger of a row.
    """
    execute = SQLite.ops_class.execute_sql_flush

    def flush(operations: Any, statements: list[str]) -> None:
        with operations.connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
            for name, _ in triggers:
                cursor.execute(f"DROP TRIGGER {name}")
            execute(operations, statements)
            for _, create in triggers:
                cursor.execute(create)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(SQLite.ops_class, "execute_sql_flush", flush)
        yield


@pytest.fixture(autouse=True, scope="session")
def _fast_passwords() -> Iterator[None]:
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield
