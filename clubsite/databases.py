"""The database settings of a ``DATABASE_URL``, and who may read the files."""

import stat
from pathlib import Path
from typing import Any

import dj_database_url

BUSY_TIMEOUT_S = 20

# IMMEDIATE takes the write lock at the start of a transaction, so that a writer waits its turn
# instead of failing half-way; FULL keeps what was acknowledged through a power cut; secure_delete
# writes zeros over what is deleted, so that an erased account is not left in the file's free pages.
_SQLITE_OPTIONS: dict[str, Any] = {
    "timeout": BUSY_TIMEOUT_S,
    "transaction_mode": "IMMEDIATE",
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA cache_size=-20000;"
    " PRAGMA secure_delete=ON;",
}


def parse_database_url(url: str) -> dict[str, Any]:
    """Django's settings for the database at ``url``.

    Args:
        url: ``sqlite:///relative``, ``sqlite:////absolute`` or ``postgres://...``.

    Returns:
        One entry for ``DATABASES``; connections stay open between requests.
    """
    settings: dict[str, Any] = dict(dj_database_url.parse(url, conn_max_age=None))
    if settings["ENGINE"] == "django.db.backends.sqlite3":
        settings["OPTIONS"] = {**settings.get("OPTIONS", {}), **_SQLITE_OPTIONS}
    else:
        settings["CONN_HEALTH_CHECKS"] = True
    return settings


def keep_to_owner(path: Path) -> None:
    """Take every right on a file or folder from all but its owner.

    Raises:
        PermissionError: Another account owns it.
    """
    mode = path.stat().st_mode
    if mode & (stat.S_IRWXG | stat.S_IRWXO):
        path.chmod(stat.S_IMODE(mode) & stat.S_IRWXU)


def keep_database_to_owner(connection: Any, **kwargs: Any) -> None:  # noqa: ANN401 - settings import this file, before backends can be
    """`keep_to_owner` of SQLite's file, whose journals get its rights; called as it is opened."""
    if connection.vendor == "sqlite":
        place = Path(connection.settings_dict["NAME"])
        if place.is_file():
            keep_to_owner(place)
