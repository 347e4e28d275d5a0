"""Serves plotly.js out of the installed plotly package, so that the two never differ in version."""

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import plotly
from django.contrib.staticfiles.finders import BaseFinder
from django.core.checks import CheckMessage
from django.core.files.storage import FileSystemStorage

PACKAGE_FILE = "plotly.min.js"
STATIC_PATH = f"vendor/{PACKAGE_FILE}"


class PlotlyFinder(BaseFinder):
    """Finds the one file ``vendor/plotly.min.js``."""

    root = Path(plotly.__file__).parent / "package_data"

    def check(self, **kwargs: Any) -> list[CheckMessage]:
        """No settings, so nothing that could be wrong with them."""
        return []

    def find(  # type: ignore[override]  # finders answer [] for "not here", whatever the stubs say
        self, path: str, find_all: bool = False, **kwargs: Any
    ) -> str | list[str]:
        """The file's place on disk, in a list when ``find_all``; an empty list for other paths."""
        places = [str(self.root / PACKAGE_FILE)] if path == STATIC_PATH else []
        return places if find_all or not places else places[0]

    def list(self, ignore_patterns: Iterable[str] | None) -> Iterator[tuple[str, Any]]:
        """The file and its storage, for ``collectstatic``."""
        storage = FileSystemStorage(location=self.root)
        storage.prefix = "vendor"  # type: ignore[attr-defined]  # read by staticfiles, undeclared
        yield PACKAGE_FILE, storage
