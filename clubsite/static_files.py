"""The addresses of static files, which change with what stands in a file."""

from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.contrib.staticfiles.storage import StaticFilesStorage

DIGITS = 12
"""So many hexadecimal digits of a file's SHA-256 stand in its address."""


class HashedAddresses(StaticFilesStorage):
    """Adds ``?v=`` and a digest to each address, so that a browser may keep the file for a year.

    Nothing has to be collected first, as it would for names that hold the digest themselves.
    """

    def url(self, name: str | None) -> str:
        """The address of a file; without a digest where no finder knows the file."""
        address = super().url(name)
        place = finders.find(name) if name else None
        if not isinstance(place, str):
            return address
        changed_ns = Path(place).stat().st_mtime_ns if settings.DEBUG else 0
        return f"{address}?v={_digest(place, changed_ns)}"


@lru_cache(maxsize=256)
def _digest(place: str, changed_ns: int) -> str:
    return sha256(Path(place).read_bytes()).hexdigest()[:DIGITS]
